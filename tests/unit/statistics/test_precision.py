"""How narrow the limits are, and how many it takes."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.statistics.precision import (
    counted_for,
    counted_to_show,
    inverse_sampling,
    lund_precision,
    measured_for,
    precision_of,
    seen_to_show,
)
from counter.statistics.proportion import newcombe_difference


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
    """Infinite."""
    assert math.isinf(lund_precision(0))
    assert math.isinf(precision_of(0))


def test_what_nobody_counts_is_out_of_reach() -> None:
    """±0.001 % takes thousands of millions."""
    assert counted_for(1e-5) is None
    with pytest.raises(ValueError, match="cannot be reached"):
        counted_for(0.0)


@pytest.mark.parametrize(("sd_um", "plus_minus_um"), [(0.0, 2.0), (10.0, 0.0), (math.inf, 2.0)])
def test_impossible_lengths_are_bugs(sd_um: float, plus_minus_um: float) -> None:
    """They raise ValueError."""
    with pytest.raises(ValueError, match="above 0"):
        measured_for(sd_um, plus_minus_um)


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


@pytest.mark.parametrize(("difference", "share"), [(0.1, 0.55), (0.2, 0.7), (0.3, 0.5)])
def test_a_difference_of_shares_is_seen_as_often_as_promised(
    difference: float, share: float
) -> None:
    """Eight times in ten, by drawing both shares; the formula is a normal approximation."""
    rng = np.random.default_rng(1998)
    of = math.ceil(seen_to_show(difference, share))
    ends = (share + difference / 2, share - difference / 2)
    drawn = zip(*(rng.binomial(of, end, 600).tolist() for end in ends), strict=True)
    seen = sum((newcombe_difference((a, of), (b, of)).low or 0) > 0 for a, b in drawn)
    assert seen / 600 == pytest.approx(0.8, abs=0.05)


@pytest.mark.parametrize("difference", [0.0, 1.0, -0.1])
def test_an_impossible_difference_is_a_bug(difference: float) -> None:
    """It raises ValueError."""
    with pytest.raises(ValueError, match="difference"):
        seen_to_show(difference, 0.5)
