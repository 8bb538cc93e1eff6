"""What a training takes from its patches, and what it says to an answer.

A batch is turned and roughened anew each time; an answer has a loss, by which the network learns,
and a wrongness, by which its patch is taken again.
"""

from __future__ import annotations

import torch
from torch import Tensor
from torch.nn import functional

from counter.imaging.learn.targets import NOTHING, RAYS

SHARES = (8.0, 2.0, 0.2)
"""How much depth, radii and class count in what is minimised."""


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


@torch.no_grad()
def wrongness(answer: Tensor, near: Tensor, weight: Tensor) -> Tensor:
    """Return (n,) 0 to 1.3: the strongest false depth of a patch, and in part its worst miss.

    Misses weigh less because some bodies cannot be seen: they drown in noise or under litter.
    """
    depth = torch.sigmoid(answer[:, 0])
    false = (depth * (near == 0) * (weight > 0)).flatten(1).amax(1)
    missed = ((near.float() - depth).clamp(0) * (near > 0.6)).flatten(1).amax(1)
    return false + 0.3 * missed
