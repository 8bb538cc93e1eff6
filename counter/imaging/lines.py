"""Rulings of the chamber: lines that cross the whole field, at any angle, thin or wide.

A ruling is straight and crosses the field; nothing else on a slide does. Places with a strong
gradient vote for the line that passes through them at right angles to it (Hough transform by
gradient direction; Ballard 1981, Pattern Recognit. 13:111-122). What is done with the lines is in
:mod:`counter.imaging.unruled` and :mod:`counter.imaging.ruled`.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.light import Flat
from counter.imaging.shape import Sizes

Floats = NDArray[np.float64]
Bytes = NDArray[np.uint8]

MOST_VOTERS = 150_000
SHARE_OF_CHORD = 0.45
"""How much of the way across the field a line must show."""

WIDEST = 3.5
"""A line is at most this many shortest bodies wide, with both its flanks."""


@dataclass(frozen=True, slots=True)
class Line:
    """A ruling in working pixels: its points p have ``(p - centre) · normal`` within the band."""

    angle: float
    low: float
    high: float


def lines_of(flat: Flat, seen: Bytes, sizes: Sizes) -> list[Line]:
    """Return what may be rulings; ``seen`` is 255 where the picture shows the field."""
    x, y, angle = _voters(flat, seen)
    if len(x) < 200:
        return []
    found: list[Line] = []
    for rough in _directions(angle):
        away = np.abs((angle - rough + np.pi / 2) % np.pi - np.pi / 2)
        near = away < np.deg2rad(9)
        exact = _exact_angle(x[near], y[near], rough)
        if any(abs((exact - each.angle + np.pi / 2) % np.pi - np.pi / 2) < 0.03 for each in found):
            continue
        found.extend(_at_angle(x[near], y[near], exact, seen, sizes))
    return found


def _voters(flat: Flat, seen: Bytes) -> tuple[Floats, Floats, Floats]:
    """Places with a clear gradient, from the middle of the picture, and its direction."""
    half = (max(1, seen.shape[1] // 2), max(1, seen.shape[0] // 2))
    soft = cv2.resize(flat.contrast, half, interpolation=cv2.INTER_AREA)
    along_x = np.asarray(cv2.Sobel(soft, cv2.CV_32F, 1, 0, scale=0.125), np.float32)
    along_y = np.asarray(cv2.Sobel(soft, cv2.CV_32F, 0, 1, scale=0.125), np.float32)
    steep = np.asarray(cv2.magnitude(along_x, along_y))
    inner = cv2.erode(cv2.resize(seen, half, interpolation=cv2.INTER_AREA), np.ones((5, 5)))
    places = np.flatnonzero((steep > flat.noise) & (inner > 250))
    rows, columns = np.divmod(places[:: max(1, -(-len(places) // MOST_VOTERS))], half[0])
    angle = np.arctan2(along_y[rows, columns], along_x[rows, columns]) % np.pi
    height, width = seen.shape
    return (
        columns * 2 + 0.5 - (width - 1) / 2.0,
        rows * 2 + 0.5 - (height - 1) / 2.0,
        angle.astype(np.float64),
    )


def _directions(angle: Floats) -> list[float]:
    """Up to four directions that stand out among the gradients' own, in radians."""
    votes = np.bincount((angle / np.pi * 180).astype(int) % 180, minlength=180).astype(float)
    wide = np.convolve(np.concatenate([votes[-3:], votes, votes[:3]]), np.ones(5) / 5, "same")[3:-3]
    usual = float(np.median(wide))
    found: list[float] = []
    for _ in range(4):
        top = int(wide.argmax())
        if wide[top] < 1.3 * usual + 3:
            break
        found.append(np.deg2rad(top + 0.5))
        wide[(np.arange(top - 9, top + 10)) % 180] = 0
    return found


def _exact_angle(x: Floats, y: Floats, rough: float) -> float:
    """The angle at which the votes fall onto the fewest lines, to a twentieth of a degree.

    The voters stand two pixels apart, and so do the places that they are counted at: finer ones
    would be filled every other time along the rows and columns, and those would win.
    """
    every = max(1, len(x) // 8000)
    angle = rough
    for offs in (np.arange(-4, 4.01, 0.25), np.arange(-0.25, 0.26, 0.05)):
        angles = angle + np.deg2rad(offs)
        angle = float(angles[np.argmax([_sharpness(x[::every], y[::every], at) for at in angles])])
    return angle


def _sharpness(x: Floats, y: Floats, angle: float) -> float:
    """How unevenly votes fall onto the lines at an angle: the sum of their counts squared."""
    away = x * np.cos(angle) + y * np.sin(angle)
    votes = np.bincount(((away - away.min()) / 2).astype(int)).astype(float)
    return float((votes**2).sum())


def _at_angle(x: Floats, y: Floats, angle: float, seen: Bytes, sizes: Sizes) -> list[Line]:
    """The lines at one angle: places where votes fill most of the way across the field."""
    height, width = seen.shape
    half = int(np.hypot(height, width) / 2) + 3
    away = x * np.cos(angle) + y * np.sin(angle)
    along = -x * np.sin(angle) + y * np.cos(angle)
    cells = np.unique(
        np.round(away + half).astype(np.int64) * 4096
        + np.round((along + half) / 3).astype(np.int64)
    )
    filled = np.bincount(cells // 4096, minlength=2 * half + 1).astype(float) * 3
    filled = np.convolve(filled, [0.5, 1, 0.5], "same")
    across = (np.arange(0, width, 4) - (width - 1) / 2) * np.cos(angle)
    down = (np.arange(0, height, 4) - (height - 1) / 2) * np.sin(angle)
    field = (across + down[:, None])[seen[::4, ::4] > 0]
    chord = np.bincount(np.round(field + half).astype(int), minlength=2 * half + 1) * 16.0
    chord = np.convolve(chord, np.ones(9) / 9, "same")
    hit = filled > SHARE_OF_CHORD * chord
    if not (hit & (chord > 6 * sizes.low_px)).any():
        return []
    hit &= chord > 2.5 * sizes.low_px  # beside a sure line, short ones across a corner too
    return [
        Line(angle, low - half - 2.0, high - half + 2.0)
        for low, high in _runs(np.flatnonzero(hit), max(3.0, 0.6 * sizes.low_px))
        if high - low < WIDEST * sizes.low_px
    ]


def _runs(places: NDArray[np.int64], gap: float) -> list[tuple[int, int]]:
    """Join places that are at most ``gap`` apart: the two edges of a line are one line."""
    runs: list[tuple[int, int]] = []
    for place in places:
        if runs and place - runs[-1][1] <= gap:
            runs[-1] = (runs[-1][0], int(place))
        else:
            runs.append((int(place), int(place)))
    return runs
