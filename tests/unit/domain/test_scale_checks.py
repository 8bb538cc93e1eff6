"""A picture that does not fit its lens is told in words."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.domain.scale import Lens
from counter.domain.scale_checks import given_scale_warnings, lens_warnings

LENS = Lens("10x", 1.24, 0.0004, date(2026, 3, 2), 2592, 1944)


@given(st.floats(0.975, 1.025))
def test_the_size_of_the_calibration_says_nothing(factor: float) -> None:
    """Upright or turned, with the same stated scale or none."""
    assert lens_warnings(LENS, 2592, 1944) == ()
    assert lens_warnings(LENS, 1944, 2592) == ()
    assert lens_warnings(LENS, 2592, 1944, 1.24 * factor) == ()


@pytest.mark.parametrize(("size", "scale"), [((1296, 972), "2.48"), ((5184, 3888), "0.62")])
def test_a_resized_picture_is_told_with_the_scale_it_would_have(
    size: tuple[int, int], scale: str
) -> None:
    """2×2 binning doubles the µm per pixel; a resized picture has lost its scale."""
    (said,) = lens_warnings(LENS, *size)
    assert "resized or binned" in said
    assert f"{scale} µm" in said
    assert "2592 × 1944" in said


def test_a_resized_picture_with_rounded_sides_is_still_resized() -> None:
    """1000 × 750 of 2592 × 1944: the sides are whole numbers, the shape is the same."""
    (said,) = lens_warnings(LENS, 1000, 750)
    assert "resized" in said


def test_a_cropped_picture_is_told() -> None:
    """Another shape is a crop or another camera."""
    (said,) = lens_warnings(LENS, 1000, 1000)
    assert "cropped" in said


@pytest.mark.parametrize("step", [2.0, 2.5, 4.0, 10.0])
def test_a_mixed_up_objective_is_told_with_its_consequence(step: float) -> None:
    """A lens a step of 2, 2.5 or 4 off means lengths off by that and totals by its square."""
    (said,) = lens_warnings(LENS, 2592, 1944, 1.24 * step)
    assert "another objective" in said
    assert f"a step of {step:g}" in said
    assert f"total {step**2:.3g} times" in said
    (other,) = lens_warnings(LENS, 2592, 1944, 1.24 / step)
    assert "times less" in other


def test_a_given_scale_is_compared_with_the_file() -> None:
    """The typed scale is used; the doubt is said."""
    assert given_scale_warnings(1.24, None) == ()
    assert given_scale_warnings(1.24, 1.25) == ()
    (said,) = given_scale_warnings(1.24, 1.5)
    assert "check which one" in said
