"""Polygons: clipped by a line or by the picture, united, made simple."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

RASTER_PX = 1024
"""How many cells of a grid the longest side of a united polygon spans."""


def half_plane(points: Floats, place: Floats, normal: Floats) -> Floats:
    """Return what of a polygon (n, 2) lies where ``(point - place) · normal`` is not negative.

    Sutherland IE, Hodgman GW (1974), Reentrant polygon clipping. Commun. ACM 17:32-42. Nothing
    left gives (0, 2). Pieces of a bent polygon stay joined by sides along the line.
    """
    if not len(points):
        return points
    height = (points - place) @ normal
    after, next_height = np.roll(points, -1, axis=0), np.roll(height, -1)
    kept: list[Floats] = []
    for index in range(len(points)):
        here, there = height[index], next_height[index]
        if here >= 0:
            kept.append(points[index])
        if (here >= 0) != (there >= 0):
            kept.append(points[index] + (after[index] - points[index]) * here / (here - there))
    return np.array(kept) if kept else np.zeros((0, 2))


def inside_picture(points: Floats, width_px: int, height_px: int) -> tuple[Floats, bool]:
    """Clip a polygon at a picture's border; say whether the border cut or touches it."""
    low, high = np.array([-0.5, -0.5]), np.array([width_px - 0.5, height_px - 0.5])
    clipped = points
    for axis in (0, 1):
        normal = np.eye(2)[axis]
        clipped = half_plane(clipped, low, normal)
        clipped = half_plane(clipped, high, -normal)
    touches = bool((points <= low).any() or (points >= high).any())
    return clipped, touches


def is_simple(points: Floats) -> bool:
    """Whether no two sides of a closed polygon cross."""
    a, b = points, np.roll(points, -1, axis=0)

    def turn(p: Floats, q: Floats, r: Floats) -> Floats:
        return np.asarray(
            (q[..., 0] - p[..., 0]) * (r[..., 1] - p[..., 1])
            - (q[..., 1] - p[..., 1]) * (r[..., 0] - p[..., 0])
        )

    a1, b1, a2, b2 = a[:, None], b[:, None], a[None], b[None]
    apart = (turn(a1, b1, a2) * turn(a1, b1, b2) < 0) & (turn(a2, b2, a1) * turn(a2, b2, b1) < 0)
    return not bool(apart.any())


def united(polygons: Sequence[Floats], gap: float = 0.0) -> Floats:
    """Return the outline round several polygons; where they lie apart, their convex hull.

    What lies apart by no more than ``gap`` is bridged. Also turns one polygon that crosses itself
    into the outline round all that it encloses. Accurate to about a thousandth of the longest side.
    """
    every = np.vstack(polygons)
    low = every.min(axis=0)
    step = max(float(np.ptp(every, axis=0).max()) / RASTER_PX, 1e-6)
    size = np.ceil(np.ptp(every, axis=0) / step).astype(int) + 5
    grid = np.zeros((int(size[1]), int(size[0])), np.uint8)
    for polygon in polygons:
        cells = np.round((polygon - low) / step).astype(np.int32) + 2
        own = np.zeros_like(grid)
        cv2.polylines(own, [cells], True, 255)
        outer, _ = cv2.findContours(own, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
        cv2.drawContours(grid, outer, -1, 255, -1)
    if gap > 0:
        reach = round(gap / step / 2) + 1
        tip = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * reach + 1, 2 * reach + 1))
        bridged = cv2.morphologyEx(np.pad(grid, reach), cv2.MORPH_CLOSE, tip)
        grid = np.asarray(bridged, np.uint8)[reach:-reach, reach:-reach].copy()
    contours, _ = cv2.findContours(grid, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    if len(contours) > 1:
        round_all = cv2.convexHull(np.vstack([np.asarray(each) for each in contours]))
    else:
        round_all = cv2.approxPolyDP(contours[0], 0.8, True)
    cells = np.asarray(round_all, np.float64).reshape(-1, 2)
    return np.asarray((cells - 2) * step + low)


def contains(points: Floats, x: float, y: float) -> bool:
    """Whether (x, y) lies inside or on a closed polygon."""
    return cv2.pointPolygonTest(points.astype(np.float32)[:, None], (x, y), False) >= 0
