"""Which pages of a TIFF are fields, and which only repeat one: levels of a pyramid, thumbnails."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import tifffile

from counter.imaging.metadata import StatedScale
from counter.imaging.ome import ome_fields
from counter.imaging.tiff_library import library, page_of

REDUCED = 1
"""TIFF 6.0, tag 254, NewSubfileType, bit 0: a smaller version of another page."""

LEAST_SLIDE_PX = 16_000_000
"""A tiled page of at least so many pixels is a scanned slide, not one field of several."""

ASIDE = 20
"""Beside a scanned slide, a page with this many times fewer pixels is its label or overview."""

LEVEL_AT_LEAST = 1.5
"""A level of a pyramid is at least so many times smaller than the page that it repeats."""


@dataclass(frozen=True, slots=True)
class Plan:
    """The pages of one field by ``[focus][channel]`` and the scale stated for it.

    ``levels`` are pages that show its first page smaller. ``aside`` says how many other pictures of
    the slide, like its label, lie in the file.
    """

    pages: tuple[tuple[int, ...], ...]
    stated: StatedScale | None = None
    levels: tuple[int, ...] = ()
    aside: int = 0


@dataclass(frozen=True, slots=True)
class _Size:
    """A page's size; ``is_reduced``: it says itself that it is a smaller version of another."""

    width_px: int
    height_px: int
    is_tiled: bool
    is_reduced: bool

    @property
    def pixels(self) -> int:
        return self.width_px * self.height_px


def plans(path: Path, tif: tifffile.TiffFile) -> tuple[Plan, ...]:
    """Return the fields: those that OME-XML describes, else every page that stands for itself."""
    with library(path):
        xml = tif.ome_metadata if tif.is_ome else None
        sizes = [_size(page_of(tif, index)) for index in range(len(tif.pages))]
    owners = _owners(sizes)
    aside = sum(
        owner == _NOBODY and not size.is_reduced for owner, size in zip(owners, sizes, strict=True)
    )
    own = [index for index, owner in enumerate(owners) if owner is None]
    described = ome_fields(xml, len(sizes)) if xml else ()
    fields = [Plan(field.pages, field.stated) for field in described]
    fields = [plan for plan in fields if plan.pages[0][0] in own] or fields
    found = fields or [Plan(((index,),)) for index in own]
    return tuple(
        Plan(plan.pages, plan.stated, _levels(plan.pages[0][0], owners), aside) for plan in found
    )


_NOBODY = -1


def _owners(sizes: Sequence[_Size]) -> list[int | None]:
    """For each page: None if it is a field, which page it repeats, or -1 for what lies aside."""
    unmarked = [size for size in sizes if not size.is_reduced]
    largest = max(unmarked, key=_area, default=None)
    large_first = sorted(range(len(sizes)), key=lambda index: -sizes[index].pixels)
    owners: list[int | None] = []
    for size in sizes:
        larger = next((other for other in large_first if _is_level(size, sizes[other])), None)
        if larger is None and (size.is_reduced or _is_aside(size, largest)):
            larger = _NOBODY
        owners.append(larger)
    return owners if None in owners else [None] * len(sizes)


def _area(size: _Size) -> int:
    return size.pixels


def _is_level(size: _Size, larger: _Size) -> bool:
    """Whether a page has the shape of a tiled larger one, as a level of a pyramid has."""
    if not larger.is_tiled or larger.is_reduced or not size.is_tiled:
        return False
    across, down = larger.width_px / size.width_px, larger.height_px / size.height_px
    rounding = 1 / size.width_px + 1 / size.height_px
    return min(across, down) >= LEVEL_AT_LEAST and abs(across / down - 1) <= 2 * rounding


def _is_aside(size: _Size, largest: _Size | None) -> bool:
    if largest is None or not largest.is_tiled or largest.pixels < LEAST_SLIDE_PX:
        return False
    return size.pixels * ASIDE <= largest.pixels


def _levels(page: int, owners: Sequence[int | None]) -> tuple[int, ...]:
    return tuple(index for index, owner in enumerate(owners) if owner == page)


def _size(page: Any) -> _Size:
    is_reduced = bool(int(page.subfiletype) & REDUCED)
    width, height = max(1, int(page.imagewidth)), max(1, int(page.imagelength))
    return _Size(width, height, bool(page.is_tiled), is_reduced)
