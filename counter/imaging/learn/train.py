"""Train the finder's network: ``python -m counter.imaging.learn.train FOLDER --seconds 500``.

Patches are drawn all the while by worker processes into a store on the accelerator, from which the
training takes them again and again, each time turned, brightened and roughened anew; some of them
more often, because the network still fires on their litter or misses their bodies. The schedule
follows the clock, so that a run ends when it was told to. ``--start`` goes on from the weights of
an earlier run or from a ``finder.onnx``. With more accelerators, ``--twin-hard`` trains others
beside the first on the same patches, into ``FOLDER-twin``, ``FOLDER-twin2`` and so on; :mod:`mean`
mixes them.
"""

from __future__ import annotations

import argparse
import math
import multiprocessing
import time
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
import torch
from torch import Tensor

from counter.imaging.learn.losses import SHARES, loss_of, roughened, turned, wrongness
from counter.imaging.learn.network import Finder, export, normalised, restored
from counter.imaging.learn.store import Arrays, Store, draw, fill


@dataclass(frozen=True)
class Plan:
    """A run: how long, how much at once, how many patches are kept, from which seeds.

    ``hard`` is the share of each batch that is drawn by how wrong the network was on a patch.
    ``patches`` is where they are kept for a run that goes on from this one, None for nowhere.
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
    patches: Path | None = None


def train(
    plan: Plan, folder: Path, device: str, start: Path | None = None, twins: Sequence[float] = ()
) -> None:
    """Train for ``plan.seconds`` and write ``finder.pt``, ``finder.onnx`` and ``log.txt``.

    For each of ``twins`` another network learns on the next accelerator with that share of hard
    patches and writes the same files beside ``folder``.
    """
    begun = time.monotonic()
    context = multiprocessing.get_context("spawn")
    outs: list[multiprocessing.Queue[Arrays]] = [context.Queue(maxsize=64)]
    others = []
    for number, hard in enumerate(twins, 1):
        outs.append(context.Queue(maxsize=64))
        beside = folder.with_name(f"{folder.name}-twin{number if number > 1 else ''}")
        next_one = f"cuda:{number}" if torch.cuda.device_count() > number else device
        own = replace(plan, hard=hard, seed=plan.seed + 500 * number)
        given = (own, beside, next_one, outs[number], begun, start)
        others.append(context.Process(target=_steps, args=given, daemon=True))
    crew = [
        context.Process(target=draw, args=(plan.seed + index, outs, 8), daemon=True)
        for index in range(plan.workers)
    ]
    for worker in (*crew, *others):
        worker.start()
    try:
        _steps(plan, folder, device, outs[0], begun, start)
        for other in others:
            other.join(timeout=60)
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
    """Train one network until ``plan.seconds`` after ``begun``, then write it."""
    torch.manual_seed(plan.seed)
    np.random.seed(plan.seed % 2**32)
    if device.startswith("cuda:"):
        torch.cuda.set_device(device)
    folder.mkdir(parents=True, exist_ok=True)
    held, store = Store(plan.held_out, 256, device), Store(plan.keep, 256, device)
    fill(held, out, lambda: held.seen < plan.held_out)
    kept = None if plan.patches is None else plan.patches.with_suffix(f".{folder.name}.pt")
    if kept is not None and kept.exists():
        store.load(kept)
    fill(store, out, lambda: store.seen < plan.start_after)
    training = _Training(plan, _begun(start, roughened(held.parts[0][:256])), device)
    first, said = time.monotonic() - begun, 0.0
    with (folder / "log.txt").open("w", encoding="utf-8") as log:
        while (now := time.monotonic() - begun) < plan.seconds:
            fill(store, out, lambda: False)
            training.step(store, (now - first) / (plan.seconds - first))
            if now - said > SAID_EVERY_S:
                said = now
                line = f"{now:6.1f} s {training.said(store, held)}"
                print(line, flush=True)
                print(line, file=log, flush=True)
                torch.save(training.average.module.state_dict(), folder / "finder.pt")
    final: Finder = training.average.module
    torch.save(final.state_dict(), folder / "finder.pt")
    export(final.float().cpu().to(memory_format=torch.contiguous_format), folder / "finder.onnx")
    if kept is not None:
        store.save(kept)


SAID_EVERY_S = 20


class _Training:
    """A network that learns step by step, and the running average of it that is kept."""

    def __init__(self, plan: Plan, model: Finder, device: str) -> None:
        self.plan = plan
        self.model = model.to(device).to(memory_format=torch.channels_last)
        self.average = torch.optim.swa_utils.AveragedModel(
            self.model,
            multi_avg_fn=torch.optim.swa_utils.get_ema_multi_avg_fn(0.999),
            use_buffers=True,
        )
        self.tuner = torch.optim.AdamW(self.model.parameters(), lr=plan.rate, weight_decay=0.02)
        self.kind = torch.device(device).type
        self.shares = torch.tensor(SHARES, device=device)
        self.steps, self.rate = 0, 0.0
        self.last = torch.zeros(len(SHARES), device=device)
        self.recent: list[Tensor] = []

    def step(self, store: Store, done: float) -> None:
        """Learn from one batch when ``done`` (0 to 1) of the time is over."""
        self.rate = self.plan.rate * min(1, (self.steps + 1) / 300)
        self.rate *= 0.5 + 0.5 * math.cos(math.pi * done)
        for group in self.tuner.param_groups:
            group["lr"] = self.rate
        self.model.train()
        at = store.some(self.plan.batch, self.plan.hard)
        parts = turned(store.take(at), *(bool(flip) for flip in np.random.randint(0, 2, 3)))
        seen = roughened(parts[0]).contiguous(memory_format=torch.channels_last)
        with torch.autocast(self.kind, torch.bfloat16, enabled=self.kind != "cpu"):
            answer = self.model(seen)
        losses = loss_of(answer.float(), *parts[1:])
        if self.plan.hard:
            store.wrong[at] = wrongness(answer.detach().float(), parts[1], parts[2])
        self.tuner.zero_grad(set_to_none=True)
        (losses * self.shares).sum().backward()
        torch.nn.utils.clip_grad_norm_(self.model.parameters(), 5.0)
        self.tuner.step()
        self.average.update_parameters(self.model)
        self.last = losses.detach()
        if self.steps % 50 == 0:
            self.recent.append(self.last)
        self.steps += 1

    def said(self, store: Store, held: Store) -> str:
        """Return how far the training is and its losses now and then since this was asked last."""
        means = torch.stack(self.recent or [self.last]).mean(0).tolist()
        self.recent.clear()
        return (
            f"step {self.steps} patches {store.seen} rate {self.rate:.2e} "
            f"train {np.round(means, 4)} "
            f"held out {np.round(_held_out(self.average.module, held), 4)}"
        )


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
    parser.add_argument("--patches", type=Path, default=None, help="where to keep the patches")
    parser.add_argument("--start", type=Path, default=None, help="weights to go on from")
    parser.add_argument("--twin-hard", type=float, nargs="+", default=(), help="others too")
    given = vars(parser.parse_args())
    folder, start, twins = (given.pop(name) for name in ("folder", "start", "twin_hard"))
    device = "cuda" if torch.cuda.is_available() else "cpu"
    train(Plan(**given), folder, device, start, twins)


if __name__ == "__main__":
    main()
