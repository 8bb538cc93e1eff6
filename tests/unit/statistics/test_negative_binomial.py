"""The fit of clumped counts at its edges."""

from __future__ import annotations

import math

import pytest
from scipy import stats

from counter.statistics.negative_binomial import fit


def test_nothing_to_fit_gives_nothing() -> None:
    """One count, or none seen, says nothing of clumping."""
    assert fit([]) is None
    assert fit([7]) is None
    assert fit([0, 0, 0]) is None


def test_probabilities_are_those_of_scipy() -> None:
    """Clumped, or by chance."""
    clumped = fit([0, 3, 14, 1, 9])
    assert clumped is not None
    law = stats.nbinom(clumped.k, clumped.k / (clumped.k + clumped.mean))
    assert clumped.probability(4) == pytest.approx(float(law.pmf(4)))
    even = fit([5, 5, 6])
    assert even is not None
    assert math.isinf(even.k)
    assert even.probability(4) == pytest.approx(float(stats.poisson(16 / 3).pmf(4)))


def test_the_fit_is_the_top_of_the_likelihood() -> None:
    """A k a little smaller or larger is less likely."""
    counts = [0, 3, 14, 1, 9, 2, 2]
    best = fit(counts)
    assert best is not None
    for k in (best.k * 0.98, best.k * 1.02):
        law = stats.nbinom(k, k / (k + best.mean))
        assert sum(law.logpmf(counts)) < best.log_likelihood
