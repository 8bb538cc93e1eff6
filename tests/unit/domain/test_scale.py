"""Scales that a microscope can have."""

from __future__ import annotations

import math
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.domain.scale import Lens, Scale, checked_um_per_px
from counter.errors import UsageError

PLAUSIBLE = st.floats(0.02, 50.0)


@given(PLAUSIBLE)
def test_a_plausible_scale_is_kept_as_it_is(um_per_px: float) -> None:
    """From 0.02 to 50 µm per pixel, both included."""
    assert checked_um_per_px(um_per_px) == um_per_px
    assert Scale(um_per_px, "given").um_per_px == um_per_px


@given(st.floats(max_value=0.0) | st.floats(min_value=50.0, exclude_min=True))
def test_an_implausible_scale_is_refused_with_the_reason(um_per_px: float) -> None:
    """0, negative, above 50, infinite: refused wherever a scale is made."""
    with pytest.raises(UsageError, match=r"impossible|not plausible"):
        checked_um_per_px(um_per_px)
    with pytest.raises(UsageError, match=r"impossible|not plausible"):
        Scale(um_per_px, "given")


@pytest.mark.parametrize("um_per_px", [0.0199, math.nan])
def test_too_fine_a_scale_and_no_number_are_refused(um_per_px: float) -> None:
    """No light microscope shows 0.0199 µm in a pixel."""
    with pytest.raises(UsageError, match="µm per pixel"):
        Lens("4x", um_per_px, 0.0, date(2026, 3, 1), 2592, 1944)


@given(PLAUSIBLE, st.floats(0.0, 1e8))
def test_an_area_grows_with_the_square_of_the_scale(um_per_px: float, area_px: float) -> None:
    """1000 px of 1 µm on both sides are 1 mm²."""
    assert Scale(um_per_px, "given").area_mm2(area_px) == pytest.approx(
        area_px * (um_per_px / 1000) ** 2
    )


def test_a_lens_hands_out_its_scale_with_its_error() -> None:
    """The source of the scale is the lens."""
    lens = Lens("4x, zoom 2", 1.24, 0.0004, date(2026, 3, 1), 2592, 1944)
    assert lens.scale() == Scale(1.24, "lens", 0.0004)
