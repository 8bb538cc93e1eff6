"""What volumes add to the limits, and what a small vessel takes away."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.special import gammainc, gammaincc

from counter.domain.uncertainty import UNKNOWN_VOLUMES, VolumeUncertainty
from counter.statistics.estimate import estimate_counts
from counter.statistics.poisson import garwood
from counter.statistics.uncertainty import (
    combined,
    each_averaged,
    finite_factor,
    monte_carlo,
    widened,
)

GLASS = VolumeUncertainty(
    pipette=0.008 / math.sqrt(3), pipette_each=0.003, vessel=0.01 / math.sqrt(3)
)


def test_the_combined_example_comes_out() -> None:
    """447 in 3 × 0.5 mL of 1000 mL; pipette 0.8 %/√3 and 0.3 % from stroke to stroke (÷ √3 for
    three strokes), container 1 %/√3: 4.79 % against 4.73 % of the count alone (computed)."""
    result = estimate_counts([150, 149, 148], [0.5] * 3, vessel_ml=1000.0, volumes=GLASS)
    assert result.total == pytest.approx(298_000)
    assert combined(result.budget) == pytest.approx(0.0479, abs=0.5e-4)
    assert result.budget[0].part == "count"
    assert result.budget[0].relative == pytest.approx(0.0473, abs=0.5e-4)
    assert sum(line.share for line in result.budget) == pytest.approx(1.0)
    assert result.method == "poisson-exact+volumes"


def test_volumes_that_are_not_given_change_nothing() -> None:
    """The limits are those of the count alone, and there is no budget."""
    result = estimate_counts([447], [1.5], vessel_ml=1000.0, volumes=UNKNOWN_VOLUMES)
    assert (result.low, result.high) == pytest.approx((271_011, 326_949), abs=0.5)
    assert result.budget == ()
    assert result.as_json()["budget"] is None


def test_the_vessel_widens_the_total_but_not_the_density() -> None:
    """A density per mL knows nothing of how large the vessel is."""
    plain = estimate_counts([447], [1.5], vessel_ml=1000.0)
    vessel = VolumeUncertainty(vessel=0.1)
    wide = estimate_counts([447], [1.5], vessel_ml=1000.0, volumes=vessel)
    assert wide.density_low_per_ml == plain.density_low_per_ml
    assert wide.low is not None
    assert plain.low is not None
    assert wide.low < plain.low * 0.92


def test_large_counts_get_the_limits_of_the_formula() -> None:
    """For 10⁶ counted only the volumes matter: ×/÷ e^(1.96 u)."""
    low, high = widened(1e6, garwood(1_000_000), 0.05, 0.95)
    assert (low, high) == pytest.approx((1e6 * math.exp(-0.098), 1e6 * math.exp(0.098)), rel=1e-3)


@pytest.mark.parametrize("relative", [0.05, 0.1, 0.2])
@pytest.mark.parametrize("count", [0, 1, 3, 10, 100])
def test_limits_are_those_of_turning_the_test_round(count: int, relative: float) -> None:
    """Against the exact answer for a log-normal volume: the mean at which so few or so many are
    seen with a probability of 2.5 %, averaged over the volume (Gauss-Hermite); within 3 %."""
    nodes, weights = np.polynomial.hermite_e.hermegauss(40)
    weights = weights / weights.sum()
    low, high = widened(count, garwood(count), relative, 0.95)
    means = np.exp(relative * nodes)
    assert weights @ gammaincc(count + 1, high * 1.03 * means) < 0.025
    assert weights @ gammaincc(count + 1, high * 0.97 * means) > 0.025
    if count:
        assert weights @ gammainc(count, low * 0.97 * means) < 0.025
        assert weights @ gammainc(count, low * 1.03 * means) > 0.025


def test_draws_agree_with_the_formula_and_repeat() -> None:
    """The same seed gives the same limits, within 1 % of those on the log scale."""
    result = estimate_counts([447], [1.5], vessel_ml=1000.0, volumes=GLASS)
    once = monte_carlo(447, 1.0, GLASS, [1.5])
    assert once == monte_carlo(447, 1.0, GLASS, [1.5])
    assert once != monte_carlo(447, 1.0, GLASS, [1.5], seed=7)
    assert result.low is not None
    assert result.high is not None
    total = 1000.0 / 1.5
    assert (once[0] * total, once[1] * total) == pytest.approx((result.low, result.high), rel=0.01)


def test_strokes_average_out() -> None:
    """Over four equal strokes to a half; one large stroke does most of it."""
    assert each_averaged(0.02, [0.5] * 4) == pytest.approx(0.01)
    assert each_averaged(0.02, [1.0, 0.001]) == pytest.approx(0.02, rel=1e-2)
    assert each_averaged(0.02, []) == 0.0


def test_a_small_vessel_draws_the_limits_together() -> None:
    """3 × 1 mL of 10 mL: √(1 - 0.3) = 0.837 (computed); all of it leaves no doubt; under a
    twentieth nothing changes, and more than there is means a wrong volume."""
    assert finite_factor(0.3) == pytest.approx(0.837, abs=0.5e-3)
    assert finite_factor(0.049) == finite_factor(1.2) == 1.0
    some = estimate_counts([50, 48, 53], [1.0] * 3, vessel_ml=10.0)
    assert some.method == "poisson-exact+finite-vessel"
    all_of_it = estimate_counts([50, 48, 53], [1.0] * 3, vessel_ml=3.0)
    assert all_of_it.low == all_of_it.total == pytest.approx(all_of_it.high) == 151


def test_what_was_counted_is_there() -> None:
    """The lower limit of a small vessel is never below the number counted in it."""
    result = estimate_counts([1], [9.0], vessel_ml=10.0)
    assert result.low == pytest.approx(1.0)
