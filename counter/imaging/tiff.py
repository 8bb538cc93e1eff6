"""TIFF and OME-TIFF: each page is a field; focal planes and channels of one field are one."""

from __future__ import annotations

import logging
import struct
import threading
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import tifffile

from counter.imaging.limits import check_size, damaged
from counter.imaging.metadata import UM_PER_CM, UM_PER_INCH, StatedScale, of_resolution
from counter.imaging.ome import ome_fields
from counter.imaging.photo import Photo, Pixels
from counter.imaging.pixels import AnyPixels, as_grey_or_colour, turned

SIGNATURES = (b"II*\x00", b"MM\x00*", b"II+\x00", b"MM\x00+")
X_RESOLUTION, Y_RESOLUTION, RESOLUTION_UNIT = 282, 283, 296
UM_PER_UNIT = {2: UM_PER_INCH, 3: UM_PER_CM}
ORIENTATION = 274
REDUCED = 1

DECODING_ERRORS = (
    ValueError,
    RuntimeError,
    OSError,
    KeyError,
    IndexError,
    TypeError,
    AttributeError,
    NotImplementedError,
    OverflowError,
    ZeroDivisionError,
    struct.error,
    zlib.error,
)
"""What tifffile and the decoders behind it raise on damaged files."""

CHAIN_BROKEN = ("tag list", "offset to page", "page offset", "circular reference")
"""Words in tifffile's log by which the rest of the pages is lost."""


@dataclass(frozen=True, slots=True)
class _Plan:
    """The pages of one field by ``[focus][channel]`` and the scale stated for it."""

    pages: tuple[tuple[int, ...], ...]
    stated: StatedScale | None = None


def is_tiff(path: Path) -> bool:
    """Say whether the first four bytes are those of a TIFF or a BigTIFF."""
    with path.open("rb") as file:
        return file.read(4) in SIGNATURES


def count_tiff_pages(path: Path) -> int:
    """Return how many fields are in a TIFF; raises like :func:`read_tiff_pages`."""
    with _opened(path) as tif:
        return len(_plans(tif))


def read_tiff_pages(path: Path, name: str, only: int | None = None) -> Iterator[Photo]:
    """Yield a photo for each field (or for field ``only``), one at a time in memory.

    Raises :class:`CounterError` where the file is cut short, cannot be decoded or is too large;
    pages before that one have been yielded by then.
    """
    with _opened(path) as tif:
        plans = _plans(tif)
        for number, plan in enumerate(plans):
            if only is None or number == only:
                yield _photo(path, tif, plan, name, number)


@contextmanager
def _opened(path: Path) -> Iterator[tifffile.TiffFile]:
    try:
        with _complaints() as complaints, tifffile.TiffFile(path) as tif:
            pages = len(tif.pages)
            problems = list(complaints)
            if problems or pages == 0:
                raise damaged(path, problems[0] if problems else "it holds no page")
            yield tif
    except DECODING_ERRORS as error:
        raise damaged(path, error) from error


@contextmanager
def _complaints() -> Iterator[list[str]]:
    """Collect what tifffile logs of broken chains of pages on this thread; print nothing of it."""
    found: list[str] = []
    thread = threading.get_ident()

    def keep(record: logging.LogRecord) -> bool:
        if record.thread != thread:
            return True
        message = record.getMessage()
        if record.levelno >= logging.ERROR and any(word in message for word in CHAIN_BROKEN):
            found.append(message.split("> ", 1)[-1])
        return False

    logger = logging.getLogger("tifffile")
    logger.addFilter(keep)
    try:
        yield found
    finally:
        logger.removeFilter(keep)


def _plans(tif: tifffile.TiffFile) -> tuple[_Plan, ...]:
    """Return the fields: those that OME-XML describes, else every page that is no thumbnail."""
    xml = tif.ome_metadata if tif.is_ome else None
    if xml:
        fields = ome_fields(xml, len(tif.pages))
        if fields:
            return tuple(_Plan(field.pages, field.stated) for field in fields)
    full = [i for i in range(len(tif.pages)) if not _page(tif, i).subfiletype & REDUCED]
    return tuple(_Plan(((i,),)) for i in full or range(len(tif.pages)))


def _photo(path: Path, tif: tifffile.TiffFile, plan: _Plan, name: str, number: int) -> Photo:
    first = _page(tif, plan.pages[0][0])
    stated = plan.stated or StatedScale()
    if stated.um_per_px is None:
        resolution = _resolution(first)
        stated = StatedScale(
            resolution.um_per_px, resolution.source, stated.warnings + resolution.warnings
        )
    stack = (_merged([_decoded(path, tif, page) for page in focus]) for focus in plan.pages)
    focus, pixels = _sharpest(stack)
    warnings = stated.warnings
    if len(plan.pages) > 1:
        warnings += (
            f"Has {len(plan.pages)} focal planes of one field; the sharpest, plane {focus + 1}, "
            "is counted.",
        )
    if len(plan.pages[0]) not in (1, 3):
        warnings += (f"Has {len(plan.pages[0])} channels of one field; the first is counted.",)
    return Photo(
        turned(pixels, _number(first, ORIENTATION, 1)),
        file=name,
        page=number,
        metadata_um_per_px=stated.um_per_px,
        metadata_source=stated.source,
        warnings=warnings,
    )


def _decoded(path: Path, tif: tifffile.TiffFile, index: int) -> Pixels:
    page = _page(tif, index)
    size = page.imagewidth * page.imagelength
    check_size(path, page.imagewidth, page.imagelength, page.nbytes / max(1, size))
    end = tif.filehandle.size
    spans = list(zip(page.dataoffsets, page.databytecounts, strict=True))
    if not spans or any(count <= 0 or offset + count > end for offset, count in spans):
        raise damaged(path, "the picture breaks off before its end")
    pixels: AnyPixels = page.asarray()
    if page.photometric == tifffile.PHOTOMETRIC.PALETTE and page.colormap is not None:
        pixels = np.moveaxis(page.colormap, 0, -1)[pixels]
    elif page.photometric not in _READABLE:
        raise ValueError(f"colours of the kind {page.photometric.name} are not read")
    pixels = _samples_last(pixels, page)
    if page.photometric == tifffile.PHOTOMETRIC.SEPARATED:
        pixels = _rgb_of_cmyk(pixels)
    if page.photometric == tifffile.PHOTOMETRIC.MINISWHITE:
        pixels = _inverted(pixels)
    return as_grey_or_colour(pixels)


_READABLE = (
    tifffile.PHOTOMETRIC.MINISBLACK,
    tifffile.PHOTOMETRIC.MINISWHITE,
    tifffile.PHOTOMETRIC.RGB,
    tifffile.PHOTOMETRIC.YCBCR,
    tifffile.PHOTOMETRIC.SEPARATED,
)


def _samples_last(pixels: AnyPixels, page: Any) -> AnyPixels:
    """Return (H, W) or (H, W, S), whether samples are interleaved or in planes of their own."""
    wanted = (page.imagelength, page.imagewidth)
    if pixels.ndim == 3 and pixels.shape[:2] != wanted and pixels.shape[1:] == wanted:
        pixels = np.moveaxis(pixels, 0, -1)
    if pixels.shape[:2] != wanted or pixels.ndim > 3:
        raise ValueError(f"a page of shape {pixels.shape} is not one picture")
    return pixels


def _rgb_of_cmyk(pixels: AnyPixels) -> AnyPixels:
    """Return red, green, blue of printing inks: (1 - ink) × (1 - black)."""
    full = np.iinfo(pixels.dtype).max
    light = (full - pixels[..., :4]).astype(np.float32) / full
    return np.rint(light[..., :3] * light[..., 3:4] * full).astype(pixels.dtype)


def _inverted(pixels: AnyPixels) -> AnyPixels:
    if pixels.dtype == np.bool_:
        return ~pixels
    return (np.iinfo(pixels.dtype).max - pixels).astype(pixels.dtype)


def _merged(channels: list[Pixels]) -> Pixels:
    """Return three grey channels as red, green and blue; of any other number the first."""
    if len(channels) == 3 and all(channel.ndim == 2 for channel in channels):
        return np.ascontiguousarray(np.stack(channels, axis=-1))
    return channels[0]


def _sharpest(stack: Iterator[Pixels]) -> tuple[int, Pixels]:
    """Return number and pixels of the focal plane with the most detail (variance of Laplacian).

    Pech-Pacheco et al. (2000), Diatom autofocusing in brightfield microscopy, ICPR 15:314-317.
    """
    best, best_index, most = next(stack), 0, None
    for index, pixels in enumerate(stack, start=1):
        most = _detail(best) if most is None else most
        if (detail := _detail(pixels)) > most:
            best, best_index, most = pixels, index, detail
    return best_index, best


def _detail(pixels: Pixels) -> float:
    grey = pixels if pixels.ndim == 2 else pixels[..., 1]
    return float(np.var(cv2.Laplacian(np.ascontiguousarray(grey), cv2.CV_32F)))


def _resolution(page: Any) -> StatedScale:
    unit = UM_PER_UNIT.get(_number(page, RESOLUTION_UNIT, 2))
    x, y = (_fraction(page, tag) for tag in (X_RESOLUTION, Y_RESOLUTION))
    return of_resolution(x, y, unit) if unit else StatedScale()


def _fraction(page: Any, tag: int) -> float:
    value = page.tags.valueof(tag)
    if not isinstance(value, tuple) or len(value) != 2 or not value[1]:
        return 0.0
    return float(value[0] / value[1])


def _number(page: Any, tag: int, default: int) -> int:
    value = page.tags.valueof(tag)
    return int(value) if isinstance(value, int) else default


def _page(tif: tifffile.TiffFile, index: int) -> Any:
    page = tif.pages[index]
    return page.aspage() if isinstance(page, tifffile.TiffFrame) else page
