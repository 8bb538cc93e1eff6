"""Ranks that hold the median, against the table of the sign test."""

from __future__ import annotations

import pytest
from scipy.stats import binom

from counter.statistics.quantiles import quantile_ranks

# n, ranks that hold the median at 95 % or more, and their probability. Conover, Practical
# Nonparametric Statistics (from memory); the probability is computed from the binomial.
MEDIANS = [
    (6, 1, 6, 0.9688),
    (8, 1, 8, 0.9922),
    (9, 2, 8, 0.9609),
    (10, 2, 9, 0.9785),
    (15, 4, 12, 0.9648),
    (20, 6, 15, 0.9586),
    (25, 8, 18, 0.9567),
    (30, 10, 21, 0.9572),
]


@pytest.mark.parametrize(("number", "lower", "upper", "held"), MEDIANS)
def test_the_ranks_of_the_median_come_out(number: int, lower: int, upper: int, held: float) -> None:
    """Ranks, and the probability that they hold the median to its four decimals."""
    assert quantile_ranks(number, 0.5) == (lower, upper)
    computed = binom.cdf(upper - 1, number, 0.5) - binom.cdf(lower - 1, number, 0.5)
    assert computed == pytest.approx(held, abs=0.51e-4)
