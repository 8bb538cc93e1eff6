"""Evenly spaced lines on a profile: where lines stand, and the comb that they make.

A period read off one peak of a spectrum or of a histogram of gaps is as good as that peak. Here
every line has its own place, each is given a whole number, and a straight line through places
against numbers gives the period with its standard error (ordinary least squares on the lines that
belong to the comb; a line that is off it, dust or a body, is left out).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import ndimage, signal

from counter.imaging.straight import Profile

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

ON_COMB = 0.14
"""How far, in periods, a line may be off its place and still belong to the comb."""

LEAST_CONTRAST = 0.004
"""Lines fainter than 0.4 % of white are not looked at: JPEG blocks and fixed noise are such."""


NOISE_LIMIT = 4.5
NEIGHBOURS = np.array([-3.0, -2.0, -1.0, 1.0, 2.0, 3.0])


@dataclass(frozen=True, slots=True)
class Comb:
    """Lines at ``first_px + period_px × numbers``; ``numbers`` are those that were found.

    ``error_px`` is the standard error of the period, ``spread_px`` how far lines are off their
    places (standard deviation), ``complete`` the share of places that have a line, ``pure`` the
    share of lines between the first and the last that are on a place.
    """

    first_px: float
    period_px: float
    error_px: float
    spread_px: float
    numbers: Ints
    complete: float
    pure: float

    @property
    def lines(self) -> int:
        """How many lines are on the comb."""
        return len(self.numbers)

    @property
    def divisions(self) -> int:
        """How many periods the first and the last line are apart."""
        return int(self.numbers[-1] - self.numbers[0])

    @property
    def score(self) -> float:
        """How well lines and comb agree: the number of lines, less for gaps and for strays."""
        return self.lines * self.complete**2 * self.pure**2


def line_places(profile: Profile, sign: float, blur_px: float) -> Floats:
    """Return the places (pixels, growing) of lines on ``profile``; none gives an empty array.

    ``sign`` is 1 for bright lines, -1 for dark ones; ``blur_px`` smooths the profile so that a
    line is one peak. A peak counts when it stands 4.5 standard deviations out of the noise, and
    reaches a quarter of the usual height of the peaks.
    """
    smooth = sign * ndimage.gaussian_filter1d(profile.values, blur_px)
    doubt = ndimage.gaussian_filter1d(profile.doubt, blur_px)[profile.seen]
    noise = 1.4826 * float(np.median(np.abs(doubt))) if doubt.size else 0.0
    least = max(LEAST_CONTRAST, NOISE_LIMIT * noise)
    peaks, _ = signal.find_peaks(smooth, prominence=least)
    if not len(peaks):
        return np.empty(0)
    heights = signal.peak_prominences(smooth, peaks)[0]
    usual = float(np.percentile(heights, 75))
    return _between_pixels(smooth, peaks[heights >= 0.25 * usual])


def _between_pixels(profile: Floats, peaks: Ints) -> Floats:
    """Return the tops of the parabolas through each peak and its two neighbours."""
    inner = peaks[(peaks > 0) & (peaks < len(profile) - 1)]
    left, top, right = profile[inner - 1], profile[inner], profile[inner + 1]
    bend = left - 2 * top + right
    shift = np.divide(left - right, 2 * bend, out=np.zeros_like(top), where=bend < 0)
    return np.asarray(inner + np.clip(shift, -0.5, 0.5), dtype=np.float64)


def best_comb(places: Floats, least_lines: int, least_period_px: float) -> Comb | None:
    """Return the comb that fits most of the lines at ``places`` (growing); None if none does."""
    best: Comb | None = None
    if len(places) < least_lines:
        return None
    for period in _periods(places, least_period_px):
        for anchor in _anchors(places):
            if not _has_neighbours(places, float(places[anchor]), period):
                continue
            comb = _grown(places, anchor, period)
            if comb is None or comb.lines < least_lines or comb.period_px < least_period_px:
                continue
            if best is None or comb.score > best.score * 1.001:
                best = comb
            if best.score > 0.9 * len(places):
                return best
    return best


def _periods(places: Floats, least_px: float) -> Floats:
    """Return the gaps between neighbours up to three apart that occur most, each kind once."""
    gaps = np.concatenate([places[:0], *(places[k:] - places[:-k] for k in (1, 2, 3))])
    gaps = np.sort(gaps[gaps >= least_px])
    if len(gaps) == 0:
        return gaps
    kinds = np.split(gaps, np.flatnonzero(np.diff(gaps) > 0.04 * gaps[:-1]) + 1)
    kinds.sort(key=len, reverse=True)
    return np.array([float(np.median(kind)) for kind in kinds[:6]])


def _anchors(places: Floats) -> Ints:
    return np.unique(np.linspace(0, len(places) - 1, min(7, len(places))).astype(np.int64))


def _has_neighbours(places: Floats, anchor: float, period: float) -> bool:
    """Whether most places up to three periods from ``anchor``, where lines are, have one."""
    wanted = anchor + period * NEIGHBOURS
    wanted = wanted[(wanted > places[0] - ON_COMB) & (wanted < places[-1] + ON_COMB * period)]
    at = np.clip(np.searchsorted(places, wanted), 1, len(places) - 1)
    off = np.minimum(np.abs(places[at] - wanted), np.abs(places[at - 1] - wanted))
    return int((off <= 1.3 * ON_COMB * period).sum()) >= 0.6 * len(wanted)


def _grown(places: Floats, anchor: int, period: float) -> Comb | None:
    """Return the comb grown from one line outwards, its period improved as it reaches further."""
    first, reach, limit = float(places[anchor]), 2.5, float(np.ptp(places)) / period + 2
    while True:
        numbers = np.rint((places - first) / period)
        off = np.abs(places - first - numbers * period)
        on = np.flatnonzero((off <= ON_COMB * period) & (np.abs(numbers) <= reach))
        chosen, order = _one_each(numbers[on].astype(np.int64), off[on])
        on = on[chosen]
        if len(order) >= 3:
            first, period = straight_fit(order, places[on])
        if not period > 0:
            return None
        if reach > limit:
            return _comb(places, on, order)
        if reach > 9 and len(order) < 0.5 * (order[-1] - order[0] + 1):
            return None
        reach *= 2


def straight_fit(x: NDArray[np.generic], y: Floats) -> tuple[float, float]:
    """Return intercept and slope of the least-squares line; ``x`` must hold two values or more."""
    away = x - x.mean()
    slope = float(away @ y / (away @ away))
    return float(y.mean() - slope * x.mean()), slope


def _one_each(numbers: Ints, off: Floats) -> tuple[Ints, Ints]:
    """Return which lines to take, the nearest for each number, and their numbers, growing."""
    order = np.lexsort((off, numbers))
    kept, where = np.unique(numbers[order], return_index=True)
    return order[where], kept


def _comb(places: Floats, on: Ints, numbers: Ints) -> Comb | None:
    """Return the comb through the longest run of lines without a gap of more than three places."""
    runs = np.split(np.arange(len(on)), np.flatnonzero(np.diff(numbers) > 3) + 1)
    run = max(runs, key=len)
    if len(run) < 2:
        return None
    on, numbers = on[run], numbers[run]
    x = places[on]
    first, period = straight_fit(numbers, x)
    rest = x - first - period * numbers
    free = len(x) - 2
    spread = math.sqrt(float(rest @ rest) / free) if free > 0 else 0.0
    lever = math.sqrt(float(((numbers - numbers.mean()) ** 2).sum()))
    span = int(numbers[-1] - numbers[0])
    among = int(((places >= x[0] - 1e-9) & (places <= x[-1] + 1e-9)).sum())
    return Comb(
        first_px=first,
        period_px=period,
        error_px=spread / lever,
        spread_px=spread,
        numbers=numbers - numbers[0],
        complete=len(x) / (span + 1),
        pure=len(x) / among,
    )
