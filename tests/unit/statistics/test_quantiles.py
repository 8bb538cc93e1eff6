"""Quantiles with limits that rest on no distribution."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binom

from counter.statistics.quantiles import quantile_limits, quantile_ranks, weighted_quantile

LISTS = st.lists(st.floats(50, 400), min_size=1, max_size=40).map(sorted)
SHARES = st.sampled_from([0.05, 0.1, 0.5, 0.9])


@given(st.integers(0, 400), SHARES, st.floats(0.5, 0.99))
def test_each_rank_is_the_innermost_that_the_level_allows(
    number: int, share: float, level: float
) -> None:
    """At most half of what is left lies outside; one rank further in it is more."""
    tail = (1 - level) / 2
    lower, upper = quantile_ranks(number, share, level)
    rank = lower or 0
    assert rank == 0 or binom.cdf(rank - 1, number, share) <= tail
    assert binom.cdf(rank, number, share) > tail
    above = number + 1 - (number + 1 if upper is None else upper)
    assert above == 0 or binom.cdf(above - 1, number, 1 - share) <= tail
    assert binom.cdf(above, number, 1 - share) > tail


def test_too_few_leave_a_limit_open() -> None:
    """Five lengths hold no median at 95 %, six do; ten no tenth below."""
    assert quantile_ranks(5, 0.5) == (None, None)
    assert quantile_ranks(6, 0.5) == (1, 6)
    assert quantile_limits(np.arange(10.0), 0.1)[0] is None
    assert quantile_limits([], 0.5) == (None, None)


def test_the_limits_are_order_statistics() -> None:
    """Ranks 2 and 9 of ten for the median."""
    assert quantile_limits(np.arange(70.0, 80.0), 0.5) == (71.0, 78.0)


@pytest.mark.parametrize(("number", "share"), [(-1, 0.5), (10, 0.0), (10, 1.0)])
def test_impossible_quantiles_are_bugs(number: int, share: float) -> None:
    """They raise ValueError."""
    with pytest.raises(ValueError, match="makes no sense"):
        quantile_ranks(number, share)


@given(LISTS, SHARES)
def test_equal_weights_give_the_ordinary_quantile(values: list[float], share: float) -> None:
    """The linear one of numpy."""
    expected = float(np.quantile(values, share))
    assert weighted_quantile(values, [2.5] * len(values), share) == pytest.approx(expected)


@given(LISTS, SHARES)
def test_more_weight_on_the_longest_never_lowers_a_quantile(
    values: list[float], share: float
) -> None:
    """Three times the weight against once."""
    light = [1.0] * len(values)
    heavy = [*light[:-1], 3.0]
    assert weighted_quantile(values, heavy, share) >= weighted_quantile(values, light, share) - 1e-9
