"""Length, width and area of an outline.

Length and width are the maximum and minimum Feret (caliper) diameters of the polygon. Both are
reached at its convex hull: the longest lies between two hull vertices, the shortest stands on a
hull edge (Freeman H, Shapira R (1975), Determining the minimum-area encasing rectangle for an
arbitrary closed curve. Commun. ACM 18:409-413; Shamos MI (1978), Computational geometry, thesis,
Yale University). Both are exact for the polygon, with no stepping through angles.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.domain.mark import Point

Floats = NDArray[np.float64]

AT_ONCE = 256
"""How many outlines are measured at once: each takes some tens of kilobytes meanwhile."""


@dataclass(frozen=True, slots=True)
class Measures:
    """What an outline measures; ``x_px, y_px`` is the centroid of its area."""

    length_um: float
    width_um: float
    area_um2: float
    x_px: float
    y_px: float


def measure(outline_px: Sequence[Point] | Floats, um_per_px: float) -> Measures:
    """Measure a closed polygon.

    ``outline_px`` holds at least 3 points (x, y) in pixels, the last joined to the first, in either
    direction. An outline without area (all points on one line) has width and area 0 and its
    centroid at the mean of its points. Raises :class:`ValueError` for fewer than 3 points.
    """
    points = np.asarray(outline_px, dtype=np.float64).reshape(-1, 2)
    if len(points) < 3:
        raise ValueError(f"an outline needs at least 3 points, not {len(points)}")
    return measure_all(points[None], um_per_px)[0]


def measure_all(outlines_px: Floats, um_per_px: float) -> list[Measures]:
    """Measure closed polygons of equally many points (objects, points, 2), as :func:`measure`."""
    if not len(outlines_px):
        return []
    ferets = ferets_px(outlines_px) * um_per_px
    areas, centres = areas_and_centres(outlines_px)
    rows = np.column_stack([ferets, areas * um_per_px**2, centres])
    return [Measures(*row) for row in rows.tolist()]


def feret_px(points: Floats) -> tuple[float, float]:
    """Return the maximum and the minimum Feret diameter of (n, 2) points, in their own unit."""
    longest, shortest = ferets_px(points[None])[0].tolist()
    return longest, shortest


def ferets_px(outlines: Floats) -> Floats:
    """Return maximum and minimum Feret diameters (objects, 2) of outlines (objects, points, 2)."""
    if not len(outlines):
        return np.zeros((0, 2))
    if len(outlines) > AT_ONCE:
        parts = range(0, len(outlines), AT_ONCE)
        return np.concatenate([ferets_px(outlines[at : at + AT_ONCE]) for at in parts])
    corners = _hulls(outlines - outlines.mean(axis=1, keepdims=True))
    x, y = np.ascontiguousarray(corners[..., 0]), np.ascontiguousarray(corners[..., 1])
    longest = _longest(x, y)
    edge_x, edge_y = np.roll(x, -1, axis=1) - x, np.roll(y, -1, axis=1) - y
    length = np.hypot(edge_x, edge_y)
    real = length > 0
    length[~real] = 1.0
    edge_x, edge_y = edge_x / length, edge_y / length
    starts = x * edge_y - y * edge_x
    off = x[:, :, None] * edge_y[:, None, :] - y[:, :, None] * edge_x[:, None, :]
    heights = np.abs(off - starts[:, None, :]).max(axis=1)
    shortest = np.where(real, heights, np.inf).min(axis=1)
    shortest[real.sum(axis=1) < 3] = 0.0
    return np.column_stack([longest, shortest])


def longest_px(outlines: Floats) -> Floats:
    """Return the maximum Feret diameters (objects,) of outlines (objects, points, 2)."""
    parts = [outlines[at : at + AT_ONCE] for at in range(0, len(outlines), AT_ONCE)]
    found = [np.zeros(0)]
    for part in parts:
        corners = _hulls(part - part.mean(axis=1, keepdims=True))
        found.append(_longest(corners[..., 0], corners[..., 1]))
    return np.concatenate(found)


def _longest(x: Floats, y: Floats) -> Floats:
    """The longest way between two of each object's corners (objects, corners).

    A corner is compared with those up to half the way round from it: the others have it so near.
    """
    count, corners = x.shape
    ahead = np.arange(corners)[:, None] + np.arange(1, corners // 2 + 1)
    apart = np.take(x, ahead, axis=1, mode="wrap") - x[..., None]
    np.multiply(apart, apart, out=apart)
    other = np.take(y, ahead, axis=1, mode="wrap") - y[..., None]
    np.multiply(other, other, out=other)
    apart += other
    return np.asarray(np.sqrt(apart.reshape(count, -1).max(axis=1, initial=0.0)))


def _hulls(outlines: Floats) -> Floats:
    """The corners of the convex hulls (objects, most corners, 2); spare places repeat the last."""
    single = outlines.astype(np.float32)
    picks = [cv2.convexHull(each, returnPoints=False).ravel() for each in single]
    chosen = np.empty((len(picks), max(map(len, picks))), np.intp)
    for row, pick in zip(chosen, picks, strict=True):
        row[: len(pick)] = pick
        row[len(pick) :] = pick[-1]
    return np.asarray(np.take_along_axis(outlines, chosen[..., None], axis=1))


def area_and_centre(points: Floats) -> tuple[float, Floats]:
    """Return the area of a polygon and the centroid of that area (shoelace formula)."""
    areas, centres = areas_and_centres(points[None])
    return float(areas[0]), centres[0]


def areas_and_centres(outlines: Floats) -> tuple[Floats, Floats]:
    """Return areas (objects,) and their centroids (objects, 2) of outlines (objects, points, 2)."""
    origins = outlines.mean(axis=1)
    here = outlines - origins[:, None, :]
    after = np.roll(here, -1, axis=1)
    cross = here[..., 0] * after[..., 1] - after[..., 0] * here[..., 1]
    area = cross.sum(axis=1) / 2
    empty = np.abs(area) < 1e-12
    area[empty] = 1.0
    off = ((here + after) * cross[..., None]).sum(axis=1) / (6 * area[:, None])
    off[empty] = 0.0
    return np.where(empty, 0.0, np.abs(area)), origins + off
