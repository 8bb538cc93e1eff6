"""All kinds but TIFF: Pillow reads the header and the rare kinds, imagecodecs the common ones.

imagecodecs decodes a 12-megapixel JPEG in well under half of Pillow's time, but draws a file that
breaks off as half a picture; so the end of a JPEG is looked for before it is decoded. Of a JPEG
2000 of more than 8 bits, it keeps them all.
"""

from __future__ import annotations

import struct
import zlib
from io import BytesIO
from pathlib import Path

import imagecodecs
import numpy as np
from PIL import Image, UnidentifiedImageError

from counter.domain.chart_note import CHART_KEY, CHART_VALUE
from counter.errors import CounterError
from counter.imaging.limits import BREAKS_OFF, KINDS, MOST_BYTES, UNDECODABLE, check_size, damaged
from counter.imaging.metadata import UM_PER_CM, UM_PER_INCH, StatedScale, of_resolution
from counter.imaging.photo import Photo, Pixels
from counter.imaging.pixels import AnyPixels, as_grey_or_colour, turned

Image.MAX_IMAGE_PIXELS = None  # check_size refuses with our own limit and a sentence

FORMATS = ("JPEG", "PNG", "BMP", "WEBP", "JPEG2000")
"""In Pillow's words; for the last two it loads all its plugins, so the others come first."""

ORIENTATION_TAG = 274
UNREAD = {b"ftypheic": "HEIC", b"ftypheix": "HEIC", b"ftypmif1": "HEIC", b"ftypavif": "AVIF"}
"""The kinds of picture that phones take and nothing here can read, by bytes 5 to 12 of the file."""

DECODING_ERRORS = (OSError, ValueError, RuntimeError, SyntaxError, struct.error, zlib.error)
"""What Pillow and imagecodecs raise on damaged files."""


def read_raster(path: Path, name: str) -> Photo:
    """Read the one picture in a file of :data:`FORMATS`; ``name`` is what the photo calls it.

    Raises :class:`CounterError` for what is no picture, an animation, cut short, or too large.
    """
    if path.stat().st_size > MOST_BYTES:
        raise CounterError(f"{path}: is too large a file for one picture; cut it into parts.")
    data = path.read_bytes()
    if _is_short_webp(data):
        raise damaged(path, BREAKS_OFF)
    try:
        with Image.open(BytesIO(data), formats=FORMATS) as image:
            _check(path, image)
            pixels = turned(_decoded(path, data, image), image.getexif().get(ORIENTATION_TAG, 1))
            stated = _stated(image)
    except UnidentifiedImageError:
        raise _unread(path, data) from None
    except DECODING_ERRORS as error:
        raise damaged(path, error) from error
    return Photo(
        pixels,
        file=name,
        metadata_um_per_px=stated.um_per_px,
        metadata_source=stated.source,
        warnings=stated.warnings,
    )


def _unread(path: Path, data: bytes) -> CounterError:
    """Return the error for what is no picture of a kind that is read."""
    kind = "GIF" if data[:4] == b"GIF8" else UNREAD.get(data[4:12])
    if kind is not None:
        return CounterError(
            f"{path}: is a {kind} picture, which is not read; save it as JPEG or PNG."
        )
    return CounterError(
        f"{path}: is not a picture that can be read; give a {KINDS} file, whatever its name ends "
        "with."
    )


def _check(path: Path, image: Image.Image) -> None:
    is_deep = "16" in image.mode or image.format == "JPEG2000"
    check_size(path, image.width, image.height, 8 if is_deep else 4)
    if image.format == "WEBP" and getattr(image, "is_animated", False):
        raise CounterError(
            f"{path}: is an animation, not one picture; save the picture that is to be counted on "
            "its own."
        )
    if image.info.get(CHART_KEY) == CHART_VALUE:
        raise CounterError(f"{path}: is a chart that Hingeline wrote; give the picture itself.")


def _decoded(path: Path, data: bytes, image: Image.Image) -> Pixels:
    """Return the pixels: fast for grey and colour of 8 and 16 bits, through Pillow for the rest."""
    if image.format in ("JPEG", "MPO"):
        _check_jpeg_end(path, data)
        if image.mode in ("L", "RGB"):
            return as_grey_or_colour(np.asarray(imagecodecs.jpeg8_decode(data)))
    if image.format == "JPEG2000" and image.mode in ("L", "LA", "I;16", "RGB", "RGBA"):
        _check_codestream(path, data, image.size)
        return as_grey_or_colour(np.asarray(imagecodecs.jpeg2k_decode(data)))
    if image.format == "PNG" and _is_plain_png(data):
        return as_grey_or_colour(np.asarray(imagecodecs.png_decode(data)))
    return as_grey_or_colour(_by_pillow(image))


def _by_pillow(image: Image.Image) -> AnyPixels:
    if image.mode == "1":
        return np.asarray(image.convert("L"))
    if image.mode == "P" and "transparency" in image.info:
        return np.asarray(image.convert("RGBA"))
    if image.mode in ("P", "CMYK", "YCbCr", "LAB", "HSV", "RGBX"):
        return np.asarray(image.convert("RGB"))
    return np.asarray(image)


def _is_plain_png(data: bytes) -> bool:
    """Whether bits per sample are 8 or 16 and colours are not by palette or by a keyed colour."""
    bits, kind = data[24], data[25]
    return bits in (8, 16) and kind != 3 and b"tRNS" not in data[:4096]


def _is_short_webp(data: bytes) -> bool:
    """Whether a WEBP breaks off: its header says how many bytes come (RFC 9649, section 2.4)."""
    is_webp = data[:4] == b"RIFF" and data[8:12] == b"WEBP"
    return is_webp and int.from_bytes(data[4:8], "little") + 8 > len(data)


def _check_jpeg_end(path: Path, data: bytes) -> None:
    """Raise if the compressed pixels of a JPEG do not come to their end marker.

    Within compressed data a byte FF is never followed by D9 (ISO/IEC 10918-1, B.1.1.5), so the
    first such pair behind the start of scan is the end of the image.
    """
    at = 2
    while at + 4 <= len(data):
        marker, length = struct.unpack(">HH", data[at : at + 4])
        if marker == 0xFFDA:
            if data.find(b"\xff\xd9", at + 2 + length) > 0:
                return
            break
        at += 1 if data[at + 1] == 0xFF else 2 + length
    raise damaged(path, BREAKS_OFF)


def _check_codestream(path: Path, data: bytes, size: tuple[int, int]) -> None:
    """Raise if the codestream of a JPEG 2000 is of another size than its header says.

    The marker SOC is followed by SIZ, which holds it (ISO/IEC 15444-1, A.5.1).
    """
    at = data.find(b"\xff\x4f\xff\x51") + 8
    if at < 8 or len(data) < at + 16:
        raise damaged(path, UNDECODABLE)
    right, bottom, left, top = struct.unpack(">4I", data[at : at + 16])
    if (right - left, bottom - top) != size:
        raise damaged(path, UNDECODABLE)


def _stated(image: Image.Image) -> StatedScale:
    """Return the scale behind a file's resolution where a microscope could have it."""
    if image.format in ("PNG", "JPEG2000") and "dpi" in image.info:
        x, y = image.info["dpi"]
        return of_resolution(x, y, UM_PER_INCH)
    if image.info.get("jfif_density") and image.info.get("jfif_unit") in (1, 2):
        unit = UM_PER_INCH if image.info["jfif_unit"] == 1 else UM_PER_CM
        x, y = image.info["jfif_density"]
        return of_resolution(x, y, unit)
    return StatedScale()
