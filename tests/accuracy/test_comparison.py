"""How often a comparison calls a change that is none, and how often its limits hold the truth."""

from __future__ import annotations

import numpy as np
import pytest

from counter.domain.house import House
from counter.statistics.comparison import Answer, Side, compare
from counter.statistics.ratio import poisson_ratio

PAIRS = 1200
FILLINGS = 3
MEAN = 100.0


def drawn(draws: np.random.Generator, mean: float, index: float) -> Side:
    """Three fillings of a vessel; their counts scatter ``index`` times as much as by chance."""
    if index == 1:
        counts = draws.poisson(mean, FILLINGS)
    else:
        counts = draws.negative_binomial(mean / (index - 1), 1 / index, FILLINGS)
    return Side([int(count) for count in counts], [1.0] * FILLINGS)


@pytest.mark.parametrize(
    ("index", "most"), [(1.0, 0.05), (1.5, 0.06), (2.0, 0.07), (3.0, 0.09), (6.0, 0.08)]
)
def test_a_change_that_is_none_is_seldom_called(index: float, most: float) -> None:
    """1 200 seeded pairs of equal vessels, three fillings of about 100 each: alarms at 95 %."""
    draws = np.random.default_rng(round(10 * index))
    alarms = plain = 0
    for _ in range(PAIRS):
        first, second = drawn(draws, MEAN, index), drawn(draws, MEAN, index)
        alarms += compare(first, second).answer is not Answer.NOT_SHOWN
        exact = poisson_ratio(second.counted, 1.0, first.counted, 1.0)
        plain += exact.p_value < 0.05
    assert alarms / PAIRS <= most
    if index >= 3:
        assert alarms < plain / 3  # what the scatter would cost if nobody looked at it


@pytest.mark.parametrize("index", [1.0, 2.0, 6.0])
def test_a_history_of_earlier_samples_keeps_the_level(index: float) -> None:
    """The same, single fillings, with 40 degrees of freedom of a history that scattered alike."""
    draws = np.random.default_rng(round(100 * index))
    house = House(40 * index, 40, 20)
    alarms = 0
    for _ in range(PAIRS):
        one, two = (drawn(draws, MEAN, index) for _ in range(2))
        first, second = Side(one.counts[:1], [1.0]), Side(two.counts[:1], [1.0])
        alarms += compare(first, second, house=house).answer is not Answer.NOT_SHOWN
    assert alarms / PAIRS <= 0.06


@pytest.mark.parametrize("mean", [2.0, 12.0, 100.0])
def test_exact_limits_hold_a_true_survival(mean: float) -> None:
    """1 200 seeded pairs with a true survival of 70 %, single fillings: held in 95 % or more."""
    draws = np.random.default_rng(round(mean))
    held = 0
    for _ in range(PAIRS):
        before, after = int(draws.poisson(mean)), int(draws.poisson(0.7 * mean))
        found = compare(Side([before], [1.0]), Side([after], [1.0]))
        held += found.low <= 0.7 <= found.high
    assert held / PAIRS >= 0.94
