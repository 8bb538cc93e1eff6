"""Pixels of every kind become grey or colour of 8 or 16 bits."""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from numpy.typing import NDArray

from counter.imaging.pixels import as_grey_or_colour, inverted, rgb_of_inks, turned

SHAPE = (6, 9)


@pytest.mark.parametrize("kind", [np.uint8, np.uint16, np.float32, np.bool_, np.int16])
def test_turning_over_twice_changes_nothing(kind: type) -> None:
    """Min-is-white of any number kind is the same picture, negative."""
    pixels: NDArray[Any] = (np.arange(54).reshape(SHAPE) % 2).astype(kind)
    np.testing.assert_array_equal(inverted(inverted(pixels)), pixels)
    assert inverted(pixels)[0, 0] != pixels[0, 0]


@pytest.mark.parametrize(("kind", "full"), [(np.uint8, 255), (np.uint16, 65535), (np.float32, 1)])
def test_inks(kind: type, full: float) -> None:
    """No ink is white, black ink is black, cyan takes the red away."""
    inks: NDArray[Any] = np.zeros((*SHAPE, 4), kind)
    inks[0, 0, 3] = full
    inks[0, 1, 0] = full
    light = rgb_of_inks(inks)
    assert light[1, 1].tolist() == [full] * 3
    assert light[0, 0].tolist() == [0, 0, 0]
    assert light[0, 1].tolist() == [0, full, full]


@pytest.mark.parametrize(
    ("samples", "shape"),
    [(1, SHAPE), (2, SHAPE), (3, (*SHAPE, 3)), (4, (*SHAPE, 3)), (6, (*SHAPE, 3))],
)
def test_samples_beyond_colour_are_dropped(samples: int, shape: tuple[int, ...]) -> None:
    """1 or 2 samples are grey, 3 or more colour."""
    pixels = np.full((*SHAPE, samples), 255, np.uint8)
    assert as_grey_or_colour(pixels).shape == shape


def test_what_is_not_a_number_becomes_black() -> None:
    """NaN and infinity in a picture of fractions don't spoil the rest."""
    pixels = np.ones(SHAPE, np.float32)
    pixels[0, :3] = np.nan, np.inf, -np.inf
    result = as_grey_or_colour(pixels)
    assert result[0, :3].tolist() == [0, 0, 0]
    assert result[1, 1] == 65535


def test_a_flat_picture_of_fractions_is_black_and_not_an_error() -> None:
    """No range to spread."""
    assert as_grey_or_colour(np.full(SHAPE, 0.3)).max() == 0


def test_a_picture_that_is_see_through_everywhere_stays() -> None:
    """There is no opaque place to take a background from."""
    pixels = np.full((*SHAPE, 4), 40, np.uint8)
    pixels[..., 3] = 0
    assert as_grey_or_colour(pixels)[0, 0].tolist() == [40, 40, 40]


@pytest.mark.parametrize("opacity", [1, 128, 254])
@pytest.mark.parametrize("samples", [2, 4])
def test_what_is_half_see_through_is_picture_all_the_same(opacity: int, samples: int) -> None:
    """All over or in one part: colours stay as they are stored."""
    pixels = np.random.default_rng(3).integers(0, 256, (*SHAPE, samples)).astype(np.uint8)
    for part in (slice(None), slice(0, 2)):
        pixels[..., -1] = 255
        pixels[part, :, -1] = opacity
        stored = pixels[..., 0] if samples == 2 else pixels[..., :3]
        np.testing.assert_array_equal(as_grey_or_colour(pixels), stored)


def test_what_has_no_opacity_is_background_and_on_a_region_black() -> None:
    """The median of what is seen; on a region of a larger picture nothing is known of the rest."""
    pixels = np.full((*SHAPE, 4), (90, 80, 70, 128), np.uint8)
    pixels[:2, :, :] = (255, 0, 255, 0)
    assert np.unique(as_grey_or_colour(pixels).reshape(-1, 3), axis=0).tolist() == [[90, 80, 70]]
    part = as_grey_or_colour(pixels, region_of=(0.0, 255.0))
    assert part[0, 0].tolist() == [0, 0, 0]
    assert part[-1, 0].tolist() == [90, 80, 70]


@pytest.mark.parametrize("orientation", [0, 1, 9, 99])
def test_unknown_orientations_change_nothing(orientation: int) -> None:
    """Only 2 to 8 turn a picture."""
    pixels = np.arange(54, dtype=np.uint8).reshape(SHAPE)
    np.testing.assert_array_equal(turned(pixels, orientation), pixels)
