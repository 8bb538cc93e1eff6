"""How well volumes are known."""

from __future__ import annotations

import math

import pytest

from counter.domain.uncertainty import (
    PIPETTES,
    UNKNOWN_VOLUMES,
    VolumeUncertainty,
    pipette_class,
)
from counter.errors import UsageError


def test_nothing_given_is_no_uncertainty() -> None:
    """Any part that is given makes a difference."""
    assert not UNKNOWN_VOLUMES.is_given
    assert VolumeUncertainty(pipette_each=0.001).is_given


@pytest.mark.parametrize("share", [-0.01, 0.51, math.nan])
def test_an_impossible_uncertainty_is_refused(share: float) -> None:
    """The sentence names the part and the range."""
    with pytest.raises(UsageError, match=r"vessel .* between 0 and 50 %"):
        VolumeUncertainty(vessel=share)


def test_a_pipette_set_low_is_less_certain() -> None:
    """ISO 8655, 1000 µL: at 200, 500 and 1000 µL the tolerance is 4, 1.6 and 0.8 %, the random
    error 1.5, 0.6 and 0.3 % (as quoted by a maker); a tolerance is divided by √3."""
    percent = {200: (4.0, 1.5), 500: (1.6, 0.6), 1000: (0.8, 0.3)}
    for set_ul, (systematic, random) in percent.items():
        shared, each = pipette_class(1000).relative(set_ul)
        assert shared * 100 * math.sqrt(3) == pytest.approx(systematic)
        assert each * 100 == pytest.approx(random)


@pytest.mark.parametrize(
    ("nominal_ul", "systematic", "random"),
    [
        (10, 1.2, 0.8),
        (20, 1.0, 0.5),
        (50, 1.0, 0.5),
        (100, 0.8, 0.3),
        (200, 0.8, 0.3),
        (500, 0.8, 0.3),
        (1000, 0.8, 0.3),
        (2000, 0.8, 0.3),
        (5000, 0.8, 0.3),
        (10000, 0.6, 0.3),
    ],
)
def test_classes_are_shares_of_the_nominal_volume(
    nominal_ul: float, systematic: float, random: float
) -> None:
    """ISO 8655-2:2022, single channel, air cushion, in per cent (as quoted in open calibration
    software)."""
    shared, each = pipette_class(nominal_ul).relative(nominal_ul)
    assert shared * 100 * math.sqrt(3) == pytest.approx(systematic)
    assert each * 100 == pytest.approx(random)


def test_a_pipette_that_does_not_fit_is_refused() -> None:
    """Neither more than it holds, nor a size that there is no class for."""
    with pytest.raises(UsageError, match="cannot measure 250 µL in one stroke"):
        pipette_class(200).relative(250)
    with pytest.raises(UsageError, match="choose one of 10, 20, 50, 100, 200, 500, 1000"):
        pipette_class(300)


def test_classes_stand_in_growing_order_with_their_source() -> None:
    """A larger pipette has larger errors in µL; each value says where it is from."""
    assert [entry.nominal_ul for entry in PIPETTES] == sorted({e.nominal_ul for e in PIPETTES})
    assert [entry.systematic_ul for entry in PIPETTES] == sorted(e.systematic_ul for e in PIPETTES)
    assert all("ISO 8655" in entry.source for entry in PIPETTES)
