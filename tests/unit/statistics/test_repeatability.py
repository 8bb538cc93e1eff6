"""The same slides counted twice."""

from __future__ import annotations

import pytest
from scipy.stats import ttest_rel

from counter.statistics.repeatability import repeatability

FIRST = [97, 103, 88, 110, 95]
SECOND = [99, 101, 93, 113, 97]


def test_the_scatter_of_one_count_comes_of_the_differences() -> None:
    """√(Σd²/(2n)): differences 2, -2, 5, 3, 2."""
    found = repeatability(FIRST, SECOND)
    assert found.pairs == 5
    assert found.sd == pytest.approx((46 / 10) ** 0.5)
    assert found.mean == pytest.approx(99.6)
    assert found.cv == pytest.approx(found.sd / 99.6)
    assert found.difference == pytest.approx(2.0)


def test_the_bias_is_students_t_of_the_differences() -> None:
    """The same as scipy's paired test."""
    found = repeatability(FIRST, SECOND)
    expected = ttest_rel(SECOND, FIRST)
    limits = expected.confidence_interval(0.95)
    assert found.p_value == pytest.approx(expected.pvalue)
    assert (found.low, found.high) == pytest.approx((limits.low, limits.high))
    assert not found.is_biased
    assert repeatability(FIRST, [count + 9 for count in SECOND]).is_biased


def test_differences_without_scatter_are_sure() -> None:
    """All alike: no difference, or the same one on every slide."""
    same = repeatability(FIRST, FIRST)
    assert (same.sd, same.p_value, same.is_biased) == (0.0, 1.0, False)
    always = repeatability(FIRST, [count + 1 for count in FIRST])
    assert (always.low, always.high, always.is_biased) == (1.0, 1.0, True)


def test_one_slide_shows_no_bias() -> None:
    """A scatter, but no limits; nothing counted has no CV."""
    one = repeatability([97], [99])
    assert (one.low, one.high, one.p_value, one.is_biased) == (None, None, None, False)
    assert one.sd == pytest.approx(2**0.5)
    assert repeatability([0], [0]).cv is None


@pytest.mark.parametrize("pair", [([], []), ([1], [1, 2])])
def test_slides_without_both_counts_are_a_bug(pair: tuple[list[int], list[int]]) -> None:
    """They raise ValueError."""
    with pytest.raises(ValueError, match="both counts"):
        repeatability(*pair)
