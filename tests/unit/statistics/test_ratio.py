"""Ratios with nothing on one side."""

from __future__ import annotations

import math

import pytest

from counter.statistics.ratio import poisson_ratio


def test_nothing_against_nothing_says_nothing() -> None:
    """Both counts 0: no ratio, limits from 0 to infinity, p 1."""
    nothing = poisson_ratio(0, 1.0, 0, 1.0)
    assert nothing.ratio is None
    assert (nothing.low, nothing.high, nothing.p_value) == (0.0, math.inf, 1.0)


def test_something_against_nothing_is_unlimited() -> None:
    """The second count 0: an infinite ratio with a lower limit above 0."""
    some = poisson_ratio(8, 1.0, 0, 1.0)
    assert some.ratio == some.high == math.inf
    assert 1 < some.low < math.inf
    assert some.p_value == pytest.approx(2 * 0.5**8)


def test_nothing_against_something_has_an_upper_limit() -> None:
    """The first count 0: a ratio of 0 with an upper limit."""
    none = poisson_ratio(0, 1.0, 8, 1.0)
    assert none.ratio == none.low == 0.0
    assert 0 < none.high < 1


@pytest.mark.parametrize(
    "data", [(-1, 1.0, 1, 1.0), (1, 0.0, 1, 1.0), (1, 1.0, 1, -1.0), (1, math.inf, 1, 1.0)]
)
def test_impossible_counts_and_volumes_are_bugs(data: tuple[int, float, int, float]) -> None:
    """They raise ValueError."""
    with pytest.raises(ValueError, match="must"):
        poisson_ratio(*data)


def test_equal_densities_differ_by_chance_only() -> None:
    """The same density in unequal volumes: ratio 1, p 1."""
    same = poisson_ratio(50, 0.5, 100, 1.0)
    assert same.ratio == 1.0
    assert same.p_value == pytest.approx(1.0, abs=0.07)
