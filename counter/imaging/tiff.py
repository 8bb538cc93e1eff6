"""TIFF and OME-TIFF: each page is a field; focal planes and channels of one field are one."""

from __future__ import annotations

import logging
import math
import struct
import threading
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import tifffile

from counter.errors import CounterError
from counter.imaging.limits import check_size, damaged
from counter.imaging.metadata import UM_PER_CM, UM_PER_INCH, StatedScale, of_resolution
from counter.imaging.ome import ome_fields
from counter.imaging.photo import Photo, Pixels
from counter.imaging.pixels import (
    AnyPixels,
    as_grey_or_colour,
    inverted,
    rgb_of_inks,
    turned,
)

SIGNATURES = (b"II*\x00", b"MM\x00*", b"II+\x00", b"MM\x00+")
X_RESOLUTION, Y_RESOLUTION, RESOLUTION_UNIT = 282, 283, 296
UM_PER_UNIT = {2: UM_PER_INCH, 3: UM_PER_CM}
ORIENTATION = 274
REDUCED = 1
WHITE_IS_ZERO, BLACK_IS_ZERO, RGB, PALETTE, INKS, YCBCR = 0, 1, 2, 3, 5, 6
READABLE = (WHITE_IS_ZERO, BLACK_IS_ZERO, RGB, PALETTE, INKS, YCBCR)
"""TIFF 6.0, tag 262, PhotometricInterpretation."""

DECODING_ERRORS = (
    ValueError,
    RuntimeError,
    OSError,
    ArithmeticError,
    LookupError,
    TypeError,
    AttributeError,
    struct.error,
    zlib.error,
)
"""What tifffile and its decoders raise on damaged files: it trusts the types of tags it reads."""

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
        return len(_plans(path, tif))


def read_tiff_pages(path: Path, name: str, only: int | None = None) -> Iterator[Photo]:
    """Yield a photo for each field (or for field ``only``), one at a time in memory.

    Raises :class:`CounterError` where the file is cut short, cannot be decoded or is too large;
    pages before that one have been yielded by then.
    """
    with _opened(path) as tif:
        plans = _plans(path, tif)
        for number, plan in enumerate(plans):
            if only is None or number == only:
                yield _photo(path, tif, plan, name, number)


@contextmanager
def _opened(path: Path) -> Iterator[tifffile.TiffFile]:
    with _complaints() as complaints:
        with _library(path):
            tif = tifffile.TiffFile(path)
        try:
            with _library(path):
                pages = len(tif.pages)
            if complaints or pages == 0:
                raise damaged(path, complaints[0] if complaints else "it holds no page")
            yield tif
        finally:
            tif.close()


@contextmanager
def _library(path: Path) -> Iterator[None]:
    """Tell what a library raises on damaged data as damage; only library calls belong inside."""
    try:
        yield
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


def _plans(path: Path, tif: tifffile.TiffFile) -> tuple[_Plan, ...]:
    """Return the fields: those that OME-XML describes, else every page that is no thumbnail."""
    with _library(path):
        xml = tif.ome_metadata if tif.is_ome else None
        reduced = [bool(_page(tif, i).subfiletype & REDUCED) for i in range(len(tif.pages))]
    fields = ome_fields(xml, len(reduced)) if xml else ()
    if fields:
        return tuple(_Plan(field.pages, field.stated) for field in fields)
    full = [i for i, is_reduced in enumerate(reduced) if not is_reduced]
    return tuple(_Plan(((i,),)) for i in full or range(len(reduced)))


def _photo(path: Path, tif: tifffile.TiffFile, plan: _Plan, name: str, number: int) -> Photo:
    with _library(path):
        first = _page(tif, plan.pages[0][0])
        resolution = _resolution(first)
        orientation = _number(first, ORIENTATION, 1)
    stated = plan.stated or StatedScale()
    if stated.um_per_px is None:
        stated = replace(resolution, warnings=stated.warnings + resolution.warnings)
    stack = (_merged([_decoded(path, tif, page) for page in focus]) for focus in plan.pages)
    focus, pixels = _sharpest(stack)
    return Photo(
        turned(pixels, orientation),
        file=name,
        page=number,
        metadata_um_per_px=stated.um_per_px,
        metadata_source=stated.source,
        warnings=stated.warnings + _said_of(plan, focus),
    )


def _said_of(plan: _Plan, focus: int) -> tuple[str, ...]:
    """Return in words what was left out of a field of several focal planes or channels."""
    said = []
    if len(plan.pages) > 1:
        said.append(
            f"Has {len(plan.pages)} focal planes of one field; the sharpest, plane {focus + 1}, "
            "is counted."
        )
    if len(plan.pages[0]) not in (1, 3):
        said.append(f"Has {len(plan.pages[0])} channels of one field; the first is counted.")
    return tuple(said)


def _decoded(path: Path, tif: tifffile.TiffFile, index: int) -> Pixels:
    with _library(path):
        page = _page(tif, index)
        wanted = int(page.imagelength), int(page.imagewidth)
        bytes_per_pixel = page.nbytes / max(1, math.prod(wanted))
        kind = int(page.photometric)
        end = tif.filehandle.size
        spans = list(zip(page.dataoffsets, page.databytecounts, strict=True))
        is_whole = all(count > 0 and offset + count <= end for offset, count in spans)
        tile = (int(page.tilewidth), int(page.tilelength)) if page.is_tiled else (1, 1)
    check_size(path, wanted[1], wanted[0], bytes_per_pixel)
    check_size(path, *tile, bytes_per_pixel)
    if not spans or not is_whole:
        raise damaged(path, "the picture breaks off before its end")
    if kind not in READABLE:
        raise CounterError(
            f"{path}: its colours are of a kind that is not read (TIFF photometric {kind}); save "
            "it as ordinary grey or colour."
        )
    with _library(path):
        pixels: AnyPixels = page.asarray()
        palette = page.colormap if kind == PALETTE else None
        pixels = pixels if palette is None else np.moveaxis(palette, 0, -1)[pixels]
    pixels = _samples_last(path, pixels, wanted)
    if kind == INKS:
        pixels = rgb_of_inks(pixels)
    return as_grey_or_colour(inverted(pixels) if kind == WHITE_IS_ZERO else pixels)


def _samples_last(path: Path, pixels: AnyPixels, wanted: tuple[int, int]) -> AnyPixels:
    """Return (H, W) or (H, W, S), whether samples are interleaved or in planes of their own."""
    if pixels.ndim == 3 and pixels.shape[:2] != wanted and pixels.shape[1:] == wanted:
        pixels = np.moveaxis(pixels, 0, -1)
    if pixels.shape[:2] != wanted or pixels.ndim > 3 or pixels.dtype.kind not in "buif":
        raise damaged(path, "a page of it is not one flat picture")
    return pixels


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
