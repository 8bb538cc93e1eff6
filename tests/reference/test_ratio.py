"""Ratios of two counts against published examples; each names its method."""

from __future__ import annotations

import math

import pytest
from scipy.special import ndtr
from scipy.stats import binomtest

from counter.statistics.fieller import fieller
from counter.statistics.ratio import METHOD, minimum_likelihood_p, poisson_ratio

# first count and volume, second count and volume, ratio, limits, p (twice the smaller tail), and
# the last digit that is printed of each
RATIOS = [
    # Fay, vignette of the R package rateratio.test
    ((2, 17877, 9, 16660), 0.207094, (0.021774, 1.000549), 0.05011, 1e-6, 1e-5),
    # R manual, poisson.test (from memory): 11/800 against 6 + 8 + 7 in 1083 + 1050 + 878. Its
    # printed p 0.0797 sums outcomes of minimum likelihood; twice the tail is computed.
    ((11, 800, 21, 3011), 1.971488, (0.858426, 4.277266), 0.1120, 1e-6, 1e-4),
    # Rothman & Greenland, breast cancer (data from memory, limits computed)
    ((41, 28010, 15, 19017), 1.855759, (1.005684, 3.609300), 0.0477, 1e-6, 1e-4),
    # Gu et al. 2008 / Ng & Tang 2005 (data from memory, limits computed)
    ((60, 51477.5, 30, 54308.7), 2.109998, (1.339736, 3.388366), 0.000856, 1e-6, 1e-6),
    # data of the statpsych manual, ci.ratio.poisson2; its printed limits 1.9396-13.7148 are
    # Agresti-Coull's, these are exact and computed
    ((19, 30, 5, 40.5), 5.13, (1.8527, 17.5791), 0.000575, 1e-4, 1e-6),
    # survival between two counts, computed
    ((90, 1, 110, 1), 0.8182, (0.6123, 1.0910), 0.179, 1e-4, 1e-3),
    ((45, 0.5, 120, 1.0), 0.7500, (0.5202, 1.0647), 0.113, 1e-4, 1e-3),
    ((200, 1, 180, 1), 1.1111, (0.9039, 1.3666), 0.330, 1e-4, 1e-3),
    # two people, one sample, 3 × 0.5 mL each, computed
    ((447, 1.5, 430, 1.5), 1.0395, (0.909, 1.189), None, 1e-3, 1e-3),
]


@pytest.mark.parametrize(("data", "ratio", "limits", "p", "digit", "p_digit"), RATIOS)
def test_a_ratio_has_its_published_limits(
    data: tuple[int, float, int, float],
    ratio: float,
    limits: tuple[float, float],
    p: float | None,
    digit: float,
    p_digit: float,
) -> None:
    """The ratio, its exact limits and its p value, each to its last printed digit."""
    computed = poisson_ratio(*data)
    assert computed.ratio == pytest.approx(ratio, abs=0.51 * digit)
    assert (computed.low, computed.high) == pytest.approx(limits, abs=0.51 * digit)
    if p is not None:
        assert computed.p_value == pytest.approx(p, abs=0.51 * p_digit)
    assert computed.method == METHOD


def test_both_p_values_in_use_are_those_in_print() -> None:
    """11/800 against 21/3011: the R manual prints 0.0797 (minimum likelihood), twice the smaller
    tail is 0.1120 (computed); the interval is the same."""
    assert minimum_likelihood_p(11, 800, 21, 3011) == pytest.approx(0.0797, abs=0.51e-4)
    assert poisson_ratio(11, 800, 21, 3011).p_value == pytest.approx(0.1120, abs=0.51e-4)


@pytest.mark.parametrize(
    ("first", "volume", "second", "other"),
    [(2, 17877.0, 9, 16660.0), (41, 28010.0, 15, 19017.0), (5, 1.0, 5, 1.0), (0, 1.0, 8, 2.0)],
)
def test_the_minimum_likelihood_p_value_agrees_with_scipy(
    first: int, volume: float, second: int, other: float
) -> None:
    """scipy.stats.binomtest sums the same outcomes."""
    expected = binomtest(first, first + second, volume / (volume + other)).pvalue
    assert minimum_likelihood_p(first, volume, second, other) == pytest.approx(expected, rel=1e-9)
    mirrored = minimum_likelihood_p(second, other, first, volume)
    assert mirrored == pytest.approx(expected, rel=1e-9)


def test_other_limits_in_print_are_of_another_method() -> None:
    """19 in 30 against 5 in 40.5: the statpsych manual (ci.ratio.poisson2) prints 1.9396 to
    13.7148, which are Agresti and Coull's on the binomial (two successes and two failures added);
    ours are exact, and say so."""
    share, error = 21 / 28, 1.959964 * (21 / 28 * 7 / 28 / 28) ** 0.5
    ends = (share - error, share + error)
    low, high = (end / (1 - end) * 40.5 / 30 for end in ends)
    assert (low, high) == pytest.approx((1.9396, 13.7148), abs=0.51e-4)
    exact = poisson_ratio(19, 30, 5, 40.5)
    assert exact.low < low < high < exact.high
    assert "exact" in exact.method


def test_nothing_against_nothing_is_no_evidence() -> None:
    """Both p values are 1."""
    assert minimum_likelihood_p(0, 1.0, 0, 1.0) == poisson_ratio(0, 1.0, 0, 1.0).p_value == 1


@pytest.mark.parametrize(
    ("upper", "lower", "variances", "g", "limits", "digit"),
    [
        # computed from the formula of Fieller (1954), J. R. Stat. Soc. B 16:175-185
        (180, 200, (180, 200), 0.0192, (0.7338, 1.1015), 1e-4),
        (30, 40, (30, 40), 0.0960, (0.4479, 1.2115), 1e-4),
    ],
)
def test_fiellers_limits_are_as_computed(
    upper: float,
    lower: float,
    variances: tuple[float, float],
    g: float,
    limits: tuple[float, float],
    digit: float,
) -> None:
    """With Poisson variances, each to its last digit."""
    found = fieller(upper, lower, *variances)
    assert found.g == pytest.approx(g, abs=0.51e-4)
    assert (found.low, found.high) == pytest.approx(limits, abs=0.51 * digit)


def test_the_log_normal_approximation_lies_within_the_exact_limits() -> None:
    """180 against 200: 0.7358 to 1.1008 (computed), which ignores that counts are whole."""
    exact = poisson_ratio(180, 1, 200, 1)
    error = (1 / 180 + 1 / 200) ** 0.5
    low, high = (0.9 * math.exp(sign * 1.959964 * error) for sign in (-1, 1))
    assert (low, high) == pytest.approx((0.7358, 1.1008), abs=0.51e-4)
    assert low - 0.006 < exact.low < low < high < exact.high < high + 0.006


def test_fieller_near_the_edge_is_bounded_just_barely() -> None:
    """9 (s 3) over 4 (s 2) at z = 1.96: g = 0.9604, 0.6485 to 112.99 (computed)."""
    found = fieller(9, 4, 9, 4, confidence=2 * float(ndtr(1.96)) - 1)
    assert found.g == pytest.approx(0.9604, abs=1e-9)
    assert (found.low, found.high) == pytest.approx((0.6485, 112.99), abs=0.006)
    assert found.is_bounded
