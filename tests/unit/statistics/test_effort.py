"""How many more."""

from __future__ import annotations

import math

import pytest

from counter.statistics.effort import Done, Minutes, effort
from counter.statistics.precision import precision_of


def test_nothing_counted_has_no_plan() -> None:
    """No plan."""
    assert effort(Done(0, 1.0, 1)) is None
    assert effort(Done(10, 0.0, 0)) is None


def test_what_nobody_counts_is_out_of_reach() -> None:
    """±0.001 % takes thousands of millions."""
    found = effort(Done(100, 1.0, 1, squares=10), 1e-5)
    assert found is not None
    assert found.more_larvae is found.more_fillings is found.more_squares is None
    assert found.squares_in_these is None


def test_a_plan_goes_on_with_fillings_like_these() -> None:
    """313 in 3 fillings of 0.25 mL, 200 squares each: 82 more for ±10 %, one filling."""
    found = effort(Done(313, 0.75, 3, squares=600))
    assert found is not None
    assert found.more_larvae == 395 - 313
    assert found.more_fillings == 1
    assert found.more_ml == pytest.approx(82 / 313 * 0.75)
    assert found.more_squares == found.squares_in_these == math.ceil(82 / 313 * 600)
    assert not found.is_reached
    assert found.minutes_fillings is found.minutes_squares is None


def test_a_plan_that_is_reached_asks_for_nothing() -> None:
    """No more larvae, squares or fillings."""
    found = effort(Done(500, 1.0, 2, squares=100))
    assert found is not None
    assert found.is_reached
    assert (found.more_larvae, found.more_fillings, found.more_squares) == (0, 0, 0)


def test_more_fillings_make_the_scatter_better_known() -> None:
    """What rests on 4 degrees of freedom is widened by Student's t, less with each filling more:
    the fillings asked for are just enough."""
    done = Done(143, 0.15, 3, index=3.0, degrees_of_freedom=4.0)
    found = effort(done)
    assert found is not None
    assert found.more_fillings is not None
    for fillings, is_enough in ((found.more_fillings, True), (found.more_fillings - 1, False)):
        counted = round(143 * (3 + fillings) / 3)
        half = precision_of(counted, index=done.index_with(fillings, 0.95))
        assert (half <= 0.1) is is_enough
    settled = effort(Done(143, 0.15, 3, index=3.0))
    assert settled is not None
    assert settled.more_fillings is not None
    assert settled.more_fillings < found.more_fillings < 2 * settled.more_fillings


def test_squares_are_cheaper_where_fillings_agree() -> None:
    """Loading a filling costs more than counting on."""
    found = effort(Done(313, 0.75, 3, squares=600), minutes=Minutes(5.0, 0.1))
    assert found is not None
    assert found.minutes_fillings == pytest.approx(1 * (5 + 200 * 0.1))
    assert found.minutes_squares == pytest.approx(158 * 0.1)
    assert found.best_squares_per_filling is None


def test_more_squares_cannot_mend_fillings_that_differ() -> None:
    """The variance between fillings alone is more than the limits allow."""
    found = effort(Done(313, 0.75, 3, squares=600, index=3.0), minutes=Minutes(5.0, 0.1))
    assert found is not None
    assert found.squares_in_these is None
    assert found.minutes_squares is None
    assert found.more_fillings == math.ceil((found.more_larvae or 0) / (313 / 3))
    assert found.best_squares_per_filling == pytest.approx(70.7, abs=0.05)


def test_the_cheapest_number_of_squares_is_the_cheapest() -> None:
    """By brute force over cost × variance of one filling: (c_f + s·c_s)·(1/(s·λ) + b)."""
    done = Done(313, 0.75, 3, squares=600, index=3.0)
    found = effort(done, minutes=Minutes(5.0, 0.1))
    assert found is not None
    assert found.best_squares_per_filling is not None
    per_square = 313 / 600

    def cost(squares: float) -> float:
        return (5.0 + 0.1 * squares) * (1 / (squares * per_square) + done.between)

    assert min(range(1, 1000), key=cost) == round(found.best_squares_per_filling)
