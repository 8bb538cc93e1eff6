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
    longest, shortest = feret_px(points)
    area, centre = area_and_centre(points)
    return Measures(
        length_um=longest * um_per_px,
        width_um=shortest * um_per_px,
        area_um2=area * um_per_px**2,
        x_px=float(centre[0]),
        y_px=float(centre[1]),
    )


def feret_px(points: Floats) -> tuple[float, float]:
    """Return the maximum and the minimum Feret diameter of (n, 2) points, in their own unit."""
    origin = points.mean(axis=0)
    hull = cv2.convexHull((points - origin).astype(np.float32), returnPoints=False).ravel()
    corners = points[hull] - origin
    apart = corners[:, None, :] - corners[None, :, :]
    longest = float(np.sqrt((apart**2).sum(axis=2).max()))
    edges = np.roll(corners, -1, axis=0) - corners
    lengths = np.hypot(edges[:, 0], edges[:, 1])
    edges, starts = edges[lengths > 0], corners[lengths > 0]
    if len(edges) < 3:
        return longest, 0.0
    normals = np.column_stack([-edges[:, 1], edges[:, 0]]) / lengths[lengths > 0, None]
    heights = np.abs(corners @ normals.T - (starts * normals).sum(axis=1))
    return longest, float(heights.max(axis=0).min())


def area_and_centre(points: Floats) -> tuple[float, Floats]:
    """Return the area of a polygon and the centroid of that area (shoelace formula)."""
    origin = points.mean(axis=0)
    here = points - origin
    after = np.roll(here, -1, axis=0)
    cross = here[:, 0] * after[:, 1] - after[:, 0] * here[:, 1]
    area = float(cross.sum()) / 2
    if abs(area) < 1e-12:
        return 0.0, origin
    centre = ((here + after) * cross[:, None]).sum(axis=0) / (6 * area)
    return abs(area), origin + centre
