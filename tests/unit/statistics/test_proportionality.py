"""A dilution series and its proportionality."""

from __future__ import annotations

import math

import numpy as np
import pytest

from counter.statistics.comparison import Answer
from counter.statistics.proportionality import (
    Level,
    proportionality,
    r_squared,
    through_origin,
)

FRACTIONS = (0.1, 0.3, 0.5, 0.7, 1.0)


def series(seed: int, bend: float = 0.0, index: float = 1.0) -> list[Level]:
    """Three seeded counts at each fraction, about 150 at 1, bent down at the top."""
    draws = np.random.default_rng(seed)
    levels = []
    for fraction in FRACTIONS:
        mean = 150 * fraction / (1 + bend * fraction)
        if index > 1:
            counts = draws.negative_binomial(mean / (index - 1), 1 / index, 3)
        else:
            counts = draws.poisson(mean, 3)
        levels.append(Level(fraction, tuple(int(count) for count in counts)))
    return levels


def test_the_slope_is_a_ratio_of_sums_in_any_order() -> None:
    """All counted over all fractions: the weighted least squares of Poisson counts."""
    levels = series(1)
    found = proportionality(levels[::-1])
    total = sum(sum(level.counts) for level in levels)
    assert found.slope == pytest.approx(total / (3 * sum(FRACTIONS)))
    means = [level.mean for level in levels]
    weights = [3 / fraction for fraction in FRACTIONS]
    assert found.slope == pytest.approx(through_origin(FRACTIONS, means, weights))
    assert [level.fraction for level in found.levels] == list(FRACTIONS)
    off = sum(abs(m - found.slope * f) for m, f in zip(means, FRACTIONS, strict=True))
    assert found.index == pytest.approx(off / sum(means))


def test_perfect_proportion_has_an_index_of_nothing() -> None:
    """Every mean on the line."""
    found = proportionality([Level(f, (round(100 * f),) * 3) for f in FRACTIONS])
    assert found.index == pytest.approx(0, abs=1e-12)
    assert found.r_squared == pytest.approx(1)
    assert found.p_value == pytest.approx(1)
    assert found.cv == 0


@pytest.mark.parametrize("index", [1.0, 3.0])
def test_a_proportional_method_is_called_so(index: float) -> None:
    """400 seeded series, well mixed and clumped: about one in twenty is called out wrongly."""
    wrong = sum(
        not proportionality(series(seed, index=index)).is_proportional for seed in range(400)
    )
    assert wrong / 400 <= 0.08


def test_counts_that_fall_behind_at_the_top_are_seen() -> None:
    """Two fifths fewer than proportion at fraction 1, of 150: mostly called out, as too few."""
    found = [proportionality(series(seed, bend=0.7)) for seed in range(100)]
    assert sum(not entry.is_proportional for entry in found) >= 70
    assert sum(entry.top.answer is Answer.LESS for entry in found) >= 70


def test_scatter_is_held_against_chance() -> None:
    """The pooled CV of Poisson counts is what chance makes; of clumped ones it is more."""
    even = [proportionality(series(seed)) for seed in range(100)]
    clumped = [proportionality(series(seed, index=4.0)) for seed in range(100)]
    squares = [np.mean([entry.cv**2 / entry.cv_by_chance**2 for entry in some if entry.cv])
               for some in (even, clumped)]  # fmt: skip
    assert squares[0] == pytest.approx(1, abs=0.15)
    assert squares[1] > 2.5


def test_single_counts_have_no_scatter() -> None:
    """CV None, and no index of dispersion."""
    found = proportionality([Level(f, (round(100 * f),)) for f in FRACTIONS])
    assert found.cv is None
    assert math.isnan(found.cv_by_chance)
    assert Level(0.5, (0, 0)).cv is None
    assert math.isnan(r_squared([1, 2], [5, 5], 1.0))


@pytest.mark.parametrize(
    "levels",
    [
        [],
        [Level(0.5, (3,))],
        [Level(0.5, (3,)), Level(0.5, (4,))],
        [Level(0.0, (3,)), Level(0.5, (4,))],
        [Level(0.5, ()), Level(1.0, (4,))],
        [Level(0.5, (0,)), Level(1.0, (0,))],
    ],
)
def test_a_series_that_cannot_be_is_a_bug(levels: list[Level]) -> None:
    """It raises ValueError."""
    with pytest.raises(ValueError, match="above 0"):
        proportionality(levels)
