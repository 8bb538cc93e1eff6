"""Pictures on which nothing could be seen are told from those on which nothing was."""

from __future__ import annotations

import numpy as np
import pytest

from counter.domain.progress import Silent
from counter.imaging.detect import detect
from counter.imaging.nothing import shows_nothing
from counter.imaging.photo import Photo, Pixels
from tests.hatchery import EGGS, LARVAE


def water(height: int, width: int) -> Pixels:
    """Water with a little noise."""
    noise = np.random.default_rng(2).normal(190, 3, (height, width))
    return np.asarray(noise.clip(0, 255), np.uint8)


def test_water_is_something_to_look_at() -> None:
    """No larva on it is a count of 0."""
    assert shows_nothing(Photo(water(120, 170)).with_scale(1.24), LARVAE) is None


@pytest.mark.parametrize("tone", [0, 128, 255])
@pytest.mark.parametrize("colour", [False, True])
def test_one_tone_all_over_is_no_picture_of_water(tone: int, colour: bool) -> None:
    """A closed shutter, a lamp too bright: one pixel that differs is enough for a picture."""
    pixels = np.full((120, 170, 3) if colour else (120, 170), tone, np.uint8)
    said = shows_nothing(Photo(pixels).with_scale(1.24), LARVAE)
    assert said is not None
    assert "one even tone" in said
    pixels[101, 33] = 77
    assert shows_nothing(Photo(pixels).with_scale(1.24), LARVAE) is None


@pytest.mark.parametrize(
    ("height", "width", "um_per_px", "words"),
    [
        (5, 8, 1.24, "8 × 5 px"),
        (1, 640, 1.24, "no room for a larva"),
        (640, 1, 1.24, "no room"),
        (1, 1, 1.24, "1.2 × 1.2 µm"),
        (400, 500, 0.021, "no room"),
        (400, 500, 49.0, "too coarse"),
    ],
)
def test_icons_and_impossible_scales_are_no_fields(
    height: int, width: int, um_per_px: float, words: str
) -> None:
    """They are counted 0 with the reason beside it, and the whole way from the picture stands."""
    found = detect(Photo(water(height, width)).with_scale(um_per_px), LARVAE, Silent())
    assert found.marks == ()
    assert found.area_mm2 == pytest.approx(height * width * um_per_px**2 * 1e-6)
    (said,) = found.warnings
    assert words in said


def test_eggs_are_called_eggs() -> None:
    """The sentence names what is looked for, with its shortest length."""
    said = shows_nothing(Photo(water(400, 500)).with_scale(40.0), EGGS)
    assert said is not None
    assert "an egg of 40 µm is 1.0 px long" in said
