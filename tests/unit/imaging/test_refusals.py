"""Every way a picture file can be wrong: refused, never counted in part."""

from __future__ import annotations

import re
import struct
import zlib
from pathlib import Path

import numpy as np
import pytest
import tifffile
from PIL import Image

from counter.errors import CounterError
from counter.imaging.read import read_pages
from tests.unit.imaging.ramps import HEIGHT, WIDTH, gradient


def test_what_is_wrong_is_named(tmp_path: Path) -> None:
    """Missing, a folder, empty, text: the message names the file."""
    empty, text = tmp_path / "empty.jpg", tmp_path / "text.png"
    empty.touch()
    text.write_text("Monday: 112 larvae\n" * 50)
    cases = {
        tmp_path / "gone.png": "no such file",
        tmp_path: "is a folder",
        empty: "is empty",
        text: "not a picture",
    }
    for path, words in cases.items():
        with pytest.raises(CounterError, match=words) as caught:
            list(read_pages(path))
        assert str(path) in str(caught.value)


def test_a_device_is_no_picture() -> None:
    """A stream without end is refused instead of read."""
    path = Path("/dev/zero")
    if not path.exists():
        pytest.skip("this system has no /dev/zero")
    with pytest.raises(CounterError, match="not a file"):
        list(read_pages(path))


def test_a_file_that_may_not_be_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Permission denied is told with what to do."""
    path = tmp_path / "locked.png"
    Image.fromarray(gradient()).save(path)

    def refuse(*_args: object, **_kwargs: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    with pytest.raises(CounterError, match="permissions"):
        list(read_pages(path))


@pytest.mark.parametrize("kept", [0.05, 0.3, 0.5, 0.9, 0.99])
@pytest.mark.parametrize(
    "kind", ["jpg", "progressive.jpg", "png", "bmp", "tif", "lzw.tif", "webp", "jp2"]
)
def test_cut_short_files_are_refused(tmp_path: Path, kind: str, kept: float) -> None:
    """A copy that broke off is never counted as half a picture."""
    path = tmp_path / f"cut.{kind}"
    rng = np.random.default_rng(3)
    pixels = rng.integers(0, 255, (HEIGHT, WIDTH, 3), dtype=np.uint8)
    if kind.endswith("tif"):
        tifffile.imwrite(
            path, pixels, photometric="rgb", compression="lzw" if "lzw" in kind else None
        )
    else:
        Image.fromarray(pixels).save(path, progressive="progressive" in kind)
    whole = path.read_bytes()
    path.write_bytes(whole[: int(len(whole) * kept)])
    with pytest.raises(CounterError, match=r"damaged|not a picture") as caught:
        list(read_pages(path))
    assert str(path) in str(caught.value)
    assert re.search(r"breaks off|no longer a picture|no page|can be read", str(caught.value))


def test_a_tiff_whose_second_page_is_gone_is_refused(tmp_path: Path) -> None:
    """A multi-page file that lost its tail is not counted as a shorter one."""
    path = tmp_path / "tail.tif"
    with tifffile.TiffWriter(path) as writer:
        for _ in range(3):
            writer.write(gradient(), metadata=None)
    whole = path.read_bytes()
    path.write_bytes(whole[: len(whole) - 2 * gradient().nbytes])
    with pytest.raises(CounterError, match="damaged"):
        list(read_pages(path))


def test_an_animation_is_no_picture(tmp_path: Path) -> None:
    """Which of its pictures is meant, nobody knows."""
    path = tmp_path / "moving.webp"
    frames = [Image.fromarray(gradient()), Image.fromarray(gradient()[::-1])]
    frames[0].save(path, save_all=True, append_images=frames[1:])
    with pytest.raises(CounterError, match=r"animation.*save the picture"):
        list(read_pages(path))


def test_kinds_that_are_not_read_are_named_with_what_to_do(tmp_path: Path) -> None:
    """A GIF, and what phones write (ISO/IEC 23008-12, the brands of Annex B; AVIF 1.1)."""
    gif = tmp_path / "field.png"
    Image.fromarray(gradient()).save(gif, "GIF")
    starts = {b"ftypheic": "HEIC", b"ftypmif1": "HEIC", b"ftypavif": "AVIF"}
    phones = {kind: tmp_path / f"{start.hex()}.jpg" for start, kind in starts.items()}
    for start, kind in starts.items():
        phones[kind].write_bytes(b"\0\0\0\x18" + start + bytes(200))
    for kind, path in {"GIF": gif, **phones}.items():
        with pytest.raises(CounterError, match=rf"{kind} picture.*save it as JPEG or PNG"):
            list(read_pages(path))


def test_a_jpeg_2000_whose_codestream_is_larger_than_its_header_is_refused(tmp_path: Path) -> None:
    """The codestream's own size is what memory would be taken for."""
    path = tmp_path / "bomb.jp2"
    Image.fromarray(gradient()).save(path)
    content = bytearray(path.read_bytes())
    at = content.find(b"\xff\x4f\xff\x51") + 8
    content[at : at + 8] = struct.pack(">2I", 100_000, 100_000)
    path.write_bytes(bytes(content))
    with pytest.raises(CounterError, match="damaged"):
        list(read_pages(path))


def bomb_png(path: Path, side: int) -> None:
    """Write a PNG whose header announces ``side`` × ``side`` pixels that are not there."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return (
            struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))
        )

    header = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    path.write_bytes(
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", header)
        + chunk(b"IDAT", zlib.compress(b"\0" * 1000))
        + chunk(b"IEND", b"")
    )


def test_a_decompression_bomb_is_refused_by_its_header(tmp_path: Path) -> None:
    """A small file that announces 100,000 × 100,000 pixels is not decoded."""
    path = tmp_path / "bomb.png"
    bomb_png(path, 100_000)
    with pytest.raises(CounterError, match="too large"):
        list(read_pages(path))


def test_a_tiff_bomb_is_refused_by_its_header(tmp_path: Path) -> None:
    """The same for a TIFF: width and height are checked before a strip is touched."""
    path = tmp_path / "bomb.tif"
    tifffile.imwrite(path, np.zeros((2, 2), np.uint8))
    with tifffile.TiffFile(path, mode="r+") as tif:
        page = tif.pages.first
        page.tags["ImageWidth"].overwrite(60_000)
        page.tags["ImageLength"].overwrite(60_000)
    with pytest.raises(CounterError, match="too large"):
        list(read_pages(path))


def test_a_tile_larger_than_any_picture_may_be_is_refused(tmp_path: Path) -> None:
    """A small picture in one huge tile is refused before memory is taken for the tile."""
    path = tmp_path / "tile.tif"
    tifffile.imwrite(path, np.zeros((20, 30), np.uint8), tile=(32, 48), compression="zlib")
    with tifffile.TiffFile(path, mode="r+") as tif:
        page = tif.pages.first
        page.tags["TileWidth"].overwrite(60_000)
        page.tags["TileLength"].overwrite(60_000)
    with pytest.raises(CounterError, match="too large"):
        list(read_pages(path))


def test_a_bitmap_of_200_megapixels_would_be_read_by_its_header(tmp_path: Path) -> None:
    """A stitched chamber of 200 megapixels passes the size check and fails only as cut short."""
    path = tmp_path / "stitched.png"
    bomb_png(path, 14_200)
    with pytest.raises(CounterError, match="damaged"):
        list(read_pages(path))
