"""What the limits of a count refuse."""

from __future__ import annotations

import math

import pytest

from counter.statistics.poisson import garwood, one_sided_upper, scaled_garwood


@pytest.mark.parametrize("count", [-1, math.nan, math.inf])
def test_an_impossible_count_is_a_bug(count: float) -> None:
    """It raises ValueError, which no interface catches."""
    with pytest.raises(ValueError, match="count"):
        garwood(count)


@pytest.mark.parametrize("level", [0.0, 1.0, 95.0, math.nan])
def test_an_impossible_level_is_a_bug(level: float) -> None:
    """A percentage instead of a share is found at once."""
    with pytest.raises(ValueError, match="confidence"):
        garwood(3, level)
    with pytest.raises(ValueError, match="confidence"):
        one_sided_upper(3, level)


@pytest.mark.parametrize("index", [0.0, -1.0, math.inf, math.nan])
def test_an_impossible_index_is_a_bug(index: float) -> None:
    """Limits cannot be widened by nothing."""
    with pytest.raises(ValueError, match="index"):
        scaled_garwood(3, index)


def test_an_index_of_one_leaves_the_exact_limits() -> None:
    """Scatter as by chance changes nothing."""
    assert scaled_garwood(313, 1.0) == garwood(313)
