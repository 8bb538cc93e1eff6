"""TIFF and OME-TIFF: each page is a field; focal planes and channels of one field are one."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import tifffile

from counter.imaging.limits import BREAKS_OFF, check_size, damaged
from counter.imaging.metadata import UM_PER_CM, UM_PER_INCH, StatedScale, of_resolution
from counter.imaging.photo import Photo, Pixels
from counter.imaging.pixels import AnyPixels, turned
from counter.imaging.sharpness import merged, sharpest
from counter.imaging.slide import AnyPhoto, Slide
from counter.imaging.tiff_fields import Plan, plans
from counter.imaging.tiff_library import library, opened, page_of
from counter.imaging.tiff_pixels import Colours
from counter.imaging.tiff_slide import slide_regions

SIGNATURES = (b"II*\x00", b"MM\x00*", b"II+\x00", b"MM\x00+")
X_RESOLUTION, Y_RESOLUTION, RESOLUTION_UNIT = 282, 283, 296
UM_PER_UNIT = {2: UM_PER_INCH, 3: UM_PER_CM}
ORIENTATION = 274


def is_tiff(path: Path) -> bool:
    """Say whether the first four bytes are those of a TIFF or a BigTIFF."""
    with path.open("rb") as file:
        return file.read(4) in SIGNATURES


def count_tiff_pages(path: Path) -> int:
    """Return how many fields are in a TIFF; raises like :func:`read_tiff_pages`."""
    with opened(path) as tif:
        return len(plans(path, tif))


def read_tiff_pages(path: Path, name: str, only: int | None = None) -> Iterator[Photo]:
    """Yield a photo for each field (or for field ``only``), one at a time in memory.

    Raises :class:`CounterError` where the file is cut short, cannot be decoded or is too large;
    pages before that one have been yielded by then.
    """
    with opened(path) as tif:
        for number, plan in enumerate(plans(path, tif)):
            if only is None or number == only:
                yield _photo(path, tif, plan, name, number)


def read_tiff_fields(
    path: Path, name: str, whole_px: int, only: int | None = None
) -> Iterator[AnyPhoto]:
    """Yield each field as :func:`read_tiff_pages` does, but those of more than ``whole_px`` pixels
    as a slide that is read region by region, where the file allows it.
    """
    with opened(path) as tif:
        for number, plan in enumerate(plans(path, tif)):
            if only is None or number == only:
                yield _slide(path, tif, plan, name, number, whole_px) or _photo(
                    path, tif, plan, name, number
                )


def _slide(
    path: Path, tif: tifffile.TiffFile, plan: Plan, name: str, number: int, whole_px: int
) -> Slide | None:
    """A field as a slide; None where it is small enough, or can only be read as a whole."""
    with library(path):
        first = page_of(tif, plan.pages[0][0])
        if int(first.imagelength) * int(first.imagewidth) <= whole_px:
            return None
    stated, orientation = _said_of_first(path, tif, plan)
    found = slide_regions(path, tif, plan, orientation)
    if found is None:
        return None
    return Slide(
        found.source,
        found.levels,
        file=name,
        page=number,
        metadata_um_per_px=stated.um_per_px,
        metadata_source=stated.source,
        warnings=stated.warnings + _left_out(plan, found.focus),
    )


def _photo(path: Path, tif: tifffile.TiffFile, plan: Plan, name: str, number: int) -> Photo:
    stated, orientation = _said_of_first(path, tif, plan)
    stack = (merged([_decoded(path, tif, page) for page in focus]) for focus in plan.pages)
    focus, pixels = sharpest(stack)
    return Photo(
        turned(pixels, orientation),
        file=name,
        page=number,
        metadata_um_per_px=stated.um_per_px,
        metadata_source=stated.source,
        warnings=stated.warnings + _left_out(plan, focus),
    )


def _said_of_first(path: Path, tif: tifffile.TiffFile, plan: Plan) -> tuple[StatedScale, int]:
    """Return the scale that is stated for a field, and its orientation (1 to 8)."""
    with library(path):
        first = page_of(tif, plan.pages[0][0])
        resolution = _resolution(first)
        orientation = _number(first, ORIENTATION, 1)
    stated = plan.stated or StatedScale()
    if stated.um_per_px is None:
        stated = replace(resolution, warnings=stated.warnings + resolution.warnings)
    return stated, orientation


def _left_out(plan: Plan, focus: int) -> tuple[str, ...]:
    """Return in words what was left out of a field of several focal planes or channels."""
    said = []
    if len(plan.pages) > 1:
        said.append(
            f"Has {len(plan.pages)} focal planes of one field; the sharpest, plane {focus + 1}, "
            "is counted."
        )
    if len(plan.pages[0]) not in (1, 3):
        said.append(f"Has {len(plan.pages[0])} channels of one field; the first is counted.")
    if plan.aside:
        pictures = "a small picture" if plan.aside == 1 else f"{plan.aside} small pictures"
        said.append(f"{pictures.capitalize()} beside the scanned slide, like its label, left out.")
    return tuple(said)


def _decoded(path: Path, tif: tifffile.TiffFile, index: int) -> Pixels:
    with library(path):
        page = page_of(tif, index)
        wanted = int(page.imagelength), int(page.imagewidth)
        bytes_per_pixel = page.nbytes / max(1, math.prod(wanted))
        end = tif.filehandle.size
        spans = list(zip(page.dataoffsets, page.databytecounts, strict=True))
        is_whole = all(count > 0 and offset + count <= end for offset, count in spans)
        tile = (int(page.tilewidth), int(page.tilelength)) if page.is_tiled else (1, 1)
    check_size(path, wanted[1], wanted[0], bytes_per_pixel)
    check_size(path, *tile, bytes_per_pixel)
    if not spans or not is_whole:
        raise damaged(path, BREAKS_OFF)
    colours = Colours.of(path, page)
    with library(path):
        pixels: AnyPixels = page.asarray()
    return colours.seen(_samples_last(path, pixels, wanted))


def _samples_last(path: Path, pixels: AnyPixels, wanted: tuple[int, int]) -> AnyPixels:
    """Return (H, W) or (H, W, S), whether samples are interleaved or in planes of their own."""
    if pixels.ndim == 3 and pixels.shape[:2] != wanted and pixels.shape[1:] == wanted:
        pixels = np.moveaxis(pixels, 0, -1)
    if pixels.shape[:2] != wanted or pixels.ndim > 3 or pixels.dtype.kind not in "buif":
        raise damaged(path, "a page of it is not one flat picture")
    return pixels


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
