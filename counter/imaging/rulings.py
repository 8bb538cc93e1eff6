"""A chamber's own rulings, found and measured: few lines, right across the picture, two ways.

Both families of lines, at right angles, share one period: with two lines each way, that they agree
is the check; a picture that offers no such check gives no scale. The lines are found on a reduced
copy, where a chamber's rulings are wide enough still, and then measured at full resolution, in a
narrow strip along each.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace

import cv2
import numpy as np

from counter.imaging.evenly import even_spacing
from counter.imaging.grid import LEAST_PLACE_ERROR_PX, Grid, Starts, best_grid, by_quarters
from counter.imaging.ruled_profile import RuledProfile, lean_of, profile_of
from counter.imaging.straight import (
    Bools,
    Floats,
    Grey,
    bands_across,
    directions,
    turned_to,
    visible,
)
from counter.imaging.strips import follow

FIND_SIDE_PX = 1300
"""The longer side, at most, of the copy that rulings are found on: no chamber shows more than 100
lines on a picture, which are 10 px apart there."""

FINE_SIDE_PX = 4096
"""The longer side, at most, of the picture that they are measured on."""

MOST_DIRECTIONS = 6
BANDS = 48
BLURS_PX = (1.5, 5.0, 14.0)
AS_SHARP = 0.25
"""Lines of a direction whose profile is less sharp than this share of the best are not real."""

ONE_LINE = 0.1
"""How far, in periods, the parts of one line reach from any of them: grooves, double lines."""

STANDING_OUT = 6.0
"""How many times higher than the restlessness between them (root mean square) lines must be.

Drawn slides crowded with larvae: real rulings 20 times and more, chance grids about 2 times.
"""

SAME = 0.004
"""How far, relatively, the period measured may be from the one found; else it is of other lines."""

SQUARE_DEG = 90.0


@dataclass(frozen=True, slots=True)
class Rulings:
    """The rulings of a picture: ``period_px`` with its standard error, ``angle_deg`` of the first
    family (-45 to 45), how many ``lines`` are seen, ``divisions`` apart over both families, and
    where a line of each stands from the picture's middle (None: that way there are none)."""

    period_px: float
    error_px: float
    angle_deg: float
    lines: int
    divisions: int
    starts_px: Starts


@dataclass(frozen=True, slots=True)
class _Found:
    """A grid, its places from the middle of the picture, the first family's at ``angle_deg``."""

    grid: Grid
    angle_deg: float


def find_rulings(grey: Grey) -> Rulings | None:
    """Return the rulings of a picture (H, W), 0 to 1, or None where no regular ones are seen."""
    fine, fine_factor = _reduced(grey, FINE_SIDE_PX)
    small, factor = _reduced(fine, FIND_SIDE_PX)
    seen = visible(small)
    found = _found(small, seen)
    if found is None:
        return None
    measured = _measured(found, fine, seen, factor)
    total = factor * fine_factor
    beyond = [(side - kept * total) / 2 for side, kept in zip(grey.shape, small.shape, strict=True)]
    folded_deg = (measured.angle_deg + 45.0) % 90.0 - 45.0
    quarters = round((measured.angle_deg - folded_deg) / 90.0)
    return replace(
        measured,
        period_px=measured.period_px * fine_factor,
        error_px=measured.error_px * fine_factor,
        angle_deg=folded_deg,
        starts_px=_from(
            beyond, folded_deg, by_quarters(_times(measured.starts_px, fine_factor), quarters)
        ),
    )


def _reduced(grey: Grey, side_px: int) -> tuple[Grey, int]:
    """Return the picture by a whole factor smaller, so that it has no longer side; and the factor.

    Rows and columns at the right and the bottom that make no whole pixel are left out.
    """
    factor = math.ceil(max(grey.shape) / side_px)
    height, width = grey.shape[0] // factor, grey.shape[1] // factor
    if factor == 1 or not (height and width):
        return grey, 1
    whole = grey[: height * factor, : width * factor]
    return np.asarray(cv2.resize(whole, (width, height), interpolation=cv2.INTER_AREA)), factor


def _measured(found: _Found, fine: Grey, seen: Bools, factor: int) -> Rulings:
    """Return the rulings measured on the fine picture, whose copy smaller by ``factor`` shows them.

    Where too little of them can be followed it is what was found on the copy.
    """
    grid = found.grid
    period_px, error_px = grid.period_px * factor, grid.error_px * factor
    starts_px = _times(grid.starts_px, factor)
    rough = Rulings(period_px, error_px, found.angle_deg, grid.lines, grid.divisions, starts_px)
    height, width = (side * factor for side in seen.shape)
    placed = follow(
        fine[:height, :width],
        np.repeat(np.repeat(seen, factor, axis=0), factor, axis=1),
        found.angle_deg,
        period_px,
        starts_px,
        max(4, round(ONE_LINE * period_px)),
        2 + factor,
    )
    even = None if placed is None else even_spacing(placed, LEAST_PLACE_ERROR_PX)
    if even is None or even.error_px > error_px or abs(even.period_px / period_px - 1) > SAME:
        return rough
    angle_deg = found.angle_deg - even.lean_deg
    return replace(
        rough,
        period_px=even.period_px,
        error_px=even.error_px,
        angle_deg=angle_deg,
        lines=even.lines,
        divisions=even.divisions,
    )


def _from(beyond: list[float], angle_deg: float, starts_px: Starts) -> Starts:
    """Return the starts from the middle of a picture that goes on (down, right) by twice this."""
    down, right = beyond
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    first, second = starts_px
    return (
        None if first is None else first - right * c - down * s,
        None if second is None else second - down * c + right * s,
    )


def _times(starts_px: Starts, factor: int) -> Starts:
    first, second = starts_px
    return None if first is None else first * factor, None if second is None else second * factor


def _found(grey: Grey, seen: Bools) -> _Found | None:
    """Return the best grid over all directions that lines have."""
    best: _Found | None = None
    sharpest = 0.0
    tall, window = max(3, round(min(grey.shape) / BANDS)), max(grey.shape) // 6
    for angle in _square_directions(grey, seen):
        turned = turned_to(grey, seen, angle)
        pair = [bands_across(each, tall, window) for each in (turned, turned.by_a_quarter())]
        lean, sharp = lean_of(pair)
        if sharp < AS_SHARP * sharpest:
            continue
        if sharp * AS_SHARP > sharpest:
            best = None
        sharpest = max(sharp, sharpest)
        grid = _grid([profile_of(bands, lean) for bands in pair], math.cos(math.atan(lean)))
        if grid is not None and (best is None or grid.score > best.grid.score):
            best = _Found(grid, angle + math.degrees(math.atan(lean)))
    return best


def _grid(profiles: list[RuledProfile | None], upright: float) -> Grid | None:
    """Return the best grid of both profiles, from the middles of lines; None if there is none.

    The lines of a first grid may be edges of grooves. Its period says how far around each to look
    for the middle; the middles then make the grid that counts.
    """
    best: Grid | None = None
    for blur in BLURS_PX:
        places = [np.empty(0) if p is None else p.lines(blur) for p in profiles]
        rough = best_grid(places[0], places[1])
        if rough is None:
            continue
        reach = max(3, round(ONE_LINE * rough.period_px))
        middles = [
            np.empty(0) if p is None else p.middles(at, reach)
            for p, at in zip(profiles, places, strict=True)
        ]
        grid = best_grid(middles[0] * upright, middles[1] * upright)
        if grid is None or not _stand_out(profiles, middles, reach):
            continue
        if best is None or grid.score > best.score:
            best = grid
    return best


def _stand_out(profiles: list[RuledProfile | None], middles: list[Floats], reach: int) -> bool:
    """Whether the lines are high over what is between them: bodies make a restless profile."""
    heights: list[float] = []
    between: list[Floats] = []
    for profile, places in zip(profiles, middles, strict=True):
        if profile is not None and len(places):
            high, rest = profile.parted(places, reach)
            heights.extend(high)
            between.append(rest)
    rest_of_all = np.concatenate([*between, np.zeros(1)])
    level = math.sqrt(float(np.mean(rest_of_all**2)))
    return bool(heights) and float(np.median(heights)) >= STANDING_OUT * level


def _square_directions(grey: Grey, seen: Bools) -> Iterator[float]:
    """Yield the directions of lines, taken together with those at right angles, strongest first."""
    told: list[float] = []
    for angle in directions(grey, seen, MOST_DIRECTIONS):
        folded = angle % SQUARE_DEG
        apart = [abs((folded - other + 45.0) % 90.0 - 45.0) for other in told]
        if all(distance > 1.5 for distance in apart):
            told.append(folded)
            yield folded
