"""Limits of proportions against Newcombe's published tables."""

from __future__ import annotations

import pytest
from scipy.stats import binomtest

from counter.statistics.proportion import clopper_pearson, newcombe_difference, wilson

# successes, total, Wilson, Clopper-Pearson, to four decimals. Wilson for the first four: Newcombe
# 1998a, Stat. Med. 17:857-872, table I; all others computed from the formulas.
SHARES = [
    (81, 263, (0.2553, 0.3662), (0.2527, 0.3676)),
    (15, 148, (0.0624, 0.1605), (0.0578, 0.1617)),
    (0, 20, (0, 0.1611), (0, 0.1684)),
    (1, 29, (0.0061, 0.1718), (0.0009, 0.1776)),
    (29, 29, (0.8830, 1), (0.8806, 1)),
    (0, 100, (0, 0.0370), (0, 0.0362)),
    (95, 100, (0.8882, 0.9785), (0.8872, 0.9836)),
    (187, 200, (0.8920, 0.9616), (0.8914, 0.9649)),
    (3, 10, (0.1078, 0.6032), (0.0667, 0.6525)),
]

# first, second, difference, limits, to four decimals. Newcombe 1998b, Stat. Med. 17:873-890,
# method 10.
DIFFERENCES = [
    ((56, 70), (48, 80), 0.2000, (0.0524, 0.3339)),
    ((9, 10), (3, 10), 0.6000, (0.1705, 0.8090)),
    ((6, 7), (2, 7), 0.5714, (0.0582, 0.8062)),
    ((5, 56), (0, 29), 0.0893, (-0.0381, 0.1926)),
    ((0, 10), (0, 20), 0.0000, (-0.1611, 0.2775)),
    ((10, 10), (0, 20), 1.0000, (0.6791, 1.0000)),
]


@pytest.mark.parametrize(("successes", "total", "score", "exact"), SHARES)
def test_a_share_has_its_published_limits(
    successes: int, total: int, score: tuple[float, float], exact: tuple[float, float]
) -> None:
    """Wilson's and Clopper and Pearson's limits to four decimals."""
    for computed, printed in (
        (wilson(successes, total), score),
        (clopper_pearson(successes, total), exact),
    ):
        assert computed.value == successes / total
        assert (computed.low, computed.high) == pytest.approx(printed, abs=0.5001e-4)


@pytest.mark.parametrize(("first", "second", "difference", "limits"), DIFFERENCES)
def test_a_difference_has_its_published_limits(
    first: tuple[int, int],
    second: tuple[int, int],
    difference: float,
    limits: tuple[float, float],
) -> None:
    """Newcombe's hybrid score limits to four decimals."""
    computed = newcombe_difference(first, second)
    assert computed.value == pytest.approx(difference, abs=0.5001e-4)
    assert (computed.low, computed.high) == pytest.approx(limits, abs=0.5001e-4)


@pytest.mark.parametrize("level", [0.8, 0.95, 0.99])
@pytest.mark.parametrize(("successes", "total"), [(0, 7), (1, 29), (81, 263), (300, 300)])
def test_the_limits_agree_with_scipy(successes: int, total: int, level: float) -> None:
    """scipy.stats.binomtest has both methods."""
    test = binomtest(successes, total)
    for computed, expected in (
        (wilson(successes, total, level), test.proportion_ci(level, "wilson")),
        (clopper_pearson(successes, total, level), test.proportion_ci(level, "exact")),
    ):
        limits = (float(expected.low), float(expected.high))
        assert (computed.low, computed.high) == pytest.approx(limits, abs=1e-9)


def test_nothing_of_nothing_is_not_defined() -> None:
    """0 of 0 has no share and no limits; nor has a difference with it."""
    for computed in (wilson(0, 0), clopper_pearson(0, 0), newcombe_difference((0, 0), (3, 10))):
        assert computed.value is computed.low is computed.high is None
