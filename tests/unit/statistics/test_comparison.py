"""Two counts against each other."""

from __future__ import annotations

import json
import math

import pytest

from counter.domain.house import House
from counter.statistics.comparison import FIELLER, Answer, Side, compare
from counter.statistics.ratio import METHOD, poisson_ratio


def one(count: int, volume_ml: float = 1.0, scale: float = 1.0) -> Side:
    """A single filling."""
    return Side((count,), (volume_ml,), scale)


def test_single_fillings_are_compared_exactly() -> None:
    """The exact conditional method, the second over the first."""
    found = compare(one(120), one(45, 0.5))
    exact = poisson_ratio(45, 0.5, 120, 1.0)
    assert (found.ratio, found.low, found.high) == (exact.ratio, exact.low, exact.high)
    assert (found.p_value, found.method, found.index) == (exact.p_value, METHOD, None)


def test_vessels_and_dilutions_make_totals_of_densities() -> None:
    """The same density in half the vessel is half the total."""
    found = compare(one(200, 1.0, 20_000.0), one(200, 1.0, 10_000.0))
    assert found.ratio == pytest.approx(0.5)
    assert found.answer is Answer.LESS


@pytest.mark.parametrize(
    ("first", "second", "answer"),
    [
        (200, 180, Answer.NOT_SHOWN),
        (200, 100, Answer.LESS),
        (100, 200, Answer.MORE),
        (0, 0, Answer.NOTHING),
        (0, 12, Answer.MORE),
        (0, 1, Answer.NOT_SHOWN),
    ],
)
def test_the_answer_is_what_the_limits_show(first: int, second: int, answer: Answer) -> None:
    """A change is shown where 1 lies outside the limits."""
    assert compare(one(first), one(second)).answer is answer


def test_fillings_that_scatter_widen_the_limits() -> None:
    """228 against 370 is a change for Poisson counts, but these fillings scatter too much."""
    found = compare(Side((88, 58, 82), (1.0,) * 3), Side((120, 160, 90), (1.0,) * 3))
    exact = poisson_ratio(370, 3.0, 228, 3.0)
    assert found.method == FIELLER
    assert found.index is not None
    assert found.index > 3
    assert found.low < exact.low
    assert found.high > exact.high
    assert found.answer is Answer.NOT_SHOWN
    assert exact.p_value < 1e-6


def test_limits_and_p_agree_when_the_limits_are_fiellers() -> None:
    """p is below 0.05 just where 1 lies outside the limits."""
    for more in range(0, 800, 25):
        found = compare(Side((100, 150), (1.0, 1.0)), Side((180 + more, 240 + more), (1.0, 1.0)))
        outside = not found.low <= 1 <= found.high
        if found.method == FIELLER:
            assert (found.p_value < 0.05) is outside


def test_a_first_count_too_poor_for_limits_says_so() -> None:
    """Fieller's set is unbounded: JSON has null, not a number."""
    found = compare(Side((0, 9), (1.0, 1.0)), Side((20, 30), (1.0, 1.0)))
    assert found.method == FIELLER
    assert math.isinf(found.high)
    document = json.loads(json.dumps(found.as_json(), allow_nan=False))
    assert document["low"] is None
    assert document["high"] is None
    assert document["ratio"] == pytest.approx(50 / 9)
    assert document["answer"] == "no change shown"


def test_even_fillings_stay_exact() -> None:
    """Fillings that agree better than chance never narrow the limits."""
    even = compare(Side((100, 100), (1.0, 1.0)), Side((90, 90), (1.0, 1.0)))
    assert even.method == METHOD
    assert even.index == 0


@pytest.mark.parametrize("bad", [one(-1), one(1, 0.0), one(1, 1.0, -2.0), Side((), ())])
def test_impossible_sides_are_bugs(bad: Side) -> None:
    """They raise ValueError."""
    with pytest.raises(ValueError, match=r"must be|must not|volume"):
        compare(one(10), bad)


def test_a_history_widens_single_fillings() -> None:
    """Well-mixed vessels in the past leave them exact; badly mixed ones do not."""
    good, bad = House(38.0, 40, 20), House(120.0, 40, 20)
    assert compare(one(200), one(150), house=good).method == METHOD
    found = compare(one(200), one(150), house=bad)
    assert found.method == FIELLER
    assert found.index == pytest.approx(3.0)
    assert found.answer is Answer.NOT_SHOWN
    assert compare(one(200), one(150), house=House(9.0, 3, 1)).method == METHOD
    assert compare(one(0), one(0), house=bad).answer is Answer.NOTHING
