"""Damaged bytes anywhere: a photo or a sentence, never a traceback."""

from __future__ import annotations

import io
import tempfile
from pathlib import Path

import numpy as np
import pytest
import tifffile
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from counter.errors import CounterError
from counter.imaging.read import read_pages

RNG = np.random.default_rng(20)
PIXELS = RNG.integers(0, 255, (14, 22, 3), dtype=np.uint8)


def encoded(kind: str) -> bytes:
    """Return a small colour picture as the bytes of a file of this kind."""
    out = io.BytesIO()
    if kind.startswith("tif"):
        compression = kind.partition("-")[2] or None
        tifffile.imwrite(out, PIXELS, photometric="rgb", compression=compression)
    else:
        Image.fromarray(PIXELS).save(out, kind)
    return out.getvalue()


KINDS = ("PNG", "JPEG", "BMP", "WEBP", "JPEG2000", "tif", "tif-zlib", "tif-lzw")
FILES = {kind: encoded(kind) for kind in KINDS}


@pytest.mark.parametrize("kind", FILES)
@given(data=st.data())
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_flipped_bytes_give_a_photo_or_a_sentence(kind: str, data: st.DataObject) -> None:
    """Whatever bytes change, nothing but CounterError comes out, and it names the file."""
    content = bytearray(FILES[kind])
    near_start = st.integers(0, min(300, len(content) - 1))
    anywhere = st.integers(0, len(content) - 1)
    places = data.draw(st.lists(near_start | anywhere, min_size=1, max_size=4))
    for place in places:
        content[place] = data.draw(st.integers(0, 255))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "damaged")
        path.write_bytes(bytes(content))
        told = ""
        try:
            kinds = {photo.pixels.dtype for photo in read_pages(path)}
        except CounterError as error:
            told = str(error)
        assert str(path) in told or kinds <= {np.dtype(np.uint8), np.dtype(np.uint16)}


@given(content=st.binary(min_size=1, max_size=200))
@settings(max_examples=60, deadline=None)
def test_any_bytes_behind_a_signature(content: bytes) -> None:
    """A file that only begins like a picture is refused."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "odd")
        signatures = (
            b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"BM", b"II*\0", b"MM\0*", b"II+\0",
            b"RIFF\x20\0\0\0WEBPVP8 ", b"\0\0\0\x0cjP  \r\n\x87\n", b"\xff\x4f\xff\x51",
        )  # fmt: skip
        for start in signatures:
            path.write_bytes(start + content)
            with pytest.raises(CounterError, match="odd"):
                list(read_pages(path))
