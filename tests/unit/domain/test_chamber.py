"""Volumes are area × depth, unless a certificate says otherwise."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.domain.chamber import Chamber
from counter.errors import UsageError

SIDES = st.floats(0.01, 1000.0)
CELL = Chamber("cell", "cell", 1000.0, 1.0)
WELL = Chamber("well", "well", None, None)


@given(area_mm2=SIDES, depth_mm=SIDES, share=st.floats(0.0, 1.0))
def test_a_share_of_the_area_holds_that_share_of_the_volume(
    area_mm2: float, depth_mm: float, share: float
) -> None:
    """1 mm² × 1 mm is 1 µL, and volume grows with area."""
    chamber = Chamber("c", "c", area_mm2, depth_mm)
    assert chamber.volume_ul == area_mm2 * depth_mm
    assert chamber.volume_of_area_ul(share * area_mm2) == pytest.approx(share * area_mm2 * depth_mm)


@given(volume_ul=SIDES, share=st.floats(0.0, 1.0))
def test_a_certified_volume_is_spread_over_the_area(volume_ul: float, share: float) -> None:
    """The certificate stands over area × depth, for the whole and for each part."""
    certified = CELL.certified(volume_ul)
    assert certified.volume_ul == volume_ul
    assert certified.volume_of_area_ul(share * 1000.0) == pytest.approx(share * volume_ul)
    assert CELL.volume_ul == 1000.0


def test_a_whole_volume_has_no_volume_over_an_area() -> None:
    """It must be typed; the sentence says so. A typed one stands."""
    assert WELL.is_whole_volume
    assert not CELL.is_whole_volume
    assert WELL.volume_ul is None
    assert WELL.certified(250.0).volume_ul == 250.0
    with pytest.raises(UsageError, match="type the volume"):
        WELL.volume_of_area_ul(3.0)


@pytest.mark.parametrize("volume_ul", [0.0, -1.0, float("inf"), float("nan")])
def test_an_impossible_certificate_is_refused(volume_ul: float) -> None:
    """A volume must be above 0 and finite."""
    with pytest.raises(UsageError, match="impossible"):
        CELL.certified(volume_ul)
