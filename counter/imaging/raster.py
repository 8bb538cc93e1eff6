"""JPEG, PNG and BMP: Pillow reads the header and the rare kinds, imagecodecs the common ones.

imagecodecs decodes a 12-megapixel JPEG in well under half of Pillow's time, but draws a file that
breaks off as half a picture; so the end of a JPEG is looked for before it is decoded.
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
from counter.imaging.limits import BREAKS_OFF, KINDS, MOST_BYTES, check_size, damaged
from counter.imaging.metadata import UM_PER_CM, UM_PER_INCH, StatedScale, of_resolution
from counter.imaging.photo import Photo, Pixels
from counter.imaging.pixels import AnyPixels, as_grey_or_colour, turned

Image.MAX_IMAGE_PIXELS = None  # check_size refuses with our own limit and a sentence

FORMATS = ("JPEG", "PNG", "BMP")
ORIENTATION_TAG = 274
DECODING_ERRORS = (OSError, ValueError, RuntimeError, SyntaxError, struct.error, zlib.error)
"""What Pillow and imagecodecs raise on damaged files."""


def read_raster(path: Path, name: str) -> Photo:
    """Read the one picture in a JPEG, PNG or BMP file; ``name`` is what the photo calls it.

    Raises :class:`CounterError` for what is no picture, is cut short, or is too large.
    """
    if path.stat().st_size > MOST_BYTES:
        raise CounterError(f"{path}: is too large a file for one picture; cut it into parts.")
    data = path.read_bytes()
    try:
        with Image.open(BytesIO(data), formats=FORMATS) as image:
            _check(path, image)
            pixels = turned(_decoded(path, data, image), image.getexif().get(ORIENTATION_TAG, 1))
            stated = _stated(image)
    except UnidentifiedImageError:
        raise CounterError(
            f"{path}: is not a picture that can be read; give a {KINDS} file, whatever its name "
            "ends with."
        ) from None
    except DECODING_ERRORS as error:
        raise damaged(path, error) from error
    return Photo(
        pixels,
        file=name,
        metadata_um_per_px=stated.um_per_px,
        metadata_source=stated.source,
        warnings=stated.warnings,
    )


def _check(path: Path, image: Image.Image) -> None:
    check_size(path, image.width, image.height, 8 if "16" in image.mode else 4)
    if image.info.get(CHART_KEY) == CHART_VALUE:
        raise CounterError(f"{path}: is a chart that Hingeline wrote; give the picture itself.")


def _decoded(path: Path, data: bytes, image: Image.Image) -> Pixels:
    """Return the pixels: fast for grey and colour of 8 and 16 bits, through Pillow for the rest."""
    if image.format in ("JPEG", "MPO"):
        _check_jpeg_end(path, data)
        if image.mode in ("L", "RGB"):
            return as_grey_or_colour(np.asarray(imagecodecs.jpeg8_decode(data)))
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


def _stated(image: Image.Image) -> StatedScale:
    """Return the scale behind a PNG's or JPEG's resolution where a microscope could have it."""
    if image.format == "PNG" and "dpi" in image.info:
        x, y = image.info["dpi"]
        return of_resolution(x, y, UM_PER_INCH)
    if image.info.get("jfif_density") and image.info.get("jfif_unit") in (1, 2):
        unit = UM_PER_INCH if image.info["jfif_unit"] == 1 else UM_PER_CM
        x, y = image.info["jfif_density"]
        return of_resolution(x, y, unit)
    return StatedScale()
