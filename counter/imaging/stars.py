"""From the network's answer to candidates: one star-shaped outline for each body."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.net import CLASSES, RAYS, STRIDE, Answer

Floats = NDArray[np.float64]

AT_LEAST = 0.15
SAME_BODY = 0.35
INSIDE = 0.7
TOGETHER = 0.8
"""What surer bodies together cover more of than this is the place where they meet."""

_TURNS = np.arange(RAYS) * 2 * np.pi / RAYS
RAY = np.column_stack([np.cos(_TURNS), np.sin(_TURNS)])


@dataclass(frozen=True, slots=True)
class Star:
    """A candidate: its outline (32, 2) in the network's pixels, how sure it is, classes (sum 1)."""

    outline: Floats
    depth: float
    classes: Floats


def stars(answer: Answer) -> list[Star]:
    """Return the candidates, the surest first; none overlaps a surer one by much."""
    rows, columns = _peaks(answer.depth)
    if not len(rows):
        return []
    outlines = _outlines(answer, rows, columns)
    depth = answer.depth[rows, columns].astype(np.float64)
    kept = _kept(outlines, depth)
    shares = _classes(answer, rows, columns)
    return [Star(outlines[i], float(depth[i]), shares[i]) for i in kept]


def _peaks(depth: NDArray[np.float32]) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    highest = cv2.dilate(depth, np.ones((3, 3), np.uint8))
    rows, columns = np.nonzero((depth >= highest) & (depth > AT_LEAST))
    return rows, columns


def _outlines(answer: Answer, rows: NDArray[np.intp], columns: NDArray[np.intp]) -> Floats:
    """Outlines (n, rays, 2), each the depth-weighted mean of what 3 × 3 cells around say."""
    height, width = answer.depth.shape
    total = np.zeros((len(rows), RAYS))
    weights = np.zeros((len(rows), 1))
    for down in (-1, 0, 1):
        for right in (-1, 0, 1):
            row, column = (
                np.clip(rows + down, 0, height - 1),
                np.clip(columns + right, 0, width - 1),
            )
            weight = answer.depth[row, column].astype(np.float64)[:, None] ** 2 + 1e-3
            radii = np.exp(answer.log_radius[:, row, column].T.astype(np.float64))
            away = np.column_stack([column - columns, row - rows]) * float(STRIDE)
            total += weight * _moved(radii, away)
            weights += weight
    radii = _asked_nearer(answer, rows, columns, total / weights)
    middle = np.column_stack([columns, rows]) * float(STRIDE) + (STRIDE - 1) / 2
    return np.asarray(middle[:, None, :] + radii[:, :, None] * RAY[None], np.float64)


NEARER = (0.35, 0.55, 0.72)
AGREES = 0.35
"""How much a nearer cell's answer may differ; more, and the cell belongs to a neighbour."""


def _asked_nearer(
    answer: Answer, rows: NDArray[np.intp], columns: NDArray[np.intp], radii: Floats
) -> Floats:
    """Ask cells on the way to the outline too: they know their own side of the body better."""
    height, width = answer.depth.shape
    ray = np.arange(RAYS)[None, :]
    for _ in range(2):
        total, count = radii.copy(), np.ones_like(radii)
        for share in NEARER:
            column = columns[:, None] + share * radii * RAY[:, 0] / STRIDE
            row = rows[:, None] + share * radii * RAY[:, 1] / STRIDE
            column, row = np.rint(column).astype(int), np.rint(row).astype(int)
            along = (column - columns[:, None]) * RAY[:, 0] + (row - rows[:, None]) * RAY[:, 1]
            inside = (row >= 0) & (row < height) & (column >= 0) & (column < width)
            row, column = np.clip(row, 0, height - 1), np.clip(column, 0, width - 1)
            far = along * STRIDE + np.exp(answer.log_radius[ray, row, column].astype(np.float64))
            right = inside & (np.abs(far / radii - 1) < AGREES)
            total += np.where(right, far, 0)
            count += right
        radii = total / count
    return radii


def _moved(radii: Floats, away: Floats) -> Floats:
    """Radii seen from a point that lies ``-away`` from where they were measured."""
    if not away.any():
        return radii
    points = away[:, None, :] + radii[:, :, None] * RAY[None]
    turn = np.arctan2(points[..., 1], points[..., 0]) % (2 * np.pi)
    far = np.hypot(points[..., 0], points[..., 1])
    order = np.argsort(turn, axis=1)
    turn, far = np.take_along_axis(turn, order, 1), np.take_along_axis(far, order, 1)
    turn = np.column_stack([turn[:, -1] - 2 * np.pi, turn, turn[:, 0] + 2 * np.pi])
    far = np.column_stack([far[:, -1], far, far[:, 0]])
    side = (turn[:, None, 1:-1] <= _TURNS[None, :, None]).sum(axis=2)
    start, end = np.take_along_axis(turn, side, 1), np.take_along_axis(turn, side + 1, 1)
    share = (_TURNS - start) / np.maximum(end - start, 1e-12)
    near = np.take_along_axis(far, side, 1)
    return np.asarray(near + share * (np.take_along_axis(far, side + 1, 1) - near))


def _classes(answer: Answer, rows: NDArray[np.intp], columns: NDArray[np.intp]) -> Floats:
    height, width = answer.depth.shape
    logits = np.zeros((len(rows), len(CLASSES)))
    for down in (-1, 0, 1):
        for right in (-1, 0, 1):
            row, column = (
                np.clip(rows + down, 0, height - 1),
                np.clip(columns + right, 0, width - 1),
            )
            logits += answer.classes[:, row, column].T * answer.depth[row, column][:, None]
    logits /= 9 * np.maximum(answer.depth[rows, columns], 0.2)[:, None]
    odds = np.exp(logits - logits.max(axis=1, keepdims=True))
    return np.asarray(odds / odds.sum(axis=1, keepdims=True))


def _kept(outlines: Floats, depth: Floats) -> list[int]:
    """Greedily keep the surest; drop what mostly is a body already kept, or several together."""
    low, high = outlines.min(axis=1), outlines.max(axis=1)
    hulls = [cv2.convexHull(outline.astype(np.float32)) for outline in outlines]
    areas = np.array([cv2.contourArea(hull) for hull in hulls])
    kept: list[int] = []
    for index in np.argsort(-depth, kind="stable"):
        if kept:
            near = np.array(kept)
            touching = near[
                (low[near] < high[index]).all(axis=1) & (high[near] > low[index]).all(axis=1)
            ]
        else:
            touching = np.array([], int)
        covered = 0.0
        for other in touching:
            both = cv2.intersectConvexConvex(hulls[index], hulls[other])[0]
            union = areas[index] + areas[other] - both
            if both > SAME_BODY * union or both > INSIDE * min(areas[index], areas[other]):
                break
            covered += both
            if covered > TOGETHER * areas[index]:
                break
        else:
            kept.append(int(index))
    return kept
