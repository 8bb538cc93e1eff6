"""A picture that does not fit its lens is told in words."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.domain.ruled import RuledGrid
from counter.domain.scale import Lens, Scale
from counter.domain.scale_checks import (
    beside_earlier,
    given_scale_warnings,
    lens_warnings,
    rulings_doubt,
)

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


def grid(period_px: float, error_px: float = 0.1) -> RuledGrid:
    """Rulings found on a picture."""
    return RuledGrid(900, 700, 3.0, period_px, error_px, 6, 100.0, 120.0)


LENS_SCALE = Scale(1.24, "lens", 0.001)


def test_rulings_that_contradict_the_lens_are_said() -> None:
    """Both scales, the cause and what it does to the numbers."""
    words = rulings_doubt(grid(1000 / 2.48), 1000.0, LENS_SCALE, "10x, camera 1")
    assert words.startswith(
        "The rulings say 2.48 µm per pixel, the lens “10x, camera 1” 1.24: wrong objective, or "
    )
    assert "Lengths would be 2 times too short, numbers 4 times too high." in words


def test_rulings_closer_than_the_scale_says() -> None:
    """The other way round, at a typed scale and at no usual step between objectives."""
    words = rulings_doubt(grid(1000 / 1.24), 1000.0, Scale(1.6, "given"))
    assert "the scale given 1.6: wrong zoom, binning or lens, or another chamber" in words
    assert "1.29 times too long, numbers 1.66 times too low" in words


@pytest.mark.parametrize("source", ["given", "lens", "metadata", "clicks", "micrometer"])
def test_every_source_of_a_scale_has_its_words(source: str) -> None:
    """None is left without a subject."""
    assert ": wrong objective" in rulings_doubt(grid(1000 / 2.48), 1000.0, Scale(1.24, source))


@pytest.mark.parametrize(
    ("found", "ruling_um", "scale"),
    [
        (None, 1000.0, LENS_SCALE),
        (grid(1000 / 2.48), None, LENS_SCALE),
        (grid(1000 / 2.48), 1000.0, Scale(1.24, "rulings")),
        (grid(1000 / 1.27), 1000.0, LENS_SCALE),
        (grid(1000 / 1.31, error_px=9.0), 1000.0, LENS_SCALE),
    ],
    ids=["none found", "no one period", "the scale is theirs", "within 3 %", "unsure themselves"],
)
def test_rulings_that_say_nothing_against_the_scale(
    found: RuledGrid | None, ruling_um: float | None, scale: Scale
) -> None:
    """Never a guess, never a false alarm."""
    assert rulings_doubt(found, ruling_um, scale) == ""


def test_a_new_calibration_is_compared_with_those_before() -> None:
    """The last one, and how many there are; another objective is named; nothing for the first."""
    assert beside_earlier(LENS, ()) == ""
    near = replace(LENS, um_per_px=1.24 * 1.01)
    assert beside_earlier(near, (LENS,)) == (
        "Calibrated once before, last on 2026-03-02 with 1.24 µm per pixel: 1 % more now."
    )
    other = beside_earlier(replace(LENS, um_per_px=0.62), (LENS, near))
    assert other.startswith("Calibrated 2 times before, last on 2026-03-02")
    assert "2 times less now. If objective, zoom or picture size are others" in other
