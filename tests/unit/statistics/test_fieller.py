"""Fieller's limits of a ratio."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import norm, t

from counter.statistics.fieller import fieller, two_sided_t

NUMBERS = st.floats(0.1, 1000)


def test_a_lower_number_that_may_be_zero_leaves_no_limits() -> None:
    """From g = 1 on the set of ratios is unbounded, and that is said instead of two numbers."""
    ratio = fieller(9.0, 4.0, 9.0, 4.5)
    assert ratio.g > 1
    assert not ratio.is_bounded
    assert (ratio.low, ratio.high) == (-math.inf, math.inf)
    nothing = fieller(9.0, 0.0, 9.0, 0.0)
    assert nothing.ratio is None
    assert not nothing.is_bounded


@given(NUMBERS, NUMBERS, st.floats(0.001, 0.09), st.floats(0.001, 0.09), st.floats(-0.9, 0.9))
def test_the_limits_are_where_the_difference_is_just_not_shown(
    upper: float, lower: float, relative: float, relative_lower: float, correlation: float
) -> None:
    """At each limit R, a - R·b lies z standard errors from 0: that is what defines them."""
    v11, v22 = (relative * upper) ** 2, (relative_lower * lower) ** 2
    v12 = correlation * math.sqrt(v11 * v22)
    found = fieller(upper, lower, v11, v22, covariance=v12)
    assert found.ratio is not None
    assert found.low < found.ratio < found.high
    for limit in (found.low, found.high):
        spread = math.sqrt(v11 - 2 * limit * v12 + limit**2 * v22)
        assert abs(upper - limit * lower) == pytest.approx(norm.ppf(0.975) * spread, rel=1e-6)


def test_few_degrees_of_freedom_widen_the_limits() -> None:
    """By Student's t instead of the normal quantile."""
    assert two_sided_t(0.95, 2) == pytest.approx(float(t.ppf(0.975, 2)))
    assert two_sided_t(0.95) == pytest.approx(float(norm.ppf(0.975)))
    wide = fieller(90.0, 100.0, 9.0, 9.0, degrees_of_freedom=2)
    narrow = fieller(90.0, 100.0, 9.0, 9.0)
    assert wide.low < narrow.low < narrow.high < wide.high


@pytest.mark.parametrize(
    ("variances", "options"),
    [
        ((-1.0, 1.0), {}),
        ((1.0, math.inf), {}),
        ((1.0, 1.0), {"covariance": 1.1}),
        ((1.0, 1.0), {"degrees_of_freedom": 0.0}),
        ((1.0, 1.0), {"confidence": 1.0}),
    ],
)
def test_what_cannot_be_a_variance_is_a_bug(
    variances: tuple[float, float], options: dict[str, float]
) -> None:
    """It raises ValueError."""
    with pytest.raises(ValueError, match=r"varia|freedom|confidence"):
        fieller(1.0, 1.0, *variances, **options)
