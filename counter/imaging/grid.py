"""Two families of lines at right angles that share one period: the grid that fits both best."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Starts = tuple[float | None, float | None]

LEAST_PERIOD_PX = 10.0
TOLERANCE = 0.008
"""How far, in periods, a line may be off its place; 1.5 pixels are always allowed."""

LEAST_PLACE_ERROR_PX = 0.15
"""A line is not placed better than this, whatever a few lines happen to say."""

LEAST_COMPLETE = 0.74
LEAST_PURE = 0.74
MOST_CHANCE = 0.01


@dataclass(frozen=True, slots=True)
class Grid:
    """A period (pixels) with its standard error, and how well the lines fit it.

    ``lines`` are on the grid, ``divisions`` is how many periods they span over both families,
    ``complete`` the share of places between the outer lines that have one, ``pure`` the share of
    lines there that are on a place. ``starts_px`` is where a line of the first and of the second
    family stands, from all of its lines; None for a family with fewer than two lines on the grid.
    """

    period_px: float
    error_px: float
    lines: int
    divisions: int
    complete: float
    pure: float
    starts_px: Starts

    @property
    def score(self) -> float:
        """The number of lines, less for gaps and for strays."""
        return self.lines * self.complete**2 * self.pure**2


@dataclass(frozen=True, slots=True)
class _Fit:
    """The lines of one family on a grid: places, numbers, and how many lines there are among."""

    places: Floats
    numbers: Floats
    among: int


def by_quarters(starts_px: Starts, quarters: int) -> Starts:
    """Return the starts of both families in a frame that is turned back by so many times 90°."""
    first, second = starts_px
    for _ in range(quarters % 4):
        first, second = None if second is None else -second, first
    return first, second


def best_grid(first: Floats, second: Floats) -> Grid | None:
    """Return the grid that most of the lines at these places are on, None where nothing checks it.

    At least one coincidence is needed beyond what any lines would do: three lines one way evenly
    spaced, or two and two with one spacing; and it must be an unlikely one.
    """
    best: Grid | None = None
    for period in _periods(first, second):
        grid = _grid(first, second, period)
        if grid is not None and (best is None or grid.score > best.score * 1.001):
            best = grid
    return best


def _periods(first: Floats, second: Floats) -> list[float]:
    """Return the gaps between any two lines of a family and their halves and thirds, growing down.

    Larger ones come first, so that of two that fit alike the larger is taken.
    """
    gaps: list[float] = []
    for places in (first, second):
        apart = places[None, :] - places[:, None]
        gaps.extend(float(gap) for gap in apart[apart >= LEAST_PERIOD_PX])
    shares = {round(gap / part, 1) for gap in gaps for part in (1, 2, 3)}
    return sorted((share for share in shares if share >= LEAST_PERIOD_PX), reverse=True)[:400]


def _grid(first: Floats, second: Floats, period: float) -> Grid | None:
    for _ in range(3):
        both = [_on_grid(places, period) for places in (first, second)]
        fits = [fit for fit in both if fit is not None]
        free = sum(len(fit.places) for fit in fits) - len(fits) - 1
        if free < 1:
            return None
        lever = sum(float(((f.numbers - f.numbers.mean()) ** 2).sum()) for f in fits)
        slope = sum(float((f.numbers - f.numbers.mean()) @ f.places) for f in fits) / lever
        if abs(slope / period - 1) > 0.05:
            return None
        period = slope
    return _judged(both, period, lever, free)


def _on_grid(places: Floats, period: float) -> _Fit | None:
    """Return the lines of a family that the best shift of the grid has; None for fewer than two."""
    best: _Fit | None = None
    limit = max(1.5, TOLERANCE * period)
    apart = places[None, :] - places[:, None]
    numbers = np.rint(apart / period)
    on = np.abs(apart - numbers * period) <= limit * np.maximum(1, np.abs(numbers)) ** 0.5
    for here, number, most in zip(on, numbers, on.sum(axis=1), strict=True):
        if most < 2 or (best is not None and most <= len(best.places)):
            continue
        kept, where = np.unique(number[here], return_index=True)
        if len(kept) >= 2 and (best is None or len(kept) > len(best.places)):
            chosen = places[here][where]
            among = int(((places >= chosen.min()) & (places <= chosen.max())).sum())
            best = _Fit(chosen, kept, among)
    return best


def _judged(both: list[_Fit | None], period: float, lever: float, free: int) -> Grid | None:
    fits = [fit for fit in both if fit is not None]
    rest = np.concatenate(
        [f.places - f.places.mean() - period * (f.numbers - f.numbers.mean()) for f in fits]
    )
    spread = max(LEAST_PLACE_ERROR_PX, math.sqrt(float(rest @ rest) / free))
    spans = [int(np.ptp(fit.numbers)) for fit in fits]
    lines = sum(len(fit.places) for fit in fits)
    complete = lines / (sum(spans) + len(fits))
    pure = lines / sum(fit.among for fit in fits)
    chance = min(1.0, 4.0 * max(spread, 0.5) / period) ** free
    if complete < LEAST_COMPLETE or pure < LEAST_PURE or chance > MOST_CHANCE:
        return None
    first, second = (None if fit is None else _start(fit, period) for fit in both)
    error = spread / math.sqrt(lever)
    return Grid(period, error, lines, sum(spans), complete, pure, (first, second))


def _start(fit: _Fit, period: float) -> float:
    """Return where line 0 of a family stands, by all of its lines."""
    return float((fit.places - period * fit.numbers).mean())
