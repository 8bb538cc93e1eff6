"""Rulings of the chamber: found as lines across the whole field and taken out of the contrast.

A ruling is straight and crosses the field; nothing else on a slide does. Places with a strong
gradient vote for the line that passes through them at right angles to it (Hough transform by
gradient direction; Ballard 1981, Pattern Recognit. 13:111-122). The profile across a line, as a
median along it, is then taken out, so that a body that a line crosses stays in one piece.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.light import Flat
from counter.imaging.rays import sample
from counter.imaging.shape import Sizes

Floats = NDArray[np.float64]
Bytes = NDArray[np.uint8]

MOST_VOTERS = 60_000
SHARE_OF_CHORD = 0.45
"""How much of the way across the field a line must show."""


@dataclass(frozen=True, slots=True)
class Line:
    """A ruling in working pixels: its points p have ``(p - centre) · normal`` within the band."""

    angle: float
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Ruled:
    """The contrast without its rulings, and 255 in ``bands`` where one was."""

    flat: Flat
    bands: Bytes
    lines: tuple[Line, ...]


def without_rulings(flat: Flat, seen: Bytes, sizes: Sizes) -> Ruled:
    """Find the rulings and take them out; without any, the contrast is returned as it is."""
    bands = np.zeros(seen.shape, np.uint8)
    lines = _lines(flat, seen, sizes)
    if not lines:
        return Ruled(flat, bands, ())
    contrast = flat.contrast.copy()
    kept = []
    for line in lines:
        if _take_out(contrast, bands, line, flat, seen, sizes):
            kept.append(line)
    return Ruled(replace(flat, contrast=contrast), bands, tuple(kept))


def _lines(flat: Flat, seen: Bytes, sizes: Sizes) -> list[Line]:
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
    rows, columns = np.nonzero((steep > flat.noise) & (inner > 250))
    every = max(1, -(-len(rows) // MOST_VOTERS))
    rows, columns = rows[::every], columns[::every]
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
    """The angle at which the votes fall onto the fewest lines."""
    best, sharpest = rough, -1.0
    every = max(1, len(x) // 8000)
    for off in np.deg2rad(np.arange(-4, 4.01, 0.25)):
        away = x[::every] * np.cos(rough + off) + y[::every] * np.sin(rough + off)
        votes = np.bincount((away - away.min()).astype(int)).astype(float)
        sharp = float((votes**2).sum())
        if sharp > sharpest:
            best, sharpest = rough + off, sharp
    return best


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
    rows, columns = np.nonzero(seen[::4, ::4])
    field = (columns * 4 - (width - 1) / 2) * np.cos(angle) + (
        rows * 4 - (height - 1) / 2
    ) * np.sin(angle)
    chord = np.bincount(np.round(field + half).astype(int), minlength=2 * half + 1) * 16.0
    chord = np.convolve(chord, np.ones(9) / 9, "same")
    hit = filled > SHARE_OF_CHORD * chord
    if not (hit & (chord > 6 * sizes.low_px)).any():
        return []
    hit &= chord > 2.5 * sizes.low_px  # beside a sure line, short ones across a corner too
    return [
        Line(angle, low - half - 2.0, high - half + 2.0)
        for low, high in _runs(np.flatnonzero(hit), max(3.0, 0.6 * sizes.low_px))
        if high - low < 3.5 * sizes.low_px
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


def _take_out(
    contrast: NDArray[np.float32],
    bands: Bytes,
    line: Line,
    flat: Flat,
    seen: Bytes,
    sizes: Sizes,
) -> bool:
    """Take one line out of ``contrast`` in place and note its band; False where it is none."""
    height, width = seen.shape
    cos, sin = float(np.cos(line.angle)), float(np.sin(line.angle))
    middle = np.array([(width - 1) / 2, (height - 1) / 2])
    half = int(np.hypot(height, width) / 2)
    along = np.arange(-half, half + 1.0)
    across = np.arange(np.floor(line.low) - 3, np.ceil(line.high) + 4)
    places_x = middle[0] + cos * across[None, :] - sin * along[:, None]
    places_y = middle[1] + sin * across[None, :] + cos * along[:, None]
    inside = (places_x >= 0) & (places_x <= width - 1) & (places_y >= 0) & (places_y <= height - 1)
    on_field = inside[:, len(across) // 2] & (
        sample(seen, places_x[:, len(across) // 2], places_y[:, len(across) // 2]) > 250
    )
    first, last = np.flatnonzero(on_field)[[0, -1]] if on_field.any() else (0, 0)
    if last - first < 2 * sizes.low_px:
        return False
    part = slice(first, last + 1)
    strip = sample(flat.contrast, places_x[part], places_y[part]).astype(np.float64)
    strip[~inside[part]] = np.nan
    profile, share = _profile(strip, sizes, flat.noise)
    if share < SHARE_OF_CHORD:
        return False
    rows, columns = _band(line, seen)
    here = np.column_stack([columns, rows]) - middle
    t = np.clip((-here[:, 0] * sin + here[:, 1] * cos + half - first) / len(strip), 0, 1)
    u = here[:, 0] * cos + here[:, 1] * sin - across[0]
    level = sample(profile, u, t * (len(profile) - 1)).astype(np.float64)
    value = contrast[rows, columns].astype(np.float64)
    transmitted = level < 0
    value = np.where(transmitted, (1 + value) / np.maximum(1 + level, 0.25) - 1, value - level)
    value = _calmed(value, u, flat.noise)
    crossing = bands[rows, columns] > 0
    smaller = np.where(
        np.abs(value) < np.abs(contrast[rows, columns]), value, contrast[rows, columns]
    )
    contrast[rows, columns] = np.where(crossing, smaller, value)
    bands[rows, columns] = 255
    return True


def _profile(strip: Floats, sizes: Sizes, noise: float) -> tuple[NDArray[np.float32], float]:
    """The profile across a line in pieces along it, and how much of the line shows it.

    A piece is long enough that a body on the line does not pull its median.
    """
    pieces = max(1, int(len(strip) / max(60.0, 4 * min(sizes.high_px, 6 * sizes.low_px))))
    with np.errstate(all="ignore"):
        parts = [np.nan_to_num(_median(part)) for part in np.array_split(strip, pieces)]
    profile = np.array(parts, np.float32)
    core = profile[:, 3:-3] if profile.shape[1] > 8 else profile
    shown = np.abs(core).max(axis=1) > 2.5 * noise
    fitting = _agreement(strip, profile, pieces)
    return profile, float(shown.mean()) * fitting


def _calmed(value: Floats, across: Floats, noise: float) -> Floats:
    """Shrink what a line leaves behind (scratches, its jagged flanks) towards water.

    How far is learnt at each distance from the line's edge: twice the usual remainder there, so
    that a body on the line, which differs by more, still shows.
    """
    place = np.clip(np.round(across).astype(int), 0, None)
    order = np.argsort(place, kind="stable")
    cuts = np.searchsorted(place[order], np.arange(place.max() + 2))
    size = np.abs(value)
    usual = np.zeros(place.max() + 1)
    for index, (start, stop) in enumerate(pairwise(cuts)):
        if stop > start:
            usual[index] = float(np.percentile(size[order[start:stop]], 60))
    shrunk = np.maximum(0, size - 2 * np.maximum(usual - noise, 0)[place])
    return np.asarray(np.sign(value) * shrunk)


def _median(part: Floats) -> Floats:
    kept = part[np.isfinite(part).all(axis=1)]
    return np.median(kept, axis=0) if len(kept) else np.zeros(part.shape[1])


def _agreement(strip: Floats, profile: NDArray[np.float32], pieces: int) -> float:
    """The share of places along a line whose own profile runs like the line's."""
    agreeing = []
    for part, level in zip(np.array_split(strip, pieces), profile, strict=True):
        ideal = level - level.mean()
        if not np.abs(ideal).max() > 0:
            agreeing.append(0.0)
            continue
        smooth = np.nan_to_num(part)
        projected = (smooth - smooth.mean(axis=1, keepdims=True)) @ ideal / (ideal @ ideal)
        agreeing.append(float((projected > 0.4).mean()))
    return float(np.mean(agreeing))


def _band(line: Line, seen: Bytes) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """The pixels of a line's band."""
    height, width = seen.shape
    middle = np.array([(width - 1) / 2, (height - 1) / 2])
    normal = np.array([np.cos(line.angle), np.sin(line.angle)])
    along = np.array([-normal[1], normal[0]]) * np.hypot(height, width)
    corners = [
        middle + normal * away + along * sign
        for away, sign in ((line.low, -1), (line.low, 1), (line.high, 1), (line.high, -1))
    ]
    mask = np.zeros(seen.shape, np.uint8)
    cv2.fillPoly(mask, [np.round(np.array(corners)).astype(np.int32)], 255)
    rows, columns = np.nonzero(mask & seen)
    return rows, columns


def bridged(standing: Bytes, bands: Bytes, width_px: int) -> Bytes:
    """Close, inside the bands only, what a line has cut through.

    What stands out within a band alone is a remainder of the line and goes.
    """
    count, labels = cv2.connectedComponents(standing, connectivity=8)
    beside = np.zeros(count, bool)
    beside[np.unique(labels[bands == 0])] = True
    beside[0] = False
    standing = np.where(beside[labels], standing, 0).astype(np.uint8)
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (width_px, width_px))
    closed = np.asarray(cv2.morphologyEx(standing, cv2.MORPH_CLOSE, kernel), np.uint8)
    return np.asarray(standing | (closed & bands), np.uint8)
