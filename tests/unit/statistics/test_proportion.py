"""Proportions that are not defined, and those that are impossible."""

from __future__ import annotations

import pytest

from counter.statistics.interval import NOT_DEFINED
from counter.statistics.proportion import clopper_pearson, newcombe_difference, wilson


def test_none_of_none_is_not_defined() -> None:
    """0 of 0 is no share: it says so and does not fail."""
    for interval in (
        wilson(0, 0),
        clopper_pearson(0, 0),
        newcombe_difference((0, 0), (1, 2)),
        newcombe_difference((1, 2), (0, 0)),
    ):
        assert interval is NOT_DEFINED


@pytest.mark.parametrize(("successes", "total"), [(-1, 3), (4, 3), (0, -1)])
def test_an_impossible_proportion_is_a_bug(successes: int, total: int) -> None:
    """More than all, or less than none, raises ValueError."""
    with pytest.raises(ValueError, match="not a proportion"):
        wilson(successes, total)
    with pytest.raises(ValueError, match="not a proportion"):
        clopper_pearson(successes, total)


def test_none_and_all_reach_the_ends_exactly() -> None:
    """0 of 20 starts at exactly 0, and 20 of 20 ends at exactly 1."""
    assert wilson(0, 20).low == clopper_pearson(0, 20).low == 0.0
    assert wilson(20, 20).high == clopper_pearson(20, 20).high == 1.0
    assert wilson(3, 10) != NOT_DEFINED
