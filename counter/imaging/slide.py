"""A picture too large to be held in memory: read region by region, seen whole only reduced.

A whole-slide scan of a Sedgewick-Rafter cell (50 × 20 mm) at 1 µm per pixel has a thousand million
pixels. A :class:`Slide` knows its size, scale and metadata like a photo, and gives any region of
itself as one.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from counter.domain.scale import checked_um_per_px
from counter.imaging.photo import Photo, Pixels

WHOLE_PX = 40_000_000
"""Pages of more pixels than this are read region by region where their file allows it."""


class Regions(Protocol):
    """Pixels of which any region can be read."""

    @property
    def width_px(self) -> int:
        """The width in pixels."""

    @property
    def height_px(self) -> int:
        """The height in pixels."""

    @property
    def is_row_wise(self) -> bool:
        """Whether a region costs as much as the full rows that it lies in."""

    def read(self, left_px: int, top_px: int, right_px: int, bottom_px: int) -> Pixels:
        """Return a region that lies on the picture.

        Raises :class:`~counter.errors.CounterError`, naming the file, where it cannot be read.
        """


@dataclass(frozen=True, slots=True, eq=False)
class Overview:
    """A whole picture reduced: pixel (x, y) is the mean of ``factor`` × ``factor`` of its pixels,
    the first of which is (factor·x, factor·y).

    ``plain`` (h, w) says where all of these have one value, as far as a sample of them shows.
    """

    pixels: Pixels
    factor: int
    plain: NDArray[np.bool_]


@dataclass(frozen=True, slots=True, eq=False)
class Slide:
    """A page of a file that is read region by region; fields as those of a photo.

    ``levels`` are the same picture smaller, as far as the file has them, the largest first.
    ``overviews`` are those made so far, by their most pixels; a slide at another scale shares them.
    """

    source: Regions
    levels: tuple[Regions, ...] = ()
    file: str = ""
    page: int = 0
    um_per_px: float | None = None
    metadata_um_per_px: float | None = None
    metadata_source: str | None = None
    warnings: tuple[str, ...] = ()
    overviews: dict[int, Overview] = field(default_factory=dict, repr=False)

    @property
    def width_px(self) -> int:
        """The width in pixels."""
        return self.source.width_px

    @property
    def height_px(self) -> int:
        """The height in pixels."""
        return self.source.height_px

    def with_scale(self, um_per_px: float) -> Slide:
        """Return this slide with the scale in use; raises like :meth:`Photo.with_scale`."""
        return replace(self, um_per_px=checked_um_per_px(um_per_px))

    def part(self, left_px: int, top_px: int, right_px: int, bottom_px: int) -> Photo:
        """Return the region from ``left_px`` to ``right_px`` - 1 and so on, as far as it is here.

        Raises :class:`~counter.errors.CounterError`, naming the file, where it cannot be read.
        """
        left, top = max(0, left_px), max(0, top_px)
        right = max(left, min(right_px, self.width_px))
        bottom = max(top, min(bottom_px, self.height_px))
        if left >= right or top >= bottom:
            pixels: Pixels = np.zeros((0, 0), np.uint8)
        else:
            pixels = self.source.read(left, top, right, bottom)
        return Photo(
            pixels,
            self.file,
            self.page,
            self.um_per_px,
            self.metadata_um_per_px,
            self.metadata_source,
        )


@dataclass(frozen=True, slots=True)
class PlainRegions:
    """Grey of one shade, of any size: what stands in for pixels that cannot be read any more."""

    width_px: int
    height_px: int
    is_row_wise: bool = False

    def read(self, left_px: int, top_px: int, right_px: int, bottom_px: int) -> Pixels:
        """Return a region; see :class:`Regions`."""
        return np.full((bottom_px - top_px, right_px - left_px), 128, np.uint8)


AnyPhoto = Photo | Slide
"""A picture, in memory or read region by region."""
