"""Pictures made ready for the screen."""

from __future__ import annotations

import numpy as np
import pytest

from counter.gui.pixels import pyramid_of
from counter.imaging.photo import Photo


def test_colours_and_size_are_those_of_the_picture() -> None:
    """The first level has every pixel in its own colour."""
    pixels = np.zeros((40, 70, 3), np.uint8)
    pixels[5, 9] = (200, 100, 50)
    image = pyramid_of(Photo(pixels)).levels[0]
    assert (image.width(), image.height()) == (70, 40)
    assert image.pixelColor(9, 5).name() == "#c86432"
    assert image.pixelColor(9, 6).name() == "#000000"


def test_each_level_is_half_as_large_and_as_bright() -> None:
    """Halving keeps the mean brightness, also of pictures with odd sides."""
    rng = np.random.default_rng(3)
    pixels = rng.integers(0, 255, (901, 1303), np.uint8)
    pyramid = pyramid_of(Photo(pixels))
    sizes = [(level.width(), level.height()) for level in pyramid.levels]
    assert sizes == [(1303, 901), (652, 451), (326, 226)]
    smallest = pyramid.buffers[-1][..., 0].mean()
    assert smallest == pytest.approx(pixels.mean(), abs=0.5)


def test_the_level_drawn_has_a_pixel_for_each_of_the_screens() -> None:
    """Zoomed out a smaller level is taken; zoomed in the full one."""
    pyramid = pyramid_of(Photo(np.zeros((1700, 2600), np.uint8)))
    assert pyramid.level_for(1.0).width() == 2600
    assert pyramid.level_for(0.6).width() == 2600
    assert pyramid.level_for(0.5).width() == 1300
    assert pyramid.level_for(0.3).width() == 1300
    assert pyramid.level_for(0.01) is pyramid.levels[-1]


def test_sixteen_bits_are_stretched_to_what_can_be_seen() -> None:
    """A faint picture of a 12-bit camera fills the range of the screen."""
    ramp = np.linspace(300, 700, 120 * 90).reshape(90, 120).astype(np.uint16)
    buffer = pyramid_of(Photo(ramp)).buffers[0][..., 0]
    assert buffer.min() == 0
    assert buffer.max() == 255


def test_a_flat_deep_picture_is_no_trouble() -> None:
    """All pixels alike: something is shown, nothing is divided by zero."""
    flat = np.full((50, 80), 1234, np.uint16)
    assert pyramid_of(Photo(flat)).levels[0].width() == 80


def test_the_thumbnail_is_small_and_has_the_pictures_shape() -> None:
    """Large pictures shrink to a strip's tile; small ones stay as they are."""
    small = pyramid_of(Photo(np.zeros((1500, 2000), np.uint8))).thumbnail
    assert small.width() < 340
    assert small.width() / small.height() == pytest.approx(4 / 3, rel=0.02)
    assert pyramid_of(Photo(np.zeros((40, 60), np.uint8))).thumbnail.width() == 60
