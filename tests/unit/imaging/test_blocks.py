"""Blocks of a large picture: together they see all of it, and each place has one owner."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.imaging.blocks import Reduction, blocks_of, margin_px, reduction_for
from counter.imaging.photo import Photo

SIDES = st.integers(1, 3000)
BLOCKS = st.integers(300, 900)
MARGINS = st.integers(1, 150)


@given(SIDES, SIDES, st.tuples(BLOCKS, BLOCKS), MARGINS, st.data())
def test_every_place_has_one_owner_that_sees_its_surroundings(
    width: int, height: int, block: tuple[int, int], margin: int, data: st.DataObject
) -> None:
    """Also on a seam; the owner sees a margin around it, or as far as the picture goes."""
    blocks = blocks_of(width, height, block, margin)
    seams = [each.own_left for each in blocks if np.isfinite(each.own_left)]
    x = data.draw(st.one_of(st.floats(-0.5, width - 0.5), st.sampled_from(seams or [0.0])))
    y = data.draw(st.floats(-0.5, height - 0.5))
    (owner,) = [each for each in blocks if each.owns(x, y)]
    assert owner.left == 0 or x - owner.left >= margin - 1
    assert owner.top == 0 or y - owner.top >= margin - 1
    assert owner.right == width or owner.right - x >= margin - 1
    assert owner.bottom == height or owner.bottom - y >= margin - 1


@given(SIDES, SIDES, BLOCKS, MARGINS)
def test_all_blocks_have_one_size(width: int, height: int, block: int, margin: int) -> None:
    """So that the network sees all of them at one scale; none reaches over the picture."""
    blocks = blocks_of(width, height, (block, block), margin)
    assert len({(each.right - each.left, each.bottom - each.top) for each in blocks}) == 1
    assert min(each.left for each in blocks) == min(each.top for each in blocks) == 0
    assert max(each.right for each in blocks) == width
    assert max(each.bottom for each in blocks) == height


def test_a_picture_that_fits_is_one_block() -> None:
    """Nothing is cut that need not be."""
    (block,) = blocks_of(800, 600, (800, 600), 100)
    assert (block.left, block.top, block.right, block.bottom) == (0, 0, 800, 600)


def photo(width: int, height: int, um_per_px: float) -> Photo:
    """A picture of noise."""
    pixels = np.random.default_rng(3).integers(0, 255, (height, width, 3), dtype=np.uint8)
    return Photo(pixels).with_scale(um_per_px)


@pytest.mark.parametrize(
    ("um_per_px", "low_um", "high_um", "factor"),
    [(1.0, 60, 350, 1), (0.25, 60, 350, 2), (0.1, 60, 350, 4), (1.0, 60, 2000, 2), (4, 60, 3e4, 1)],
)
def test_only_very_long_bodies_are_searched_reduced(
    um_per_px: float, low_um: float, high_um: float, factor: int
) -> None:
    """So far that blocks need not overlap by much, and the shortest still spans 16 pixels."""
    assert reduction_for(photo(20, 10, um_per_px), low_um, high_um).factor == factor


def test_a_reduced_region_is_the_mean_of_the_picture() -> None:
    """At its own scale, whatever bands it is read in."""
    whole = photo(121, 80, 0.5)
    part = Reduction(whole, 3, 1.5).part(4, 5, 40, 26)
    assert part.um_per_px == 1.5
    expected = whole.pixels[15:78, 12:120].reshape(21, 3, 36, 3, 3).mean(axis=(1, 3))
    np.testing.assert_allclose(part.pixels, expected, atol=0.51)


def test_reduced_places_go_back_to_the_picture() -> None:
    """The middle of a reduced pixel is the middle of those it covers; a border stays a border."""
    reduction = Reduction(photo(121, 80, 0.5), 3, 1.5)
    assert reduction.to_picture([(0.0, 0.0), (-0.5, 10.0)]) == ((1.0, 1.0), (-0.5, 31.0))
    assert reduction.to_picture([(39.5, 25.5)]) == ((120.5, 79.5),)


def test_a_margin_holds_the_longest_body_from_its_centroid() -> None:
    """Two thirds of its length, and water beyond."""
    assert margin_px(350, 60, 1.0) > 2 / 3 * 1.1 * 350 + 60
    assert margin_px(350, 60, 0.5) > 2 * margin_px(350, 60, 1.0) - 20
