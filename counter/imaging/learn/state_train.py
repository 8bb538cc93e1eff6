"""Train the network that proposes states: ``python -m counter.imaging.learn.state_train FOLDER``.

Workers draw crops without end; the network learns from those drawn so far. At the end a
temperature and a shift for each answer are fitted on crops held out, weighted to the shares of a
usual batch, and put into the last layer, so that its logits are calibrated. One ONNX file is
written for each answer.
"""

from __future__ import annotations

import argparse
import math
import multiprocessing
import time
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import torch
from torch import Tensor
from torch.nn import functional

from counter.imaging.learn.state_network import (
    ANSWERS,
    OUTPUTS,
    Close,
    Closer,
    States,
    Wide,
    begin_again,
    export,
)
from counter.imaging.learn.state_store import Made, Store, draw

NETWORKS: dict[str, type[States]] = {
    "states": States,
    "wide": Wide,
    "close": Close,
    "closer": Closer,
}


@dataclass(frozen=True)
class Plan:
    """A run: how long, how much at once, how many crops are kept, from which seeds."""

    seconds: float
    batch: int = 512
    keep: int = 400_000
    workers: int = 15
    seed: int = 20261401
    rate: float = 3e-3
    held_out: int = 6000
    start_after: int = 6000


def varied(given: Tensor) -> Tensor:
    """Mirror and turn by quarters, stretch the light a little, add a little noise."""
    if torch.rand(()) < 0.5:
        given = given.flip(-1)
    given = given.rot90(int(torch.randint(4, ())), (-2, -1))
    light, mask = given[:, :1], given[:, 1:]
    gain = torch.exp(torch.randn(len(light), 1, 1, 1, device=light.device) * 0.12)
    amount = torch.rand_like(gain) * 0.12
    return torch.cat([light * gain + amount * torch.randn_like(light), mask], 1)


def loss_of(logits: Tensor, labels: Tensor) -> Tensor:
    """Return the cross entropy, averaged over the labels that are known."""
    known = labels >= 0
    target = labels.clamp(min=0).float()
    each = functional.binary_cross_entropy_with_logits(logits, target, reduction="none")
    return (each * known).sum() / known.sum().clamp(min=1)


def train(plan: Plan, folder: Path, device: str, name: str, start: Path | None) -> States:
    """Train for ``plan.seconds``; write weights, ONNX and log under ``name`` into ``folder``."""
    context = multiprocessing.get_context("spawn")
    out: multiprocessing.Queue[Made] = context.Queue(maxsize=64)
    crew = [
        context.Process(target=draw, args=(plan.seed + index, out, 32, name), daemon=True)
        for index in range(plan.workers)
    ]
    for worker in crew:
        worker.start()
    torch.manual_seed(plan.seed)
    try:
        return _steps(plan, folder, device, out, name, start)
    finally:
        for worker in crew:
            worker.terminate()


def _steps(
    plan: Plan,
    folder: Path,
    device: str,
    out: multiprocessing.Queue[Made],
    name: str,
    start: Path | None,
) -> States:
    begun = time.monotonic()
    model = NETWORKS[name]().to(device)
    held, store = Store(plan.held_out, device, model.side), Store(plan.keep, device, model.side)
    held.fill(out, plan.held_out)
    if start is not None and start.suffix == ".onnx":
        begin_again(model, start, varied(held.given[:1000].float()))
    elif start is not None:
        model.load_state_dict(torch.load(start, map_location=device))
    average = torch.optim.swa_utils.AveragedModel(
        model, multi_avg_fn=torch.optim.swa_utils.get_ema_multi_avg_fn(0.998), use_buffers=True
    )
    tuner = torch.optim.AdamW(model.parameters(), lr=plan.rate, weight_decay=0.02)
    store.fill(out, plan.start_after)
    first, step, said = time.monotonic() - begun, 0, 0.0
    while (now := time.monotonic() - begun) < plan.seconds:
        store.fill(out, 0)
        share = (now - first) / (plan.seconds - first)
        rate = plan.rate * min(1, (step + 1) / 200) * (0.5 + 0.5 * math.cos(math.pi * share))
        for group in tuner.param_groups:
            group["lr"] = rate
        model.train()
        given, labels = store.some(plan.batch)
        loss = loss_of(model(varied(given)), labels)
        tuner.zero_grad(set_to_none=True)
        loss.backward()
        torch.nn.utils.clip_grad_norm_(model.parameters(), 2.0)
        tuner.step()
        average.update_parameters(model)
        step += 1
        if now - said > 20:
            said = now
            print(f"{now:6.1f} s step {step} crops {store.seen} loss {loss.item():.4f}", flush=True)
            print(right_by_size(average.module, held), flush=True)
            torch.save(average.module.state_dict(), folder / f"{name}.pt")
    final: States = average.module
    torch.save(final.state_dict(), folder / f"{name}.pt")
    print(right_by_size(final, held), flush=True)
    calibrated(final, held)
    for answer, what in enumerate(ANSWERS):
        if bool((held.labels[:, answer] >= 0).any()):
            export(final, answer, folder / f"{what}.onnx")
    return final


@torch.no_grad()
def logits_of(model: States, held: Store) -> Tensor:
    """Return the logits (n, 4) for the crops held out."""
    model.eval()
    parts = [model(held.given[at : at + 1000].float()) for at in range(0, held.room, 1000)]
    return torch.cat(parts)


def right_by_size(model: States, held: Store) -> str:
    """Return, for each answer, the share that is right by length in pixels."""
    logits, lines = logits_of(model, held), []
    edges = (20, 28, 40, 60, 90, 1000)
    for answer, name in enumerate(ANSWERS):
        known = held.labels[:, answer] >= 0
        if not bool(known.any()):
            continue
        right = (logits[:, answer] > 0) == (held.labels[:, answer] == 1)
        parts = []
        for low, high in pairwise(edges):
            chosen = known & (held.traits[:, 0] >= low) & (held.traits[:, 0] < high)
            parts.append(f"{right[chosen].float().mean().item():.3f}")
        whole = right[known].float().mean().item()
        lines.append(f"   {name}: {whole:.4f}; {' '.join(parts)}")
    return "\n".join(lines)


USUAL_SHARE = (0.15, 0.6, 0.5, 0.5)
"""How many are dead, fertilised, (of those old enough) eyed in a usual batch; and how many of the
finder's candidates are bodies, about which the finder's own opinion is heard as well."""


def calibrated(model: States, held: Store) -> None:
    """Put a temperature and a shift for each answer, fitted on ``held``, into the last layer."""
    logits = logits_of(model, held)
    scale = torch.ones(OUTPUTS, device=logits.device, requires_grad=True)
    shift = torch.zeros(OUTPUTS, device=logits.device, requires_grad=True)
    known = (held.labels >= 0).float()
    target = held.labels.clamp(min=0).float()
    drawn = ((target * known).sum(0) / known.sum(0).clamp(min=1)).clamp(0.01, 0.99)
    usual = torch.tensor(USUAL_SHARE, device=logits.device)
    weight = known * torch.where(target > 0, usual / drawn, (1 - usual) / (1 - drawn))
    tuner = torch.optim.LBFGS([scale, shift], max_iter=100)

    def closure() -> Tensor:
        tuner.zero_grad()
        each = functional.binary_cross_entropy_with_logits(
            logits * scale + shift, target, reduction="none"
        )
        loss = (each * weight).sum() / weight.sum()
        loss.backward()
        return loss

    tuner.step(closure)
    with torch.no_grad():
        model.last.weight *= scale[:, None]
        model.last.bias *= scale
        model.last.bias += shift
    print(f"scale {scale.tolist()} shift {shift.tolist()}", flush=True)


def main() -> None:
    """Read the command line and train."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--network", choices=sorted(NETWORKS), default="states")
    parser.add_argument("--seconds", type=float, default=300)
    parser.add_argument("--batch", type=int, default=Plan.batch)
    parser.add_argument("--keep", type=int, default=Plan.keep)
    parser.add_argument("--workers", type=int, default=Plan.workers)
    parser.add_argument("--seed", type=int, default=Plan.seed)
    parser.add_argument("--rate", type=float, default=Plan.rate)
    parser.add_argument("--held-out", type=int, default=Plan.held_out)
    parser.add_argument("--start-after", type=int, default=Plan.start_after)
    parser.add_argument("--start", type=Path, default=None, help="a .pt or .onnx to go on from")
    given = vars(parser.parse_args())
    folder, name, start = given.pop("folder"), given.pop("network"), given.pop("start")
    folder.mkdir(parents=True, exist_ok=True)
    device = "cuda" if torch.cuda.is_available() else "cpu"
    train(Plan(**given), folder, device, name, start)


if __name__ == "__main__":
    main()
