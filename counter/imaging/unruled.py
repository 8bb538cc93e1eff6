"""Rulings taken out of the contrast, so that a body that a line crosses stays in one piece.

The profile across a line, as a median along it, is taken out of it. A wide groove hides so much
that more would be lost with it than won: it is noted and left where it is.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.light import Flat
from counter.imaging.lines import SHARE_OF_CHORD, Line, lines_of
from counter.imaging.rays import sample
from counter.imaging.shape import Sizes

Floats = NDArray[np.float64]
Bytes = NDArray[np.uint8]
Ints = NDArray[np.int64]

WIDE = 2.0
"""From this many shortest bodies on a line is a wide groove."""

HIDING, BESIDE_PX = 0.3, 1
"""A line hides rims where it has this share of its strength, and so many working pixels beside."""


@dataclass(frozen=True, slots=True)
class Ruled:
    """The contrast without its rulings, and 255 in ``bands`` where one was taken out.

    ``covered`` is 255 also where a wide groove lies; ``lines`` are all of them. ``hiding`` is 255
    only where a line itself is so strong, or so near, that no rim can be followed: a band is wider.
    """

    flat: Flat
    bands: Bytes
    lines: tuple[Line, ...]
    covered: Bytes
    hiding: Bytes


@dataclass(frozen=True, slots=True)
class _Followed:
    """A line that is one: ``profile`` (pieces along it, across it) in the frame of the line.

    ``start`` is where along the line the profile begins and ``length`` how far it goes, both in
    pixels from the foot of the perpendicular from the middle of the picture; ``across`` is where
    its first column lies.
    """

    line: Line
    profile: NDArray[np.float32]
    start: float
    length: int
    across: float


def without_rulings(flat: Flat, seen: Bytes, sizes: Sizes) -> Ruled:
    """Find the rulings and take them out; without any, the contrast is returned as it is."""
    bands = np.zeros(seen.shape, np.uint8)
    lines = [
        followed
        for line in lines_of(flat, seen, sizes)
        if (followed := _followed(line, flat, seen, sizes)) is not None
    ]
    if not lines:
        return Ruled(flat, bands, (), bands, bands)
    contrast = flat.contrast.copy()
    covered, hiding = bands.copy(), bands.copy()
    for each in lines:
        rows, columns = _band(each.line, seen)
        covered[rows, columns] = 255
        if each.line.high - each.line.low < WIDE * sizes.low_px:
            level = _take_out(contrast, bands, rows, columns, each, flat.noise)
            hiding[rows, columns] |= np.where(np.abs(level) > _strong(each), 255, 0).astype(
                np.uint8
            )
    kept = tuple(each.line for each in lines)
    near = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * BESIDE_PX + 1, 2 * BESIDE_PX + 1))
    hiding = np.asarray(cv2.dilate(hiding, near), np.uint8)
    return Ruled(replace(flat, contrast=contrast), bands, kept, covered, hiding)


def _strong(each: _Followed) -> float:
    """How far from the water a line's light must be to hide a rim."""
    return HIDING * float(np.abs(each.profile).max())


def _followed(line: Line, flat: Flat, seen: Bytes, sizes: Sizes) -> _Followed | None:
    """Look along a line; None where it does not show most of the way across the field."""
    height, width = seen.shape
    cos, sin = float(np.cos(line.angle)), float(np.sin(line.angle))
    half = int(np.hypot(height, width) / 2)
    along = np.arange(-half, half + 1.0)
    across = np.arange(np.floor(line.low) - 3, np.ceil(line.high) + 4)
    x = (width - 1) / 2 + cos * across[None, :] - sin * along[:, None]
    y = (height - 1) / 2 + sin * across[None, :] + cos * along[:, None]
    inside = (x >= 0) & (x <= width - 1) & (y >= 0) & (y <= height - 1)
    core = len(across) // 2
    on_field = inside[:, core] & (sample(seen, x[:, core], y[:, core]) > 250)
    first, last = np.flatnonzero(on_field)[[0, -1]] if on_field.any() else (0, 0)
    if last - first < 2 * sizes.low_px:
        return None
    part = slice(first, last + 1)
    strip = sample(flat.contrast, x[part], y[part]).astype(np.float64)
    strip[~inside[part]] = np.nan
    profile, share = _profile(strip, sizes, flat.noise)
    if share < SHARE_OF_CHORD:
        return None
    return _Followed(line, profile, float(along[first]), len(strip), float(across[0]))


def _take_out(
    contrast: NDArray[np.float32],
    bands: Bytes,
    rows: Ints,
    columns: Ints,
    each: _Followed,
    noise: float,
) -> Floats:
    """Take one line out of ``contrast`` at its pixels (``rows``, ``columns``); note its band.

    Return how far the line's own light is from the water's there.
    """
    height, width = contrast.shape
    cos, sin = float(np.cos(each.line.angle)), float(np.sin(each.line.angle))
    x, y = columns - (width - 1) / 2, rows - (height - 1) / 2
    t = np.clip((y * cos - x * sin - each.start) / each.length, 0, 1)
    u = x * cos + y * sin - each.across
    level = sample(each.profile, u, t * (len(each.profile) - 1)).astype(np.float64)
    before = contrast[rows, columns].astype(np.float64)
    transmitted = (1 + before) / np.maximum(1 + level, 0.25) - 1
    value = _calmed(np.where(level < 0, transmitted, before - level), u, noise)
    smaller = np.where(np.abs(value) < np.abs(before), value, before)
    contrast[rows, columns] = np.where(bands[rows, columns] > 0, smaller, value)
    bands[rows, columns] = 255
    return level


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


def _band(line: Line, seen: Bytes) -> tuple[Ints, Ints]:
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
