"""OME-TIFF: focal planes and channels of one field are one field."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tifffile
from numpy.typing import NDArray

from counter.imaging.ome import ome_fields
from counter.imaging.read import count_pages, read_pages

HEIGHT, WIDTH = 40, 60


def planes(*counts: int, dtype: type = np.uint8) -> NDArray[Any]:
    """Return planes of constant value 1, 2, 3 … in the leading axes ``counts``."""
    number = int(np.prod(counts))
    values: NDArray[Any] = np.arange(1, number + 1, dtype=dtype).reshape(*counts, 1, 1)
    return np.broadcast_to(values, (*counts, HEIGHT, WIDTH)).copy()


def write(path: Path, pixels: NDArray[Any], axes: str) -> Path:
    """Write an OME-TIFF with these axes and a scale of 1.24 µm per pixel."""
    sizes = {"PhysicalSizeX": 1.24, "PhysicalSizeY": 1.24}
    tifffile.imwrite(path, pixels, metadata={"axes": axes, **sizes}, photometric="minisblack")
    return path


def test_times_are_fields(tmp_path: Path) -> None:
    """Three times are three fields, each with the scale."""
    path = write(tmp_path / "t.ome.tif", planes(3), "TYX")
    photos = list(read_pages(path))
    assert [int(photo.pixels[0, 0]) for photo in photos] == [1, 2, 3]
    assert [photo.metadata_um_per_px for photo in photos] == [1.24] * 3
    assert count_pages(path) == 3


def test_focal_planes_are_one_field_and_the_sharpest_is_counted(tmp_path: Path) -> None:
    """Five focal planes of one field must not be five counts."""
    stack = planes(5)
    stack[3, 10:20, 10:20] = 200
    path = write(tmp_path / "z.ome.tif", stack, "ZYX")
    (photo,) = read_pages(path)
    np.testing.assert_array_equal(photo.pixels, stack[3])
    assert "5 focal planes" in photo.warnings[0]
    assert "plane 4" in photo.warnings[0]


def test_two_channels_are_one_field(tmp_path: Path) -> None:
    """The first channel is counted, in words."""
    (photo,) = read_pages(write(tmp_path / "c.ome.tif", planes(2), "CYX"))
    assert int(photo.pixels[0, 0]) == 1
    assert "2 channels" in photo.warnings[0]


def test_three_channels_are_a_colour_picture(tmp_path: Path) -> None:
    """Red, green and blue stored as channels make one colour field."""
    (photo,) = read_pages(write(tmp_path / "rgb.ome.tif", planes(3), "CYX"))
    assert photo.pixels[5, 5].tolist() == [1, 2, 3]
    assert photo.warnings == ()


def test_times_channels_and_focus_together(tmp_path: Path) -> None:
    """Two times of two channels of three focal planes are two fields."""
    stack = planes(2, 3, 2)
    stack[0, 2, 0, :5] = 90
    stack[1, 1, 0, :5] = 90
    photos = list(read_pages(write(tmp_path / "tzc.ome.tif", stack, "TZCYX")))
    assert len(photos) == 2
    np.testing.assert_array_equal(photos[0].pixels, stack[0, 2, 0])
    np.testing.assert_array_equal(photos[1].pixels, stack[1, 1, 0])


def test_colour_samples_in_one_page(tmp_path: Path) -> None:
    """A page of three samples is one colour field, not three channels."""
    pixels = np.zeros((HEIGHT, WIDTH, 3), np.uint8)
    pixels[..., 1] = 77
    path = tmp_path / "s.ome.tif"
    tifffile.imwrite(path, pixels, photometric="rgb", metadata={"axes": "YXS"})
    (photo,) = read_pages(path)
    np.testing.assert_array_equal(photo.pixels, pixels)
    assert photo.metadata_um_per_px is None


def test_several_positions_are_fields(tmp_path: Path) -> None:
    """Each image of the file is a position on the slide."""
    path = tmp_path / "positions.ome.tif"
    with tifffile.TiffWriter(path, ome=True) as writer:
        for value in (5, 6):
            writer.write(
                np.full((HEIGHT, WIDTH), value, np.uint8),
                metadata={"axes": "YX", "PhysicalSizeX": 0.1 * value, "PhysicalSizeY": 0.1 * value},
            )
    photos = list(read_pages(path))
    assert [int(photo.pixels[0, 0]) for photo in photos] == [5, 6]
    assert [photo.metadata_um_per_px for photo in photos] == pytest.approx([0.5, 0.6])


PIXELS = '<OME><Image><Pixels DimensionOrder="{order}" SizeZ="2" SizeC="1" SizeT="2">{data}'
END = "</Pixels></Image></OME>"


def test_plane_order_and_tiff_data_say_which_page_is_which() -> None:
    """DimensionOrder numbers the planes; TiffData with IFD overrides the order."""
    by_focus = ome_fields(PIXELS.format(order="XYZCT", data="") + END, 4)
    assert [field.pages for field in by_focus] == [((0,), (1,)), ((2,), (3,))]
    by_time = ome_fields(PIXELS.format(order="XYTCZ", data="") + END, 4)
    assert [field.pages for field in by_time] == [((0,), (2,)), ((1,), (3,))]
    moved = "".join(
        f'<TiffData IFD="{page}" FirstZ="{z}" FirstT="{t}"/>'
        for page, (z, t) in enumerate([(1, 1), (0, 1), (1, 0), (0, 0)])
    )
    told = ome_fields(PIXELS.format(order="XYZCT", data=moved) + END, 4)
    assert [field.pages for field in told] == [((3,), (2,)), ((1,), (0,))]


@pytest.mark.parametrize(
    "xml",
    [
        "not xml <",
        "<OME/>",
        PIXELS.format(order="XYZCT", data="") + END,
        PIXELS.format(order="XYQ", data="") + END,
        PIXELS.replace('SizeZ="2"', 'SizeZ="many"').format(order="XYZCT", data="") + END,
        PIXELS.replace('SizeT="2"', 'SizeT="-2"').format(order="XYZCT", data="") + END,
    ],
)
def test_what_does_not_fit_describes_no_field(xml: str) -> None:
    """Broken text, or more planes than the file has pages: the pages stand for themselves."""
    assert ome_fields(xml, 3) == ()


def test_a_file_that_lost_planes_counts_its_pages(tmp_path: Path) -> None:
    """Where the text does not fit the pages, each page is a field rather than none."""
    path = tmp_path / "odd.ome.tif"
    text = PIXELS.format(order="XYZCT", data="") + END
    with tifffile.TiffWriter(path) as writer:
        for index in range(3):
            writer.write(
                np.full((HEIGHT, WIDTH), index, np.uint8),
                description=text if index == 0 else None,
                metadata=None,
            )
    assert len(list(read_pages(path))) == 3
