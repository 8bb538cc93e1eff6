"""What is refused before a pixel is decoded: no file, an empty one, one that would fill memory."""

from __future__ import annotations

import math
import stat
from pathlib import Path

from counter.errors import CounterError

MOST_PIXELS = 300_000_000
"""The largest picture that is opened, in pixels.

A whole Sedgewick-Rafter chamber (50 × 20 mm) stitched at 2 µm per pixel has 250 million pixels
and is counted in about 3 GB of memory. Beyond that a file is more likely to be a decompression
bomb or a stitching mishap than a picture of a chamber.
"""

MOST_BYTES = 2_000_000_000
"""The most memory that one decoded page may take: 300 megapixels in 16-bit colour fit."""

MOST_SLIDE_PIXELS = 40_000_000_000
"""The largest slide that is read region by region: a chamber of 50 × 20 mm at 0.16 µm per pixel."""

BREAKS_OFF = "the picture breaks off before its end"
UNDECODABLE = "what it holds is no longer a picture"
CUT_SHORT = (
    "truncat", "too small", "too short", "end of", "eof", "premature", "incomplete",
    "not enough", "not fully", "broken data stream", "-5 while decoding", "unpack requires",
)  # fmt: skip
"""Words by which a library says that data break off."""

KINDS = "JPEG, PNG, TIFF, WEBP, JPEG 2000 or BMP"


def checked_file(path: Path) -> Path:
    """Return ``path`` if it is a file with content that can be opened.

    Raises :class:`CounterError` for a missing file, a folder, a device, an empty file, and one
    that may not be read.
    """
    try:
        status = path.stat()
        if stat.S_ISREG(status.st_mode) and status.st_size > 0:
            with path.open("rb"):
                return path
    except FileNotFoundError:
        raise CounterError(f"{path}: there is no such file; check the name.") from None
    except PermissionError:
        raise CounterError(
            f"{path}: this account may not read it; change its permissions or copy it to a "
            "folder of your own."
        ) from None
    except (OSError, ValueError) as error:
        raise CounterError(
            f"{path}: cannot be opened ({reason_of(error)}); check the name and the disk."
        ) from None
    if stat.S_ISDIR(status.st_mode):
        raise CounterError(f"{path}: is a folder, not a picture; name a picture inside it.")
    if not stat.S_ISREG(status.st_mode):
        raise CounterError(f"{path}: is not a file; give a picture ({KINDS}).")
    raise CounterError(f"{path}: is empty; copy it from the camera again.")


def check_size(path: Path, width_px: int, height_px: int, bytes_per_pixel: float) -> None:
    """Raise :class:`CounterError` if the header announces a picture that must not be decoded."""
    if width_px < 1 or height_px < 1:
        raise CounterError(f"{path}: has no pixels; save the picture again.")
    pixels = width_px * height_px
    if pixels <= MOST_PIXELS and pixels * bytes_per_pixel <= MOST_BYTES:
        return
    raise CounterError(
        f"{path}: is too large ({width_px} × {height_px} pixels, {_giga(pixels * bytes_per_pixel)} "
        f"when opened; at most {MOST_PIXELS // 1_000_000} million pixels are read); "
        "cut it into parts, or save it as a tiled TIFF, which is read tile by tile."
    )


def check_slide_size(path: Path, width_px: int, height_px: int) -> None:
    """Raise :class:`CounterError` if the header announces more than any slide has."""
    if width_px < 1 or height_px < 1:
        raise CounterError(f"{path}: has no pixels; save the picture again.")
    if width_px * height_px > MOST_SLIDE_PIXELS:
        raise CounterError(
            f"{path}: is too large ({width_px} × {height_px} pixels; at most "
            f"{MOST_SLIDE_PIXELS // 1_000_000} million pixels are read); cut it into parts or "
            "scan it at a lower magnification."
        )


def damaged(path: Path, error: Exception | str) -> CounterError:
    """Return the error for a picture that breaks off or cannot be decoded.

    ``error`` is what is wrong in our words, or what a library raised.
    """
    what = error if isinstance(error, str) else damage_of(error)
    return CounterError(f"{path}: is damaged or cut short ({what}); copy it from the camera again.")


def damage_of(error: Exception) -> str:
    """Return in our words what a library raised on damaged data: its own say nothing to people."""
    if isinstance(error, OSError) and error.strerror:  # the disk, not the data
        return reason_of(error)
    said = str(error).casefold()
    return BREAKS_OFF if any(words in said for words in CUT_SHORT) else UNDECODABLE


def reason_of(error: Exception | str) -> str:
    """Return what a library says in one short line, without the path and the full stop."""
    text = error.strerror or str(error) if isinstance(error, OSError) else str(error)
    line = " ".join(text.split()).rstrip(".")
    return line[:120] or type(error).__name__


def _giga(amount: float) -> str:
    return f"{math.ceil(amount / 1e8) / 10:g} GB"
