"""Quantiles of lengths with limits that rest on no distribution.

The limits are order statistics: the number of lengths below the true quantile is binomial, so
that two of the sorted lengths hold it with a known probability, whatever the distribution.
Conover WJ (1999), Practical Nonparametric Statistics, section 3.2 (from memory).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import bdtr

from counter.statistics.interval import checked_confidence


def quantile_ranks(
    number: int, share: float, confidence: float = 0.95
) -> tuple[int | None, int | None]:
    """Return the ranks (1 … ``number``) of the sorted values that hold the quantile ``share``.

    Either is None where no value lies far enough out: too few to say. ``share`` lies between 0 and
    1. Each tail has at most half of what ``confidence`` leaves.
    """
    if number < 0 or not 0 < share < 1:
        raise ValueError(f"the quantile {share!r} of {number} values makes no sense")
    tail = (1 - checked_confidence(confidence)) / 2
    lower = _last_at_most(number, share, tail)
    upper = _last_at_most(number, 1 - share, tail)
    return (lower or None), (number + 1 - upper if upper else None)


def _last_at_most(number: int, share: float, tail: float) -> int:
    """Return the largest rank below which at most ``tail`` of the binomial lies; 0: there is none.

    The value of rank k lies above the quantile when fewer than k values lie below it.
    """
    low, high = 0, number + 1
    while high - low > 1:
        middle = (low + high) // 2
        if float(bdtr(middle - 1, number, share)) <= tail:
            low = middle
        else:
            high = middle
    return low


def quantile_limits(
    values: ArrayLike, share: float, confidence: float = 0.95
) -> tuple[float | None, float | None]:
    """Return the limits of a quantile of sorted ``values`` (shape (n,)); None is open."""
    ordered = np.asarray(values, dtype=np.float64)
    lower, upper = quantile_ranks(ordered.size, share, confidence)
    return (
        None if lower is None else float(ordered[lower - 1]),
        None if upper is None else float(ordered[upper - 1]),
    )


def weighted_quantile(values: ArrayLike, weights: ArrayLike, share: float) -> float:
    """Return a quantile of sorted ``values`` (shape (n,), n at least 1) with weights above 0.

    It is interpolated between the middles of the weights; with equal weights it is the linear
    quantile of numpy.
    """
    ordered = np.asarray(values, dtype=np.float64)
    weight = np.asarray(weights, dtype=np.float64)
    middles = np.cumsum(weight) - weight / 2
    span = middles[-1] - middles[0]
    places = (middles - middles[0]) / (span if span > 0 else math.inf)
    return float(np.interp(share, places, ordered))
