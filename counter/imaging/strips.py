"""Rulings followed at full resolution: each is placed piece by piece, in a narrow strip along it.

Where the lines run is known to a pixel or two. Every piece of a line (the median along it, so that
a body on it is outvoted) is laid over what all pieces of its family look like, and moved until it
fits best. That places dark lines, bright ones, wide grooves and double lines alike.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view

from counter.imaging.evenly import Placed
from counter.imaging.grid import Starts
from counter.imaging.straight import Bools, Floats, Grey, upright_part

PIECE_PX = 40
"""How long a piece of a line is."""

ALIKE = 0.5
"""How well (cosine) a piece must fit what the family's lines look like."""

LEAST_PIECES = 3
SIDE = 0.25
"""The share of a strip, on both sides, that shows the water beside the line."""


def follow(
    grey: Grey,
    seen: Bools,
    angle_deg: float,
    period_px: float,
    starts_px: Starts,
    reach_px: int,
    off_px: int,
) -> Placed | None:
    """Place the rulings of a picture (H, W); None where too little of them is seen.

    The first family's lines stand ``period_px`` apart in the direction ``angle_deg``, one at
    ``starts_px[0]`` from the picture's middle; the second's at right angles, None for one without
    lines. A line reaches no further than ``reach_px`` from its middle, and its middle lies no
    further than ``off_px`` from where it is said to be. Where the middle of a family's common look
    lies is not told: all of its places may be off by the same.
    """
    found: list[Floats] = []
    for family, start in enumerate(starts_px):
        if start is not None:
            turned = angle_deg + 90.0 * family
            half = _half_px(grey.shape, turned)
            first, last = math.ceil((-half - start) / period_px), (half - start) // period_px
            numbers = range(first, math.floor(last) + 1)
            strips = [
                _pieces(grey, seen, turned, start + number * period_px, reach_px + off_px)
                for number in numbers
            ]
            found.extend(_placed(strips, numbers, start, period_px, off_px, family))
    if not found:
        return None
    across, number, kind, along = np.concatenate(found, axis=1)
    return Placed(across, number, kind.astype(np.int64), along)


def _half_px(shape: tuple[int, ...], angle_deg: float) -> float:
    """Half of what the picture measures in a direction."""
    turn = math.radians(angle_deg)
    return (abs(shape[1] * math.cos(turn)) + abs(shape[0] * math.sin(turn))) / 2


def _pieces(
    grey: Grey, seen: Bools, angle_deg: float, across_px: float, half_px: int
) -> tuple[Floats, Floats]:
    """Return the profiles (pieces, width) of a line's whole pieces, and where along it they lie.

    The light beside the line is taken out.
    """
    count = max(1, math.floor(2 * _half_px(grey.shape, angle_deg + 90.0)) // PIECE_PX)
    size = 2 * half_px + 1, count * PIECE_PX
    strip, inside = upright_part(grey, seen, angle_deg, across_px, size)
    whole = inside.reshape(count, -1).all(axis=1)
    profiles = np.median(strip.reshape(count, PIECE_PX, -1)[whole], axis=1).astype(np.float64)
    along = (np.arange(count) - (count - 1) / 2) * PIECE_PX
    return _level(profiles), np.asarray(along[whole], dtype=np.float64)


def _level(profiles: Floats) -> Floats:
    """Take out of each profile the straight line through what it shows on both sides."""
    width = profiles.shape[1]
    place = np.arange(width) - (width - 1) / 2
    beside = np.abs(place) >= (1 - 2 * SIDE) * width / 2
    slope = profiles[:, beside] @ place[beside] / float(place[beside] @ place[beside])
    level = profiles[:, beside].mean(axis=1)
    return np.asarray(profiles - level[:, None] - slope[:, None] * place)


def _placed(
    strips: list[tuple[Floats, Floats]],
    numbers: range,
    start: float,
    period_px: float,
    off_px: int,
    family: int,
) -> list[Floats]:
    """Return (4, n) for each line: across, number, family, along, of the pieces that fit."""
    everything = np.concatenate([profiles for profiles, _ in strips]) if strips else np.empty(0)
    if not everything.size:
        return []
    usual = np.median(everything, axis=0)[off_px:-off_px]
    lines = []
    for number, (profiles, along) in zip(numbers, strips, strict=True):
        shift, alike = _shifts(profiles, usual)
        fits = alike >= ALIKE
        if fits.sum() >= LEAST_PIECES:
            across = start + number * period_px + shift[fits] - off_px
            same = np.ones(len(across))
            lines.append(np.array([across, number * same, family * same, along[fits]]))
    return lines


def _shifts(profiles: Floats, usual: Floats) -> tuple[Floats, Floats]:
    """Return by how much each profile must be entered late to fit ``usual`` best, and how well.

    The places between pixels are the tops of parabolas; a best place at an end fits not at all.
    """
    windows = sliding_window_view(profiles, len(usual), axis=1)
    size = np.linalg.norm(windows, axis=2) * np.linalg.norm(usual) + 1e-12
    alike = windows @ usual / size
    rows = np.arange(len(profiles))
    best = np.clip(np.argmax(alike, axis=1), 1, alike.shape[1] - 2)
    left, top, right = (alike[rows, best + step] for step in (-1, 0, 1))
    bend = left - 2 * top + right
    is_top = (bend < 0) & (top >= left) & (top >= right)
    shift = best + np.divide(left - right, 2 * bend, out=np.zeros_like(top), where=is_top)
    return np.asarray(shift), np.where(is_top, top, 0.0)
