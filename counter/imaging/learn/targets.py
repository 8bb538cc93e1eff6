"""What the network should answer for a patch, on its grid of one cell in 4 × 4 pixels."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

STRIDE = 4
RAYS = 32
NOTHING = 255
_TURNS = np.arange(RAYS) * 2 * np.pi / RAYS
RAY = np.column_stack([np.cos(_TURNS), np.sin(_TURNS)])


@dataclass(frozen=True)
class Targets:
    """``near`` (h, w): how deep inside a body, 0 outside to 1 at its middle. ``weight`` (h, w): how
    much the cell counts, 0 where the truth is unsure. ``kind`` (h, w): the body's class, 255 where
    there is none. ``radius`` (rays, h, w): pixels from the cell's middle to the outline.
    """

    near: NDArray[np.float16]
    weight: NDArray[np.float16]
    kind: NDArray[np.uint8]
    radius: NDArray[np.float16]


@dataclass(frozen=True)
class Placed:
    """A body's outline (points, 2) in pixels of the patch, its class, whether it is sure."""

    outline: NDArray[np.float64]
    kind: int
    sure: bool


def depth(
    placed: Placed, size: int, seen: NDArray[np.uint8]
) -> tuple[slice, slice, NDArray[np.float32]] | None:
    """Return the cells near a body and how deep each lies in its visible part, None if unseen."""
    low = np.clip(np.floor(placed.outline.min(axis=0) / STRIDE).astype(int) - 1, 0, size // STRIDE)
    high = np.clip(np.ceil(placed.outline.max(axis=0) / STRIDE).astype(int) + 2, 0, size // STRIDE)
    if (high - low < 1).any():
        return None
    wide, tall = ((high - low) * STRIDE).tolist()
    mask = np.zeros((tall, wide), np.uint8)
    points = np.round((placed.outline - low * STRIDE) * 16).astype(np.int32)
    cv2.fillPoly(mask, [points], 1, shift=4)
    part = seen[low[1] * STRIDE : high[1] * STRIDE, low[0] * STRIDE : high[0] * STRIDE]
    mask &= part
    if int(mask.sum()) < 6:
        return None
    is_waisted = _is_waisted(placed.outline)
    inner = _about_middle(placed.outline - low * STRIDE, mask) if is_waisted else _inwards(mask)
    coarse = cv2.resize(inner, (wide // STRIDE, tall // STRIDE), interpolation=cv2.INTER_AREA)
    top = float(coarse.max())
    if top <= 0:
        return None
    return slice(low[1], high[1]), slice(low[0], high[0]), coarse / np.float32(top)


WAISTED = 0.95
"""A body that covers less than this share of its convex hull has lobes: two cells, open valves."""


def _is_waisted(outline: NDArray[np.float64]) -> bool:
    points = outline.astype(np.float32)
    return cv2.contourArea(points) < WAISTED * cv2.contourArea(cv2.convexHull(points))


def _inwards(mask: NDArray[np.uint8]) -> NDArray[np.float32]:
    """How far (h, w) each pixel of ``mask`` is from what lies outside."""
    return np.asarray(cv2.distanceTransform(mask, cv2.DIST_L2, 3), np.float32)


def _about_middle(outline: NDArray[np.float64], mask: NDArray[np.uint8]) -> NDArray[np.float32]:
    """How deep (h, w) each pixel of ``mask`` lies in a body of several lobes: most in its middle.

    The distance to the outline would be greatest once in each lobe, which parts the body.
    """
    moments = cv2.moments(outline.astype(np.float32))
    middle = np.array([moments["m10"], moments["m01"]]) / max(moments["m00"], 1e-6)
    along = outline - middle
    at = np.arctan2(along[:, 1], along[:, 0]) % (2 * np.pi)
    order = np.argsort(at)
    far = np.hypot(along[:, 0], along[:, 1])
    row, column = np.nonzero(mask)
    x, y = column - middle[0], row - middle[1]
    rim = np.interp(np.arctan2(y, x) % (2 * np.pi), at[order], far[order], period=2 * np.pi)
    deep = np.zeros(mask.shape, np.float32)
    deep[row, column] = np.clip(1 - np.hypot(x, y) / np.maximum(rim, 1e-3), 0.02, 1)
    return deep


def visible_share(placed: Placed, size: int, seen: NDArray[np.uint8]) -> float:
    """Return how much of the body lies in the visible part of the patch, 0 to 1."""
    x, y = placed.outline.T
    whole = abs(float(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1)))) / 2
    mask = np.zeros((size, size), np.uint8)
    cv2.fillPoly(mask, [np.round(placed.outline * 16).astype(np.int32)], 1, shift=4)
    return float((mask & seen).sum()) / max(whole, 1.0)


def radii(
    outline: NDArray[np.float64], x: NDArray[np.float64], y: NDArray[np.float64]
) -> NDArray[np.float32]:
    """Return (rays, n): from each (x, y) along each ray to where it first leaves the outline."""
    rays = RAY.astype(np.float32)
    points = outline.astype(np.float32)
    here = np.column_stack([x, y]).astype(np.float32)
    along, beside = points @ rays.T, points[:, 1:] * rays[:, 0] - points[:, :1] * rays[:, 1]
    after_a, after_b = np.roll(along, -1, axis=0), np.roll(beside, -1, axis=0)
    rise = after_b - beside
    slope = (after_a - along) / np.where(np.abs(rise) < 1e-6, np.float32(1e-6), rise)
    start = along - beside * slope
    low, high = np.minimum(beside, after_b), np.maximum(beside, after_b)
    found = np.empty((RAYS, len(x)), np.float32)
    for index, (dx, dy) in enumerate(rays):
        at = here[:, 1] * dx - here[:, 0] * dy
        hit = np.multiply.outer(slope[:, index], at)
        hit += start[:, index, None]
        hit -= here[:, 0] * dx + here[:, 1] * dy
        off = (at < low[:, index, None]) | (at >= high[:, index, None]) | (hit < 0)
        hit[off] = 1e6
        found[index] = hit.min(axis=0)
    found[found > 1e5] = 0.25
    return np.maximum(found, np.float32(0.25))


def targets(bodies: list[Placed], litter: NDArray[np.uint8], seen: NDArray[np.uint8]) -> Targets:
    """Return what to learn of a patch.

    ``litter`` (size, size) is 1 where something lies that does not count (learnt with more weight),
    ``seen`` (size, size) 1 where the field is visible.
    """
    size = len(seen)
    cells = size // STRIDE
    best, second = np.zeros((2, cells, cells), np.float32)
    owner = np.full((cells, cells), -1)
    weight = np.ones((cells, cells), np.float32)
    weight += cv2.resize(litter.astype(np.float32), (cells, cells), interpolation=cv2.INTER_AREA)
    unsure = np.zeros((cells, cells), bool)
    for number, body in enumerate(bodies):
        found = depth(body, size, seen)
        if found is None:
            continue
        rows, columns, deep = found
        if not body.sure or visible_share(body, size, seen) < 0.12:
            unsure[rows, columns] |= deep > 0
            continue
        wins = deep > best[rows, columns]
        second[rows, columns] = np.maximum(
            second[rows, columns], np.minimum(deep, best[rows, columns])
        )
        best[rows, columns][wins] = deep[wins]
        owner[rows, columns][wins] = number
        cells_of = max(1.0, float((deep > 0).sum()))
        share = np.float32(np.clip((60 / cells_of) ** 0.5, 0.5, 3.5))
        weight[rows, columns][wins] = share
    near = np.clip(best - 0.5 * second, 0, 1)
    weight[unsure & (owner < 0)] = 0
    kind = np.full((cells, cells), NOTHING, np.uint8)
    radius = np.ones((RAYS, cells, cells), np.float32)
    for number, body in enumerate(bodies):
        row, column = np.nonzero(owner == number)
        if len(row):
            middle = (STRIDE - 1) / 2
            kind[row, column] = body.kind
            radius[:, row, column] = radii(
                body.outline,
                (STRIDE * column + middle).astype(np.float64),
                (STRIDE * row + middle).astype(np.float64),
            )
    return Targets(
        near.astype(np.float16), weight.astype(np.float16), kind, radius.astype(np.float16)
    )
