"""A field of a TIFF as regions: channels merged, the sharpest focal plane, the right way up."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import tifffile

from counter.imaging.limits import check_slide_size
from counter.imaging.photo import Pixels
from counter.imaging.pixels import turned
from counter.imaging.sharpness import detail, merged
from counter.imaging.slide import Regions
from counter.imaging.tiff_fields import Plan
from counter.imaging.tiff_library import library, page_of
from counter.imaging.tiff_parts import PageParts

TURNED_BY_A_QUARTER = (5, 6, 7, 8)
MIRRORED = (2, 3, 6, 7)
UPSIDE_DOWN = (3, 4, 7, 8)
"""EXIF orientations, as :func:`~counter.imaging.pixels.turned` takes them."""

LOOKS, LOOK_PX = 3, 512
"""The focus is judged on so many windows each way, of this many pixels."""


@dataclass(frozen=True, slots=True, eq=False)
class FieldRegions:
    """One focal plane: its channels' pages, turned as ``orientation`` (EXIF, 1 to 8) says."""

    channels: tuple[PageParts, ...]
    orientation: int = 1

    @property
    def width_px(self) -> int:
        """The width in pixels, as it is seen."""
        page = self.channels[0]
        return page.height_px if self.orientation in TURNED_BY_A_QUARTER else page.width_px

    @property
    def height_px(self) -> int:
        """The height in pixels, as it is seen."""
        page = self.channels[0]
        return page.width_px if self.orientation in TURNED_BY_A_QUARTER else page.height_px

    @property
    def is_row_wise(self) -> bool:
        """Whether a region costs as much as the full rows that it lies in."""
        turns = self.orientation in TURNED_BY_A_QUARTER
        return any(channel.is_row_wise for channel in self.channels) and not turns

    def read(self, left_px: int, top_px: int, right_px: int, bottom_px: int) -> Pixels:
        """Return a region; see :class:`~counter.imaging.slide.Regions`."""
        across, down = (left_px, right_px), (top_px, bottom_px)
        if self.orientation in UPSIDE_DOWN:
            down = (self.height_px - bottom_px, self.height_px - top_px)
        if self.orientation in MIRRORED:
            across = (self.width_px - right_px, self.width_px - left_px)
        if self.orientation in TURNED_BY_A_QUARTER:
            across, down = down, across
        parts = [page.read(across[0], down[0], across[1], down[1]) for page in self.channels]
        return turned(merged(parts), self.orientation)


@dataclass(frozen=True, slots=True, eq=False)
class SlideRegions:
    """A field that can be read in regions, its smaller levels, and which focal plane it shows."""

    source: Regions
    levels: tuple[Regions, ...]
    focus: int


def slide_regions(
    path: Path, tif: tifffile.TiffFile, plan: Plan, orientation: int
) -> SlideRegions | None:
    """Return a field as regions, or None where its file can only be decoded as a whole.

    Raises :class:`~counter.errors.CounterError` where it is cut short, or larger than any slide.
    """
    with library(path):
        end = tif.filehandle.size
        stack = [[page_of(tif, index) for index in focus] for focus in plan.pages]
        first = stack[0][0]
        check_slide_size(path, int(first.imagewidth), int(first.imagelength))
        smaller = [page_of(tif, index) for index in plan.levels] + list(_sub_levels(first))
    fields = [
        FieldRegions(tuple(PageParts(path, page, end) for page in pages), orientation)
        for pages in stack
    ]
    if not all(page.can_be_parted for field in fields for page in field.channels):
        return None
    if len(stack[0]) > 1:
        smaller = []  # they show one channel only
    focus = _sharpest(fields)
    levels = _levels(path, smaller, end, orientation) if focus == 0 else ()
    return SlideRegions(fields[focus], levels, focus)


def _sub_levels(page: Any) -> Iterator[Any]:
    """The smaller versions that hang on a page (tag 330, SubIFDs), of its own shape."""
    for index in range(len(page.pages) if page.subifds else 0):
        smaller = page.pages[index]
        smaller = smaller.aspage() if isinstance(smaller, tifffile.TiffFrame) else smaller
        across, down = page.imagewidth / smaller.imagewidth, page.imagelength / smaller.imagelength
        rounding = 1 / smaller.imagewidth + 1 / smaller.imagelength
        if across > 1 and abs(across / down - 1) <= 2 * rounding:
            yield smaller


def _levels(
    path: Path, pages: Sequence[Any], end: int, orientation: int
) -> tuple[FieldRegions, ...]:
    """The levels that can be read in parts, the largest first."""
    levels = [FieldRegions((PageParts(path, page, end),), orientation) for page in pages]
    parted = [level for level in levels if level.channels[0].can_be_parted]
    return tuple(sorted(parted, key=lambda level: -level.width_px))


def _sharpest(fields: Sequence[FieldRegions]) -> int:
    """Which focal plane has the most detail on windows spread over it."""
    if len(fields) == 1:
        return 0
    return int(np.argmax([sum(detail(window) for window in _windows(each)) for each in fields]))


def _windows(field: FieldRegions) -> Iterator[Pixels]:
    side_x, side_y = min(LOOK_PX, field.width_px), min(LOOK_PX, field.height_px)
    for row in range(LOOKS):
        for column in range(LOOKS):
            left = (field.width_px - side_x) * (2 * column + 1) // (2 * LOOKS)
            top = (field.height_px - side_y) * (2 * row + 1) // (2 * LOOKS)
            yield field.read(left, top, left + side_x, top + side_y)
