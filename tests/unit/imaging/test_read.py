"""Reading picture files of every kind."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Callable
from pathlib import Path
from typing import Any

import imagecodecs
import numpy as np
import pytest
import tifffile
from numpy.typing import NDArray
from PIL import Image

from counter.errors import CounterError
from counter.imaging.read import count_pages, read_page, read_pages
from tests.unit.imaging.ramps import HEIGHT, WIDTH, colour, gradient, only


@pytest.mark.parametrize("suffix", ["png", "bmp", "tif", "jp2", "j2k"])
@pytest.mark.parametrize("pixels", [gradient(), colour()], ids=["grey", "colour"])
def test_lossless_files_give_their_pixels_back(
    tmp_path: Path, suffix: str, pixels: NDArray[Any]
) -> None:
    """Grey stays grey and colour stays red, green, blue."""
    path = tmp_path / f"field.{suffix}"
    Image.fromarray(pixels).save(path)
    photo = only(path)
    np.testing.assert_array_equal(photo.pixels, pixels)
    assert (photo.width_px, photo.height_px) == (WIDTH, HEIGHT)
    assert photo.file == str(path)
    assert photo.page == 0
    assert photo.um_per_px is None


@pytest.mark.parametrize("pixels", [gradient(), colour()], ids=["grey", "colour"])
@pytest.mark.parametrize("progressive", [False, True])
def test_jpeg_is_read(tmp_path: Path, pixels: NDArray[Any], progressive: bool) -> None:
    """A JPEG comes back within what its compression loses."""
    path = tmp_path / "field.jpg"
    Image.fromarray(pixels).save(path, quality=98, subsampling=0, progressive=progressive)
    photo = only(path)
    assert photo.pixels.shape == pixels.shape
    assert np.abs(photo.pixels.astype(int) - pixels).mean() < 2


@pytest.mark.parametrize("kept", [{"lossless": True}, {"quality": 95}])
def test_webp_is_read_the_right_way_up(tmp_path: Path, kept: dict[str, Any]) -> None:
    """Within what its compression loses; EXIF orientation 6 is turned clockwise, as of a phone."""
    path = tmp_path / "phone.webp"
    exif = Image.Exif()
    exif[274] = 6
    Image.fromarray(colour()).save(path, exif=exif, **kept)
    photo = only(path)
    assert photo.pixels.shape == (WIDTH, HEIGHT, 3)
    off = np.abs(photo.pixels.astype(int) - np.rot90(colour(), -1)).mean()
    assert off < (0.01 if "lossless" in kept else 4)


@pytest.mark.parametrize("samples", [1, 3])
@pytest.mark.parametrize("top", [4095, 65535])
def test_deep_jpeg_2000_keeps_its_bits(tmp_path: Path, samples: int, top: int) -> None:
    """Grey and colour of more than 8 bits come back as they were."""
    grey = gradient(np.uint16, top)
    pixels = grey if samples == 1 else np.dstack([grey, grey[::-1], grey // 2])
    path = tmp_path / "deep.jp2"
    path.write_bytes(imagecodecs.jpeg2k_encode(pixels, level=0))
    np.testing.assert_array_equal(only(path).pixels, pixels)


def test_jpeg_in_printing_inks_becomes_colour(tmp_path: Path) -> None:
    """A CMYK JPEG is read as red, green and blue."""
    path = tmp_path / "inks.jpg"
    Image.fromarray(colour()).convert("CMYK").save(path, quality=98)
    photo = only(path)
    assert photo.pixels.shape == (HEIGHT, WIDTH, 3)
    assert np.abs(photo.pixels.astype(int) - colour()).mean() < 4


def test_palette_png_becomes_colour(tmp_path: Path) -> None:
    """A picture of two palette colours shows those colours."""
    path = tmp_path / "palette.png"
    image = Image.new("P", (WIDTH, HEIGHT))
    image.putpalette([10, 20, 30, 200, 100, 50])
    image.putpixel((7, 3), 1)
    image.save(path)
    photo = only(path)
    assert photo.pixels[3, 7].tolist() == [200, 100, 50]
    assert photo.pixels[0, 0].tolist() == [10, 20, 30]


def test_black_and_white_png_has_full_contrast(tmp_path: Path) -> None:
    """One bit per pixel becomes 0 and 255."""
    path = tmp_path / "bits.png"
    Image.fromarray(gradient() > 127).save(path)
    assert sorted(np.unique(only(path).pixels)) == [0, 255]


def test_see_through_places_become_background(tmp_path: Path) -> None:
    """A transparent corner takes the median colour, so that it is no object."""
    pixels = np.full((HEIGHT, WIDTH, 4), (180, 170, 160, 255), np.uint8)
    pixels[:10, :10] = 0
    path = tmp_path / "clear.png"
    Image.fromarray(pixels).save(path)
    assert only(path).pixels[5, 5].tolist() == [180, 170, 160]


@pytest.mark.parametrize("bits", [10, 12, 16])
@pytest.mark.parametrize("suffix", ["png", "tif"])
def test_cameras_of_more_than_8_bits_are_not_black(tmp_path: Path, bits: int, suffix: str) -> None:
    """The brightest pixel of a 10, 12 or 16-bit camera in 16-bit storage is white."""
    path = tmp_path / f"deep.{suffix}"
    pixels = gradient(np.uint16, 2**bits - 1)
    if suffix == "tif":
        tifffile.imwrite(path, pixels)
    else:
        Image.fromarray(pixels).save(path)
    photo = only(path)
    np.testing.assert_array_equal(photo.pixels, pixels)
    assert photo.grey().dtype == np.float32
    assert photo.grey().max() == pytest.approx(1.0)
    assert photo.grey().min() == 0.0


def png_of_16_bit_colour(path: Path, pixels: NDArray[np.uint16]) -> None:
    """Write a 16-bit colour PNG by hand: no writer at hand does."""
    rows = b"".join(b"\0" + row.astype(">u2").tobytes() for row in pixels)

    def chunk(kind: bytes, data: bytes) -> bytes:
        check = zlib.crc32(kind + data)
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", check)

    header = struct.pack(">IIBBBBB", pixels.shape[1], pixels.shape[0], 16, 2, 0, 0, 0)
    path.write_bytes(
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(rows))
        + chunk(b"IEND", b"")
    )


def test_png_of_16_bit_colour_keeps_its_depth(tmp_path: Path) -> None:
    """A 12-bit colour camera's PNG is not squeezed into 16 levels."""
    path = tmp_path / "deep.png"
    pixels = colour(np.uint16, 4095)
    png_of_16_bit_colour(path, pixels)
    np.testing.assert_array_equal(only(path).pixels, pixels)


def _stored(orientation: int, upright: NDArray[Any]) -> NDArray[Any]:
    """Return what a camera of this EXIF orientation stores of the upright picture."""
    by: dict[int, Callable[[NDArray[Any]], NDArray[Any]]] = {
        1: lambda p: p,
        2: lambda p: p[:, ::-1],
        3: lambda p: p[::-1, ::-1],
        4: lambda p: p[::-1],
        5: lambda p: p.swapaxes(0, 1),
        6: lambda p: p.swapaxes(0, 1)[::-1],
        7: lambda p: p[::-1, ::-1].swapaxes(0, 1),
        8: lambda p: p.swapaxes(0, 1)[:, ::-1],
    }
    return np.ascontiguousarray(by[orientation](upright))


@pytest.mark.parametrize("orientation", range(1, 9))
@pytest.mark.parametrize("suffix", ["jpg", "png", "tif"])
def test_pictures_are_turned_the_way_the_camera_says(
    tmp_path: Path, orientation: int, suffix: str
) -> None:
    """EXIF 2.3, tag 274: whichever way the camera was held, the photo is upright."""
    path = tmp_path / f"turned.{suffix}"
    upright = np.zeros((HEIGHT, WIDTH), np.uint8)
    upright[: HEIGHT // 2, : WIDTH // 2] = 200
    upright[: HEIGHT // 2, WIDTH // 2 :] = 100
    stored = _stored(orientation, upright)
    if suffix == "tif":
        tag = (274, 3, 1, orientation, True)
        tifffile.imwrite(path, stored, extratags=[tag])
    else:
        exif = Image.Exif()
        exif[274] = orientation
        Image.fromarray(stored).save(path, exif=exif)
    photo = only(path)
    assert photo.pixels.shape == upright.shape
    assert np.abs(photo.pixels.astype(int) - upright).mean() < 2


@pytest.mark.parametrize("compression", [None, "zlib", "lzw", "packbits", "jpeg"])
@pytest.mark.parametrize("planar", ["contig", "separate"])
def test_tiff_compressed_and_planar(tmp_path: Path, compression: str | None, planar: str) -> None:
    """Compressed TIFFs, with samples side by side or in planes of their own, read the same."""
    path = tmp_path / "field.tif"
    pixels = colour()
    stored = pixels if planar == "contig" else np.moveaxis(pixels, -1, 0)
    photometric = "minisblack" if compression == "jpeg" and planar == "separate" else "rgb"
    if photometric == "minisblack":
        stored = stored[:1]
        tifffile.imwrite(path, stored[0], compression=compression)
        assert np.abs(only(path).pixels.astype(int) - pixels[..., 0]).mean() < 3
        return
    tifffile.imwrite(path, stored, photometric="rgb", planarconfig=planar, compression=compression)
    assert np.abs(only(path).pixels.astype(int) - pixels).mean() < (4 if compression else 0.1)


def test_tiff_with_opacity_white_zero_and_palette(tmp_path: Path) -> None:
    """RGBA, min-is-white and palette TIFFs look as a viewer shows them."""
    rgba = np.dstack([colour(), np.full((HEIGHT, WIDTH), 255, np.uint8)])
    tifffile.imwrite(tmp_path / "a.tif", rgba, photometric="rgb", extrasamples=["unassalpha"])
    np.testing.assert_array_equal(only(tmp_path / "a.tif").pixels, colour())
    tifffile.imwrite(tmp_path / "b.tif", 255 - gradient(), photometric="miniswhite")
    np.testing.assert_array_equal(only(tmp_path / "b.tif").pixels, gradient())
    palette = np.zeros((3, 256), np.uint16)
    palette[0] = np.arange(256) * 257
    tifffile.imwrite(tmp_path / "c.tif", gradient(), photometric="palette", colormap=palette)
    shown = only(tmp_path / "c.tif").pixels
    assert shown.shape == (HEIGHT, WIDTH, 3)
    np.testing.assert_array_equal(shown[..., 0], gradient().astype(np.uint16) * 257)


def test_each_page_of_a_tiff_is_a_field_and_thumbnails_are_not(tmp_path: Path) -> None:
    """Pages come in order, of whatever size; a reduced page is left out."""
    path = tmp_path / "pages.tif"
    with tifffile.TiffWriter(path) as writer:
        writer.write(gradient(), photometric="minisblack", metadata=None)
        writer.write(gradient()[::4, ::4], subfiletype=1, metadata=None)
        writer.write(gradient()[:, :50], photometric="minisblack", metadata=None)
    photos = list(read_pages(path))
    assert [photo.page for photo in photos] == [0, 1]
    assert [photo.width_px for photo in photos] == [WIDTH, 50]
    assert count_pages(path) == 2
    assert read_page(path, 1).width_px == 50
    with pytest.raises(CounterError, match="no page 3"):
        read_page(path, 2)


def test_a_png_has_one_page(tmp_path: Path) -> None:
    """Only page 0 is there."""
    path = tmp_path / "one.png"
    Image.fromarray(gradient()).save(path)
    assert count_pages(path) == 1
    with pytest.raises(CounterError, match="no page 2"):
        read_page(path, 1)


@pytest.mark.parametrize("kind", [np.float32, np.int32, np.int16])
def test_numbers_without_an_agreed_white_are_spread(tmp_path: Path, kind: type) -> None:
    """Fractions and signed numbers use their own range."""
    path = tmp_path / "odd.tif"
    tifffile.imwrite(path, gradient(kind, 100) - kind(50))
    grey = only(path).grey()
    assert grey.min() == 0.0
    assert grey.max() == pytest.approx(1.0)
