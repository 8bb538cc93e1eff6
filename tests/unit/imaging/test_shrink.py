"""Pictures made smaller: each new pixel is the mean of the area that it covers."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from counter.imaging.shrink import shrunk


def _means(pixels: NDArray[np.generic], size: tuple[int, int]) -> NDArray[np.float64]:
    """The means of the areas: of pixels cut so finely that whole pieces fill each new one."""
    width, height = size
    fine = np.repeat(np.repeat(pixels, height, axis=0), width, axis=1).astype(np.float64)
    rows, columns = pixels.shape[:2]
    return np.asarray(fine.reshape(height, rows, width, columns, -1).mean(axis=(1, 3)))


@pytest.mark.parametrize("size", [(13, 9), (7, 30), (24, 11), (8, 15), (48, 30), (1, 1), (47, 1)])
@pytest.mark.parametrize("channels", [(), (3,)])
@pytest.mark.parametrize("kind", [np.uint8, np.uint16])
def test_each_pixel_is_the_mean_of_the_area_that_it_covers(
    size: tuple[int, int], channels: tuple[int, ...], kind: type[np.uint8 | np.uint16]
) -> None:
    """To half a step and a rounding, whole ratios and others, grey and colour."""
    top = int(np.iinfo(kind).max)
    pixels = np.random.default_rng(3).integers(0, top, (30, 48, *channels), kind, endpoint=True)
    small = shrunk(pixels, size)
    assert small.dtype == kind
    assert small.shape == (size[1], size[0], *channels)
    wanted = _means(pixels, size).reshape(small.shape)
    assert np.abs(small - wanted).max() <= 0.5 + top * 1e-5


def test_a_part_of_a_picture_is_made_smaller_as_its_copy_is() -> None:
    """A block of a larger picture lies there with gaps between its rows."""
    whole = np.random.default_rng(4).integers(0, 255, (90, 120, 3), np.uint8)
    part = whole[7:60, 11:100]
    assert np.array_equal(shrunk(part, (41, 17)), shrunk(part.copy(), (41, 17)))


def test_a_side_that_grows_is_drawn_out() -> None:
    """A flat picture stays flat whatever becomes of its sides."""
    flat = np.full((20, 100, 3), 77, np.uint8)
    assert (shrunk(flat, (64, 32)) == 77).all()
