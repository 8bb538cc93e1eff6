"""Slides: any region of a large TIFF is what the whole page shows there, and never the whole."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import tifffile
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from counter.domain.progress import Cancellable, Silent
from counter.errors import Cancelled, CounterError
from counter.imaging.overview import overview_of
from counter.imaging.photo import Photo
from counter.imaging.read import count_pages, read_field, read_fields, read_page
from counter.imaging.slide import Overview, Slide

HEIGHT, WIDTH = 150, 230
RNG = np.random.default_rng(11)
GREY = RNG.integers(0, 256, (HEIGHT, WIDTH), dtype=np.uint8)
RGB = RNG.integers(0, 256, (HEIGHT, WIDTH, 3), dtype=np.uint8)
PALETTE = RNG.integers(0, 65536, (3, 256), dtype=np.uint16)
TILE: dict[str, Any] = {"tile": (32, 48)}
KINDS: dict[str, tuple[NDArray[Any], dict[str, Any]]] = {
    "tiles": (RGB, TILE),
    "tiles-deflate": (GREY, {**TILE, "compression": "zlib"}),
    "tiles-lzw-predicted": (RGB, {**TILE, "compression": "lzw", "predictor": True}),
    "strips": (RGB, {"rowsperstrip": 7}),
    "strips-deflate": (RGB, {"rowsperstrip": 7, "compression": "zlib"}),
    "one-strip": (GREY, {}),
    "16-bit-big-endian": (RGB.astype(np.uint16) * 200, {"byteorder": ">"}),
    "16-bit-tiles": (GREY.astype(np.uint16) * 16, {**TILE, "compression": "zlib"}),
    "fractions": (GREY.astype(np.float32) / 7 - 3, TILE),
    "black-and-white": (GREY > 99, {"rowsperstrip": 10}),
    "planes-apart": (np.moveaxis(RGB, -1, 0), {**TILE, "planarconfig": "separate"}),
    "white-is-zero": (GREY, {**TILE, "photometric": "miniswhite"}),
    "palette": (GREY, {**TILE, "photometric": "palette", "colormap": PALETTE}),
    "big-tiff": (RGB, {**TILE, "bigtiff": True}),
    "jpeg": (RGB, {"tile": (64, 64), "compression": "jpeg"}),
}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder with one file of each kind."""
    path = tmp_path_factory.mktemp("slides")
    for kind, (pixels, options) in KINDS.items():
        said = {"photometric": "rgb" if pixels.ndim == 3 else "minisblack", **options}
        tifffile.imwrite(path / f"{kind}.tif", pixels, metadata=None, **said)
    return path


def slide_of(path: Path) -> Slide:
    """Open a file as a slide, however small it is."""
    found = read_field(path, whole_px=0)
    assert isinstance(found, Slide)
    return found


@pytest.mark.parametrize("kind", KINDS)
@given(data=st.data())
@settings(
    max_examples=8,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.function_scoped_fixture],
)
def test_a_region_is_what_the_whole_page_shows_there(
    folder: Path, kind: str, data: st.DataObject
) -> None:
    """Whatever is stored in whatever pieces; a region over the border ends there."""
    path = folder / f"{kind}.tif"
    whole, slide = read_page(path).pixels, slide_of(path)
    assert (slide.width_px, slide.height_px) == (WIDTH, HEIGHT)
    left = data.draw(st.integers(-20, WIDTH - 1))
    top = data.draw(st.integers(-20, HEIGHT - 1))
    right = data.draw(st.integers(max(left, 0) + 1, WIDTH + 20))
    bottom = data.draw(st.integers(max(top, 0) + 1, HEIGHT + 20))
    part = slide.part(left, top, right, bottom)
    np.testing.assert_array_equal(part.pixels, whole[max(0, top) : bottom, max(0, left) : right])
    inside = Photo(whole).part(left, top, right, bottom)
    np.testing.assert_array_equal(part.pixels, inside.pixels)


@pytest.mark.parametrize("orientation", range(1, 9))
def test_regions_are_turned_the_way_the_file_says(tmp_path: Path, orientation: int) -> None:
    """All eight orientations: a region of the turned page is the turned region."""
    path = tmp_path / "turned.tif"
    tag = (274, "H", 1, orientation, True)
    tifffile.imwrite(path, RGB, photometric="rgb", extratags=[tag], metadata=None, **TILE)
    whole, slide = read_page(path).pixels, slide_of(path)
    assert (slide.height_px, slide.width_px) == whole.shape[:2]
    np.testing.assert_array_equal(slide.part(21, 33, 77, 90).pixels, whole[33:90, 21:77])


def test_a_region_off_the_picture_is_empty(folder: Path) -> None:
    """It has no pixels; nothing is read."""
    assert slide_of(folder / "tiles.tif").part(500, 10, 600, 20).pixels.size == 0


def test_channels_are_merged_and_the_sharpest_focus_is_taken(tmp_path: Path) -> None:
    """Of an OME-TIFF with three channels and two planes, the sharp one in colour."""
    stack = np.zeros((2, 3, HEIGHT, WIDTH), np.uint8)
    stack[0] = 100
    stack[1] = np.moveaxis(RGB, -1, 0)
    path = tmp_path / "stack.ome.tif"
    tifffile.imwrite(
        path, stack, metadata={"axes": "ZCYX", "PhysicalSizeX": 0.5, "PhysicalSizeY": 0.5}, **TILE
    )
    slide = slide_of(path)
    np.testing.assert_array_equal(slide.part(3, 5, 90, 60).pixels, RGB[5:60, 3:90])
    assert slide.metadata_um_per_px == pytest.approx(0.5)
    assert "plane 2" in slide.warnings[0]


def pyramid(path: Path, hidden: bool, marked: bool = True) -> NDArray[np.uint8]:
    """Write a tiled picture with two smaller levels: as sub-pages or as pages of their own."""
    large = np.kron(GREY[:60, :90], np.ones((8, 8), np.uint8))
    with tifffile.TiffWriter(path) as writer:
        options: dict[str, Any] = {"tile": (64, 64), "metadata": None}
        writer.write(large, subifds=2 if hidden else None, **options)
        for step in (2, 4):
            kind = 1 if marked else 0
            writer.write(large[::step, ::step], subfiletype=kind, **options)
    return large


@pytest.mark.parametrize(("hidden", "marked"), [(True, True), (False, True), (False, False)])
def test_a_pyramid_is_one_field_of_full_size(tmp_path: Path, hidden: bool, marked: bool) -> None:
    """Its levels are no fields, whether they say so or only have the same shape."""
    path = tmp_path / "pyramid.tif"
    large = pyramid(path, hidden, marked)
    assert count_pages(path) == 1
    slide = slide_of(path)
    assert (slide.height_px, slide.width_px) == large.shape
    assert [level.width_px for level in slide.levels] == [360, 180]


def test_an_overview_comes_from_a_level_where_there_is_one(tmp_path: Path) -> None:
    """And shows the same as one from the picture itself."""
    large = pyramid(tmp_path / "pyramid.tif", hidden=True)
    slide = slide_of(tmp_path / "pyramid.tif")
    by_level = overview_of(slide, Silent(), most_px=5_000)
    assert by_level.factor == 16
    itself = overview_of(Photo(large), Silent(), most_px=5_000)
    np.testing.assert_allclose(by_level.pixels.mean(), itself.pixels.mean(), atol=1.0)
    assert by_level.pixels.shape == itself.pixels.shape


def test_pages_of_other_shapes_stay_fields(tmp_path: Path) -> None:
    """Two tiled pages of different shape, and two of the same, are all fields."""
    path = tmp_path / "fields.tif"
    with tifffile.TiffWriter(path) as writer:
        for pixels in (GREY, GREY[:100], GREY, GREY[:, :77]):
            writer.write(pixels, metadata=None, **TILE)
    assert count_pages(path) == 4


def test_labels_beside_a_scanned_slide_are_left_out(tmp_path: Path) -> None:
    """Small unmarked pictures beside a large tiled one are no fields; that is said."""
    path = tmp_path / "scan.tif"
    with tifffile.TiffWriter(path) as writer:
        large = np.zeros((4200, 4300), np.uint8)
        writer.write(large, tile=(512, 512), compression="zlib", metadata=None)
        writer.write(GREY, metadata=None)
        writer.write(RGB, photometric="rgb", metadata=None)
    assert count_pages(path) == 1
    assert slide_of(path).warnings == (
        "2 small pictures beside the scanned slide, like its label, left out.",
    )


def test_an_overview_is_the_mean_of_its_pixels(folder: Path) -> None:
    """Each of its pixels; the last ones repeat the picture's last row and column."""
    overview = overview_of(slide_of(folder / "tiles.tif"), Silent(), most_px=600)
    assert overview.factor == 8
    filled = np.pad(RGB, ((0, -HEIGHT % 8), (0, -WIDTH % 8), (0, 0)), mode="edge")
    mean = filled.reshape(19, 8, 29, 8, 3).mean(axis=(1, 3))
    np.testing.assert_allclose(overview.pixels, mean, atol=0.51)
    assert not overview.plain.any()


def test_an_overview_knows_where_the_picture_is_plain(tmp_path: Path) -> None:
    """Where all that it covers has one value."""
    pixels = GREY.copy()
    pixels[:64, :128] = 255
    tifffile.imwrite(tmp_path / "plain.tif", pixels, metadata=None, **TILE)
    overview = overview_of(slide_of(tmp_path / "plain.tif"), Silent(), most_px=600)
    assert overview.plain[:8, :16].all()
    assert overview.plain.sum() == 8 * 16


def test_an_overview_can_be_stopped(folder: Path) -> None:
    """At the next of its windows."""
    stopped = Cancellable()
    stopped.cancel()
    with pytest.raises(Cancelled):
        overview_of(slide_of(folder / "tiles.tif"), stopped)


def test_blank_tiles_are_black(tmp_path: Path) -> None:
    """A tile that the scanner left out takes no bytes in the file and shows nothing."""
    path = tmp_path / "sparse.tif"
    blank = np.zeros((64, 64), np.uint8)
    tiles: Any = iter([GREY[:64, :64], None, blank + 9, GREY[:64, 64:128]])
    tifffile.imwrite(path, tiles, shape=(128, 128), dtype="uint8", tile=(64, 64), metadata=None)
    slide = slide_of(path)
    seen = slide.part(0, 0, 128, 128).pixels
    np.testing.assert_array_equal(seen[:64, :64], GREY[:64, :64])
    assert not seen[:64, 64:].any()
    assert (seen[64:, :64] == 9).all()


def tile_span(path: Path, index: int) -> tuple[int, int]:
    """Where a tile lies in the file."""
    with tifffile.TiffFile(path) as tif:
        page: Any = tif.pages[0]
        return page.dataoffsets[index], page.databytecounts[index]


@pytest.mark.parametrize("compression", ["zlib", "lzw", "jpeg"])
def test_a_damaged_tile_is_told_with_its_place(tmp_path: Path, compression: str) -> None:
    """The regions beside it can be read; the one with it is a sentence that names the file."""
    path = tmp_path / "hurt.tif"
    tifffile.imwrite(
        path, RGB, photometric="rgb", tile=(64, 64), compression=compression, metadata=None
    )
    offset, length = tile_span(path, 5)
    data = bytearray(path.read_bytes())
    data[offset + 2 : offset + length] = bytes(length - 2)
    path.write_bytes(bytes(data))
    slide = slide_of(path)
    assert slide.part(0, 0, 60, 60).pixels.shape == (60, 60, 3)
    with pytest.raises(CounterError, match=r"hurt\.tif: is damaged .* at 64, 64") as told:
        slide.part(70, 70, 100, 100)
    assert "copy it from the camera again" in str(told.value)


def test_a_file_cut_short_is_refused_before_anything_is_read(tmp_path: Path) -> None:
    """Also where the missing tile is the last one."""
    path = tmp_path / "short.tif"
    tifffile.imwrite(path, RGB, photometric="rgb", metadata=None, **TILE)
    offset, length = tile_span(path, -1)
    path.write_bytes(path.read_bytes()[: offset + length // 2])
    with pytest.raises(CounterError, match=r"short\.tif"):
        slide_of(path)


@pytest.mark.parametrize("spoil", [Path.unlink, lambda path: path.write_bytes(b"II*\0")])
def test_a_file_that_goes_away_meanwhile_is_a_sentence(
    tmp_path: Path, spoil: Callable[[Path], object]
) -> None:
    """The disk was unplugged, or the file written over."""
    path = tmp_path / "gone.tif"
    tifffile.imwrite(path, RGB, photometric="rgb", compression="zlib", metadata=None, **TILE)
    slide = slide_of(path)
    spoil(path)
    with pytest.raises(CounterError, match=r"gone\.tif"):
        slide.part(0, 0, 50, 50)


def test_a_page_in_one_huge_compressed_piece_is_read_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """There is no part of it to be read; in smaller pieces it would be a slide."""
    monkeypatch.setattr("counter.imaging.tiff_parts.MOST_PART_BYTES", 5_000)
    for rows, kind in ((HEIGHT, Photo), (10, Slide)):
        path = tmp_path / f"{rows}.tif"
        tifffile.imwrite(path, GREY, compression="zlib", rowsperstrip=rows, metadata=None)
        (found,) = read_fields(path, whole_px=0)
        assert type(found) is kind


def test_a_size_that_no_slide_has_is_refused_by_the_header(tmp_path: Path) -> None:
    """Before memory is taken, with what to do."""
    path = tmp_path / "bomb.tif"
    tifffile.imwrite(path, RGB, photometric="rgb", metadata=None, **TILE)
    with tifffile.TiffFile(path, mode="r+") as tif:
        page: Any = tif.pages[0]
        for name in ("ImageWidth", "ImageLength"):
            page.tags[name].overwrite(1_000_000, dtype="I")
    with pytest.raises(CounterError, match=r"too large \(1000000 × 1000000 pixels"):
        read_field(path)


def test_fractions_keep_one_white_over_all_regions(folder: Path) -> None:
    """Numbers without an agreed white are spread by the whole page, not by each region."""
    slide = slide_of(folder / "fractions.tif")
    dark = slide.part(0, 0, 5, 5).pixels
    whole = read_page(folder / "fractions.tif").pixels
    np.testing.assert_array_equal(dark, whole[:5, :5])


def test_overview_of_a_small_picture_is_itself() -> None:
    """Nothing is reduced that fits."""
    found = overview_of(Photo(RGB), Silent())
    assert isinstance(found, Overview)
    assert found.factor == 1
    np.testing.assert_array_equal(found.pixels, RGB)
