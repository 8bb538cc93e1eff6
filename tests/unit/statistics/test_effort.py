"""How many more."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.statistics.effort import (
    Done,
    Minutes,
    counted_for,
    counted_to_show,
    effort,
    inverse_sampling,
    lund_precision,
    precision_of,
)


@given(st.floats(0.03, 2.0), st.floats(1.0, 20.0))
def test_the_promised_count_keeps_its_promise_and_one_less_does_not(
    precision: float, index: float
) -> None:
    """By the limits that are shown."""
    needed = counted_for(precision, index=index)
    assert needed is not None
    assert precision_of(needed, index=index) <= precision
    assert needed == 1 or precision_of(needed - 1, index=index) > precision


def test_nothing_counted_has_no_precision() -> None:
    """Infinite, and no plan."""
    assert math.isinf(lund_precision(0))
    assert math.isinf(precision_of(0))
    assert effort(Done(0, 1.0, 1)) is None
    assert effort(Done(10, 0.0, 0)) is None


def test_what_nobody_counts_is_out_of_reach() -> None:
    """±0.001 % takes thousands of millions."""
    assert counted_for(1e-5) is None
    found = effort(Done(100, 1.0, 1, squares=10), 1e-5)
    assert found is not None
    assert found.more_larvae is found.more_fillings is found.more_squares is None
    assert found.squares_in_these is None
    with pytest.raises(ValueError, match="cannot be reached"):
        counted_for(0.0)


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


def test_counting_until_a_number_is_unbiased_less_one() -> None:
    """20 000 seeded runs of a Poisson process of 50 per mL, each until the 12th.

    (n - 1)/volume has the true mean, n/volume is too high by 1/11; the limits hold the truth in
    95 % of the runs.
    """
    volumes = np.random.default_rng(11).gamma(12, 1 / 50, 20_000)
    found = [inverse_sampling(12, float(volume)) for volume in volumes]
    values = np.array([entry.value for entry in found])
    assert values.mean() == pytest.approx(50, rel=0.01)
    assert (12 / volumes).mean() == pytest.approx(50 * 12 / 11, rel=0.01)
    held = [entry.low <= 50 <= entry.high for entry in found if entry.low and entry.high]
    assert np.mean(held) == pytest.approx(0.95, abs=0.006)


@pytest.mark.parametrize(("count", "volume_ml"), [(1, 1.0), (10, 0.0), (10, math.inf)])
def test_inverse_sampling_needs_two_and_a_volume(count: int, volume_ml: float) -> None:
    """Anything else raises ValueError."""
    with pytest.raises(ValueError, match="2 or more"):
        inverse_sampling(count, volume_ml)


def test_showing_a_loss_takes_a_count_that_shows_it() -> None:
    """4 000 seeded pairs with a true loss of 30 %: about eight in ten show it."""
    first = counted_to_show(0.3)
    draws = np.random.default_rng(3)
    before, after = draws.poisson(first, 4000), draws.poisson(0.7 * first, 4000)
    z = np.log(before / after) / np.sqrt(1 / before + 1 / after)
    assert np.mean(z > 1.96) == pytest.approx(0.8, abs=0.03)
    for loss in (0.0, 1.0):
        with pytest.raises(ValueError, match="not between"):
            counted_to_show(loss)
