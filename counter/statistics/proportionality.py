"""Does a way of counting follow the dilution? A series of known fractions says so without any
reference material, in the manner of ISO 20391-2:2019 (repeatability and proportionality).

The standard's own index could not be read, so the formulas here are ours:

- the line goes through the origin; its slope is Σ counted ÷ Σ fractions, the least squares of
  counts whose variance is proportional to their mean (weights 1/fraction);
- R² = 1 - Σ(mean - line)²/Σ(mean - mean of means)² over the fractions;
- the proportionality index is Σ|mean - line| ÷ Σ mean: the part of the counts that lies off the
  line, 0 for perfect proportion;
- X² = Σ(counted - expected)²/expected over the fractions, divided by the index of dispersion among
  replicates where that is above 1, has χ² (or then F) with one degree of freedom less than there
  are fractions.

A method may be proportional and still wrong by one factor throughout: this does not give accuracy.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import chdtrc, fdtrc

from counter.statistics.comparison import Comparison, Side, compare

SHOWN_BELOW = 0.05
LEAST_LEVELS = 4
LEAST_REPLICATES = 3


@dataclass(frozen=True, slots=True)
class Level:
    """One fraction of a dilution series (above 0; 1: undiluted) and its replicate counts."""

    fraction: float
    counts: tuple[int, ...]

    @property
    def mean(self) -> float:
        """The mean count."""
        return sum(self.counts) / len(self.counts)

    @property
    def cv(self) -> float | None:
        """Standard deviation over mean; None for a single count and where none was counted."""
        if len(self.counts) < 2 or not sum(self.counts):
            return None
        return float(np.std(self.counts, ddof=1)) / self.mean


@dataclass(frozen=True, slots=True)
class Fit:
    """How the counts fit the line: ``chi2`` on ``degrees_of_freedom``, with its ``p_value``.

    ``within`` is the index of dispersion among replicates, on ``within_degrees`` (0 and 1.0: there
    are none).
    """

    chi2: float
    degrees_of_freedom: int
    within: float
    within_degrees: int
    p_value: float


@dataclass(frozen=True, slots=True)
class Proportionality:
    """What a dilution series says; ``levels`` by growing fraction.

    ``slope`` is the count at fraction 1 by the line, ``cv`` the pooled one of the replicates
    (None without any), ``cv_by_chance`` what Poisson counts would have. ``top`` compares the
    densest level with the line of the others.
    """

    levels: tuple[Level, ...]
    slope: float
    r_squared: float
    index: float
    cv: float | None
    cv_by_chance: float
    p_value: float
    fit: Fit
    top: Comparison

    @property
    def is_proportional(self) -> bool:
        """Whether nothing speaks against proportion."""
        return self.p_value >= SHOWN_BELOW


def through_origin(fractions: ArrayLike, means: ArrayLike, weights: ArrayLike) -> float:
    """Return the slope of the line through the origin by weighted least squares."""
    x, y, w = (np.asarray(entry, dtype=np.float64) for entry in (fractions, means, weights))
    return float((w * x * y).sum() / (w * x * x).sum())


def r_squared(fractions: ArrayLike, means: ArrayLike, slope: float) -> float:
    """Return the part of the means' variance that the line explains; it may be below 0."""
    x, y = np.asarray(fractions, dtype=np.float64), np.asarray(means, dtype=np.float64)
    whole = float(np.square(y - y.mean()).sum())
    missed = float(np.square(y - slope * x).sum())
    return 1 - missed / whole if whole else math.nan


def proportionality(levels: Sequence[Level], confidence: float = 0.95) -> Proportionality:
    """Return what a series of at least two different fractions says.

    Raises ValueError for fewer, for a fraction not above 0, a level without counts, and where none
    was counted at all.
    """
    ordered = tuple(sorted(levels, key=lambda level: level.fraction))
    fractions = [level.fraction for level in ordered]
    if len(set(fractions)) < max(2, len(ordered)) or not 0 < fractions[0] < math.inf:
        raise ValueError("a series takes two or more different fractions above 0")
    if not all(level.counts for level in ordered) or not any(sum(e.counts) for e in ordered):
        raise ValueError("each level needs counts, and some must be above 0")
    means = [level.mean for level in ordered]
    weights = [len(level.counts) / level.fraction for level in ordered]
    slope = through_origin(fractions, means, weights)
    fit = _fit(ordered, slope)
    line = [slope * fraction for fraction in fractions]
    off = math.fsum(abs(mean - fitted) for mean, fitted in zip(means, line, strict=True))
    return Proportionality(
        levels=ordered,
        slope=slope,
        r_squared=r_squared(fractions, means, slope),
        index=off / math.fsum(means),
        cv=_pooled_cv(ordered),
        cv_by_chance=_cv_by_chance(ordered, slope),
        p_value=fit.p_value,
        fit=fit,
        top=compare(*lower_and_top(ordered), confidence),
    )


def _pooled_cv(levels: Sequence[Level]) -> float | None:
    found = [(level.cv, len(level.counts) - 1) for level in levels]
    squares = [(cv * cv * degrees, degrees) for cv, degrees in found if cv is not None]
    degrees = sum(entry for _, entry in squares)
    return math.sqrt(sum(entry for entry, _ in squares) / degrees) if degrees else None


def _cv_by_chance(levels: Sequence[Level], slope: float) -> float:
    """Return the pooled CV of Poisson counts: 1/mean is their squared CV."""
    squares = [
        ((len(level.counts) - 1) / (slope * level.fraction), len(level.counts) - 1)
        for level in levels
    ]
    degrees = sum(entry for _, entry in squares)
    return math.sqrt(sum(entry for entry, _ in squares) / degrees) if degrees else math.nan


def _fit(levels: Sequence[Level], slope: float) -> Fit:
    chi2 = within = 0.0
    freedom = 0
    for level in levels:
        expected = slope * level.fraction * len(level.counts)
        chi2 += (sum(level.counts) - expected) ** 2 / expected
        if len(level.counts) > 1 and level.mean > 0:
            within += sum((count - level.mean) ** 2 for count in level.counts) / level.mean
            freedom += len(level.counts) - 1
    degrees = len(levels) - 1
    index = within / freedom if freedom else 1.0
    if index <= 1:
        p_value = float(chdtrc(degrees, chi2))
    else:
        p_value = float(fdtrc(degrees, freedom, chi2 / degrees / index))
    return Fit(chi2, degrees, index, freedom, p_value)


def lower_and_top(levels: Sequence[Level]) -> tuple[Side, Side]:
    """Return the levels but the last as one side of a comparison, and the last as the other."""
    *lower, top = levels
    return _side(lower), _side([top])


def _side(levels: Sequence[Level]) -> Side:
    """Return levels as fillings: the fraction of the vessel's water is the volume looked at."""
    counts = [count for level in levels for count in level.counts]
    return Side(counts, [level.fraction for level in levels for _ in level.counts])
