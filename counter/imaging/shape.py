"""How much a region looks like one body: a smooth, convex oval of a length that is looked for."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Bytes = NDArray[np.uint8]
Ints = NDArray[np.int32]
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Sizes:
    """The lengths looked for, in working pixels."""

    low_px: float
    high_px: float


@dataclass(frozen=True, slots=True)
class Shape:
    """A region's shape.

    ``solidity`` is its share of its convex hull, ``ellipticity`` its share of the ellipse with the
    same second moments (1 for an ellipse), ``notch`` and ``second_notch`` the depths of its two
    deepest bays in radii of a disc of the same area, ``length_px`` its longest extent.
    """

    area_px: float
    length_px: float
    width_px: float
    solidity: float
    ellipticity: float
    notch: float
    second_notch: float


@dataclass(frozen=True, slots=True)
class Form:
    """Of a region's shape what tells a body from a flake, as in :class:`Shape`."""

    solidity: float
    notch: float
    second_notch: float


def contour_of(mask: Bytes) -> Ints | None:
    """Return the longest outer contour (n, 2) of a mask, slightly smoothed; None if it is empty."""
    padded = cv2.copyMakeBorder(mask, 3, 3, 3, 3, cv2.BORDER_CONSTANT)
    soft = cv2.GaussianBlur(padded, (5, 5), 1.0)
    even = (soft > 127).astype(np.uint8)
    found, _ = cv2.findContours(even, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE, offset=(-3, -3))
    found = [contour for contour in found if len(contour) >= 6]
    if not found:
        return None
    return np.asarray(max(found, key=cv2.contourArea), np.int32).reshape(-1, 2)


def shape_of(contour: Ints) -> Shape | None:
    """Measure a contour of pixel centres; None where it has no area."""
    moments = cv2.moments(contour)
    inner = moments["m00"]
    if inner < 2:
        return None
    hull_index = cv2.convexHull(contour, returnPoints=False)
    hull = contour[np.asarray(hull_index, np.int32).ravel()]
    hull_area = cv2.contourArea(hull)
    around = float(cv2.arcLength(contour[:, None], True))
    area = inner + around / 2
    xx, yy, xy = (moments[key] / inner for key in ("mu20", "mu02", "mu11"))
    spread = max(xx * yy - xy * xy, 1e-9)
    radius = float(np.sqrt(area / np.pi))
    solidity = float(inner / max(hull_area, 1e-6))
    notches = np.zeros(2)
    if solidity < 0.99:
        notches = (
            _deepest_bays(contour[None], [np.asarray(hull_index, np.int32).ravel()])[0] / radius
        )
    (_, _), (side, other), _ = cv2.minAreaRect(hull)
    apart = hull[:, None, :].astype(np.float32) - hull[None, :, :]
    return Shape(
        area_px=float(area),
        length_px=float(np.sqrt((apart**2).sum(axis=2).max())) + 1,
        width_px=float(min(side, other)) + 1,
        solidity=solidity,
        ellipticity=float(inner / (4 * np.pi * np.sqrt(spread))),
        notch=float(notches[0]),
        second_notch=float(notches[1]),
    )


def _radii(contours: Ints, inner: Floats) -> Floats:
    """Radii of discs of the same areas; pixels reach half a pixel beyond their centres."""
    step = np.diff(contours, axis=1, append=contours[:, :1])
    area = inner + np.hypot(step[..., 0], step[..., 1]).sum(axis=1) / 2
    return np.asarray(np.sqrt(np.maximum(area, 1) / np.pi))


def _deepest_bays(contours: Ints, hulls: Sequence[Ints]) -> Floats:
    """The depths in pixels of the two deepest bays of contours (objects, points, 2).

    Deepest first, (objects, 2). ``hulls`` are the places of each one's corners along it. A pixel's
    stair is no bay.
    """
    count, points = contours.shape[:2]
    corner = np.zeros((count, points), bool)
    for row, hull in zip(corner, hulls, strict=True):
        row[hull] = True
    place = np.arange(points)
    before = np.maximum.accumulate(np.where(corner, place, -1), axis=1)
    before = np.where(before < 0, before[:, -1:], before)
    first = np.argmax(corner, axis=1)[:, None]
    beyond = np.where(np.roll(corner, -1, axis=1), place + 1, points)
    beyond = np.minimum.accumulate(beyond[:, ::-1], axis=1)[:, ::-1]
    beyond = np.where(beyond == points, first, beyond)
    start = np.take_along_axis(contours, before[..., None], axis=1).astype(np.float64)
    edge = np.take_along_axis(contours, beyond[..., None], axis=1) - start
    off = contours - start
    length = np.maximum(np.hypot(edge[..., 0], edge[..., 1]), 1e-9)
    depth = np.abs(off[..., 0] * edge[..., 1] - off[..., 1] * edge[..., 0]) / length
    deepest = np.zeros((count, points))
    np.maximum.at(deepest, (np.arange(count)[:, None], before), depth)
    return np.maximum(np.sort(deepest, axis=1)[:, :-3:-1] - 0.7, 0)


def forms_of(contours: Ints) -> list[Form | None]:
    """Measure contours of equally many pixel centres (objects, points, 2); None without area."""
    hulls = [cv2.convexHull(contour, returnPoints=False).ravel() for contour in contours]
    around = [cv2.contourArea(c[hull]) for c, hull in zip(contours, hulls, strict=True)]
    after = np.roll(contours, -1, axis=1).astype(np.float64)
    cross = contours[..., 0] * after[..., 1] - contours[..., 1] * after[..., 0]
    inner = np.abs(cross.sum(axis=1)) / 2
    solidity = inner / np.maximum(around, 1e-6)
    notches = _deepest_bays(contours, hulls) / _radii(contours, inner)[:, None]
    notches[solidity >= 0.99] = 0
    rows = np.column_stack([solidity, notches]).tolist()
    return [Form(*row) if area >= 2 else None for row, area in zip(rows, inner, strict=True)]


def likeness(shape: Shape, sizes: Sizes) -> float:
    """Say from 0 to 1 how much this is the shape of one body of a length that is looked for."""
    return roundness(shape) * size_fit(shape.length_px, sizes)


def roundness(shape: Shape) -> float:
    """Say from 0 to 1 how much this is a smooth convex oval, whatever its size."""
    pixels = min(0.03, 0.35 / np.sqrt(shape.area_px))
    terms = (
        (shape.solidity + pixels - 0.885) / 0.02,
        (shape.ellipticity - 0.87) / 0.025,
        (0.23 - shape.second_notch) / 0.04,
        (0.42 - shape.notch) / 0.06,
        (shape.width_px / shape.length_px - 0.5) / 0.03,
    )
    return float(np.prod([1 / (1 + np.exp(-term)) for term in terms]))


def size_fit(length_px: float, sizes: Sizes) -> float:
    """Say from 0 to 1 how well a length fits; 1 within the limits, falling softly outside."""
    short = max(0.0, (sizes.low_px - length_px) / (0.2 * sizes.low_px))
    long = max(0.0, (length_px - sizes.high_px) / (0.2 * sizes.high_px))
    return float(np.exp(-(short**2) - long**2))


DIRECTIONS = 72


def off_ellipse(outline: Floats) -> float:
    """How far an outline (n, 2), points all round, strays from the ellipse of its second moments.

    The standard deviation over all directions of how far the outline is from the middle, where the
    ellipse is 1 away: 0 for an ellipse, however long. Infinite for an outline without area.
    """
    points = np.asarray(outline - outline.mean(axis=0), np.float32)
    found = cv2.moments(points[:, None])
    area = found["m00"]
    if not area:
        return float("inf")
    spread = np.array([[found["mu20"], found["mu11"]], [found["mu11"], found["mu02"]]]) / area
    size, along = np.linalg.eigh(spread)
    middle = np.array([found["m10"], found["m01"]]) / area
    across, down = ((points - middle) @ along / (2 * np.sqrt(np.maximum(size, 1e-9)))).T
    angle, away = np.arctan2(down, across), np.hypot(across, down)
    order = np.argsort(angle)
    every = np.linspace(-np.pi, np.pi, DIRECTIONS, endpoint=False)
    return float(np.interp(every, angle[order], away[order], period=2 * np.pi).std())
