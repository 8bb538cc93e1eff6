"""Train the finder's network: ``python -m counter.imaging.learn.train FOLDER --seconds 500``.

Patches are drawn all the while by worker processes into a store on the accelerator, from which the
training takes them again and again, each time turned, brightened and roughened anew; some of them
more often, because the network still fires on their litter or misses their bodies. The schedule
follows the clock, so that a run ends when it was told to. ``--start`` goes on from the weights of
an earlier run or from a ``finder.onnx``. With a second accelerator, ``--twin-hard`` trains a second
network beside the first on the same patches, into ``FOLDER-twin``.
"""

from __future__ import annotations

import argparse
import contextlib
import math
import multiprocessing
import queue
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import torch
from torch import Tensor
from torch.nn import functional

from counter.imaging.learn.network import Finder, export, normalised, restored
from counter.imaging.learn.targets import NOTHING, RAYS, STRIDE

Arrays = tuple[np.ndarray, ...]


@dataclass(frozen=True)
class Plan:
    """A run: how long, how much at once, how many patches are kept, from which seeds.

    ``hard`` is the share of each batch that is drawn by how wrong the network was on a patch.
    """

    seconds: float
    batch: int = 128
    keep: int = 60000
    workers: int = 15
    seed: int = 20261125
    rate: float = 2.5e-3
    held_out: int = 512
    start_after: int = 1500
    hard: float = 0.0


def draw(seed: int, outs: list[multiprocessing.Queue[Arrays]], size: int) -> None:
    """Worker: draw patches for ever, ``size`` at a time, and hand them to every training."""
    import cv2

    from counter.imaging.learn.canvas import Textures
    from counter.imaging.learn.patches import draw_patch

    cv2.setNumThreads(1)
    rng = np.random.default_rng(seed)
    tex = Textures(rng)
    while True:
        some = [draw_patch(rng, tex) for _ in range(size)]
        learn = [patch.learn for patch in some]
        arrays = (
            np.stack([patch.seen.transpose(2, 0, 1) for patch in some]),
            np.stack([one.near for one in learn]),
            np.stack([one.weight for one in learn]),
            np.stack([one.kind for one in learn]),
            np.stack([one.radius for one in learn]),
        )
        for out in outs:
            with contextlib.suppress(queue.Full):
                out.put(arrays, timeout=10)


class Store:
    """Patches on the device; the oldest make room for new ones."""

    def __init__(self, room: int, side: int, device: str) -> None:
        cells = side // STRIDE
        half = {"dtype": torch.float16, "device": device}
        byte = {"dtype": torch.uint8, "device": device}
        self.parts = (
            torch.empty((room, 3, side, side), **byte),
            torch.empty((room, cells, cells), **half),
            torch.empty((room, cells, cells), **half),
            torch.empty((room, cells, cells), **byte),
            torch.empty((room, RAYS, cells, cells), **half),
        )
        self.wrong = torch.ones(room, device=device)
        self.room, self.seen = room, 0

    def add(self, arrays: Arrays) -> None:
        """Keep these patches."""
        at = torch.arange(self.seen, self.seen + len(arrays[0])) % self.room
        for part, array in zip(self.parts, arrays, strict=True):
            part[at.to(part.device)] = torch.from_numpy(array).to(part.device)
        self.wrong[at.to(self.wrong.device)] = 1.0
        self.seen += len(arrays[0])

    def some(self, count: int, hard: float) -> Tensor:
        """Return the numbers of ``count`` patches: by chance, ``hard`` of them by what is wrong."""
        filled = min(self.seen, self.room)
        by_wrong = int(hard * count)
        at = torch.randint(filled, (count - by_wrong,), device=self.wrong.device)
        if not by_wrong:
            return at
        chance = self.wrong[:filled] + 0.1
        return torch.cat([at, torch.multinomial(chance, by_wrong, replacement=True)])

    def take(self, at: Tensor) -> tuple[Tensor, ...]:
        """Return the patches of these numbers."""
        return tuple(part[at] for part in self.parts)


@torch.no_grad()
def wrongness(answer: Tensor, near: Tensor, weight: Tensor) -> Tensor:
    """Return (n,) 0 to 1.3: the strongest false depth of a patch, and in part its worst miss.

    Misses weigh less because some bodies cannot be seen: they drown in noise or under litter.
    """
    depth = torch.sigmoid(answer[:, 0])
    false = (depth * (near == 0) * (weight > 0)).flatten(1).amax(1)
    missed = ((near.float() - depth).clamp(0) * (near > 0.6)).flatten(1).amax(1)
    return false + 0.3 * missed


def turned(parts: tuple[Tensor, ...], across: bool, down: bool, swap: bool) -> tuple[Tensor, ...]:
    """Mirror and transpose patches with their targets."""
    ray = torch.arange(RAYS, device=parts[0].device)
    if across:
        parts = tuple(part.flip(-1) for part in parts)
        ray = ray[(RAYS // 2 - torch.arange(RAYS)) % RAYS]
    if down:
        parts = tuple(part.flip(-2) for part in parts)
        ray = ray[(-torch.arange(RAYS)) % RAYS]
    if swap:
        parts = tuple(part.transpose(-1, -2) for part in parts)
        ray = ray[(RAYS // 4 - torch.arange(RAYS)) % RAYS]
    return (*parts[:-1], parts[-1][:, ray])


def roughened(seen: Tensor) -> Tensor:
    """Vary what a camera varies: gain, gamma, colour, noise, sharpness; 0..255 to about -1..1."""
    count, device = len(seen), seen.device

    def chance(low: float, high: float, *shape: int) -> Tensor:
        return torch.rand((count, *(shape or (1, 1, 1))), device=device) * (high - low) + low

    x = seen.float() / 212.5
    grey = x.mean(1, keepdim=True)
    keep = chance(-0.8, 1.4).clamp(0, 1)
    x = grey + (x - grey) * keep
    order = torch.stack([torch.randperm(3, device=device) for _ in range(8)])
    index = order[torch.randint(8, (count,), device=device)][:, :, None, None]
    swapped = torch.gather(x, 1, index.expand_as(x))
    x = torch.where(chance(0, 1) < 0.3, swapped, x)
    dark = x.flatten(1).median(1).values.view(-1, 1, 1, 1) < 0.45
    gain = torch.where(dark, chance(0.45, 1.15), chance(0.8, 1.12))
    x = (x * gain).clamp(0, 1.2) ** torch.exp(chance(-0.35, 0.35))
    x = x * (1 + chance(-0.08, 0.08, 3, 1, 1))
    amount = chance(-0.03, 0.05).clamp(0)
    noise = torch.randn_like(x)
    shared = torch.randn((count, 1, *x.shape[2:]), device=device)
    noise = torch.where(chance(0, 1) < 0.5, noise, shared)
    soft = functional.avg_pool2d(noise, 3, 1, 1) * 2.2
    x = x + amount * torch.where(chance(0, 1) < 0.4, soft, noise)
    blurred = functional.avg_pool2d(functional.pad(x, (1, 1, 1, 1), mode="replicate"), 3, 1)
    x = x + (blurred - x) * chance(-1.0, 0.8).clamp(-0.4)
    return (x.clamp(0, 1.2) - 0.5) * 2


def loss_of(answer: Tensor, near: Tensor, weight: Tensor, kind: Tensor, radius: Tensor) -> Tensor:
    """Return the weighted sum of what is wrong with depth, radii and class; three values."""
    near, weight = near.float(), weight.float()
    depth = functional.binary_cross_entropy_with_logits(answer[:, 0], near, reduction="none")
    floor = -(torch.xlogy(near, near) + torch.xlogy(1 - near, 1 - near))
    known = kind != NOTHING
    inner = weight * known * (near + 0.1)
    total = inner.sum().clamp(min=1)
    wrong = (answer[:, -RAYS:] - radius.float().log()).abs().mean(1)
    classes = answer[:, 1:-RAYS]
    label = kind.long().masked_fill(~known, 0)
    which = functional.cross_entropy(classes, label, reduction="none")
    return torch.stack(
        [
            ((depth - floor) * weight).sum() / weight.sum().clamp(min=1),
            (wrong * inner).sum() / total,
            (which * inner).sum() / total,
        ]
    )


SHARES = (8.0, 2.0, 0.2)
"""How much depth, radii and class count in what is minimised."""


def _fill(store: Store, out: multiprocessing.Queue[Arrays], wait: Callable[[], bool]) -> None:
    while True:
        try:
            store.add(out.get(timeout=0.5 if wait() else 0.0005))
        except queue.Empty:
            if not wait():
                return
        else:
            if not wait() and out.empty():
                return


def train(
    plan: Plan, folder: Path, device: str, start: Path | None = None, twin: float | None = None
) -> None:
    """Train for ``plan.seconds`` and write ``finder.pt``, ``finder.onnx`` and ``log.txt``.

    With ``twin``, a second network learns on the second accelerator with that share of hard patches
    and writes the same files beside ``folder``.
    """
    begun = time.monotonic()
    context = multiprocessing.get_context("spawn")
    outs: list[multiprocessing.Queue[Arrays]] = [context.Queue(maxsize=64)]
    others = []
    if twin is not None:
        outs.append(context.Queue(maxsize=64))
        beside = folder.with_name(f"{folder.name}-twin")
        second = "cuda:1" if torch.cuda.device_count() > 1 else device
        given = (replace(plan, hard=twin), beside, second, outs[1], begun, start)
        others = [context.Process(target=_steps, args=given, daemon=True)]
    crew = [
        context.Process(target=draw, args=(plan.seed + index, outs, 8), daemon=True)
        for index in range(plan.workers)
    ]
    for worker in (*crew, *others):
        worker.start()
    try:
        _steps(plan, folder, device, outs[0], begun, start)
        for other in others:
            other.join(timeout=25)
    finally:
        for worker in (*crew, *others):
            worker.terminate()


def _steps(
    plan: Plan,
    folder: Path,
    device: str,
    out: multiprocessing.Queue[Arrays],
    begun: float,
    start: Path | None,
) -> None:
    torch.manual_seed(plan.seed)
    np.random.seed(plan.seed % 2**32)
    if device.startswith("cuda:"):
        torch.cuda.set_device(device)
    folder.mkdir(parents=True, exist_ok=True)
    held, store = Store(plan.held_out, 256, device), Store(plan.keep, 256, device)
    _fill(held, out, lambda: held.seen < plan.held_out)
    _fill(store, out, lambda: store.seen < plan.start_after)
    model = _begun(start, roughened(held.parts[0][:256])).to(device)
    model = model.to(memory_format=torch.channels_last)
    average = torch.optim.swa_utils.AveragedModel(
        model, multi_avg_fn=torch.optim.swa_utils.get_ema_multi_avg_fn(0.999), use_buffers=True
    )
    tuner = torch.optim.AdamW(model.parameters(), lr=plan.rate, weight_decay=0.02)
    kind = torch.device(device).type
    first, step, said = time.monotonic(), 0, 0.0
    shares = torch.tensor(SHARES, device=device)
    log = (folder / "log.txt").open("w", encoding="utf-8")
    recent: list[Tensor] = []
    while (now := time.monotonic() - begun) < plan.seconds:
        _fill(store, out, lambda: False)
        share = (now - (first - begun)) / (plan.seconds - (first - begun))
        rate = plan.rate * min(1, (step + 1) / 300) * (0.5 + 0.5 * math.cos(math.pi * share))
        for group in tuner.param_groups:
            group["lr"] = rate
        model.train()
        at = store.some(plan.batch, plan.hard)
        parts = turned(store.take(at), *(bool(flip) for flip in np.random.randint(0, 2, 3)))
        seen = roughened(parts[0]).contiguous(memory_format=torch.channels_last)
        with torch.autocast(kind, torch.bfloat16, enabled=kind != "cpu"):
            answer = model(seen)
        losses = loss_of(answer.float(), *parts[1:])
        if plan.hard:
            store.wrong[at] = wrongness(answer.detach().float(), parts[1], parts[2])
        tuner.zero_grad(set_to_none=True)
        (losses * shares).sum().backward()
        torch.nn.utils.clip_grad_norm_(model.parameters(), 5.0)
        tuner.step()
        average.update_parameters(model)
        step += 1
        if step % 50 == 0:
            recent.append(losses.detach())
        if now - said > 20:
            said = now
            line = f"{now:6.1f} s step {step} patches {store.seen} rate {rate:.2e} "
            line += (
                f"train {np.round(torch.stack(recent or [losses.detach()]).mean(0).tolist(), 4)} "
            )
            line += f"held out {np.round(_held_out(average.module, held), 4)}"
            recent.clear()
            print(line, flush=True)
            print(line, file=log, flush=True)
            torch.save(average.module.state_dict(), folder / "finder.pt")
    final: Finder = average.module
    torch.save(final.state_dict(), folder / "finder.pt")
    export(final.float().cpu().to(memory_format=torch.contiguous_format), folder / "finder.onnx")
    log.close()


def _begun(start: Path | None, pictures: Tensor) -> Finder:
    """Return a new network, or the one in a file, made ready to learn on from such pictures."""
    if start is None:
        return Finder()
    if start.suffix == ".onnx":
        model = restored(start)
        normalised(model.to(pictures.device), pictures)
        return model
    model = Finder()
    model.load_state_dict(torch.load(start, map_location="cpu"))
    return model


@torch.no_grad()
def _held_out(model: Finder, held: Store) -> list[float]:
    model.eval()
    found = []
    for at in range(0, held.room, 128):
        parts = tuple(part[at : at + 128] for part in held.parts)
        seen = (parts[0].float() / 212.5 - 0.5) * 2
        found.append(loss_of(model(seen).float(), *parts[1:]))
    means: list[float] = torch.stack(found).mean(0).tolist()
    return means


def main() -> None:
    """Read the command line and train."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--seconds", type=float, default=500)
    parser.add_argument("--batch", type=int, default=Plan.batch)
    parser.add_argument("--keep", type=int, default=Plan.keep)
    parser.add_argument("--workers", type=int, default=Plan.workers)
    parser.add_argument("--seed", type=int, default=Plan.seed)
    parser.add_argument("--rate", type=float, default=Plan.rate)
    parser.add_argument("--held-out", type=int, default=Plan.held_out)
    parser.add_argument("--start-after", type=int, default=Plan.start_after)
    parser.add_argument("--hard", type=float, default=Plan.hard)
    parser.add_argument("--start", type=Path, default=None, help="weights to go on from")
    parser.add_argument("--twin-hard", type=float, default=None, help="train a second one too")
    given = vars(parser.parse_args())
    folder, start, twin = (given.pop(name) for name in ("folder", "start", "twin_hard"))
    device = "cuda" if torch.cuda.is_available() else "cpu"
    train(Plan(**given), folder, device, start, twin)


if __name__ == "__main__":
    main()
