"""A large picture cut into overlapping blocks, and which block answers for which place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import cv2
import numpy as np

from counter.domain.mark import Mark
from counter.imaging.photo import Photo, Pixels
from counter.imaging.slide import AnyPhoto

BLOCK_PX = 3584
"""How wide and high a block is, in the pixels that are searched; a wide one is as large."""

WIDE_BLOCK_PX = (8192, 1792)
"""The same where a file is stored in full rows, so that a region costs as much as its rows."""

MOST_MARGIN_PX = 1024
"""Where bodies are so long that blocks would have to overlap by more, they are searched reduced."""

SPANS_LEAST_PX = 16
"""But never so far that the shortest body is less than this across."""

BAND_PX = 16_000_000
"""At most so many pixels of the picture are held at once while a block is reduced."""


@dataclass(frozen=True, slots=True)
class Block:
    """Columns ``left`` to ``right`` - 1 and rows ``top`` to ``bottom`` - 1 are looked at.

    The block answers for the places (x, y) with ``own_left <= x < own_right`` and ``own_top <= y <
    own_bottom``; at the picture's border for all beyond, too.
    """

    left: int
    top: int
    right: int
    bottom: int
    own_left: float
    own_top: float
    own_right: float
    own_bottom: float

    def owns(self, x: float, y: float) -> bool:
        """Whether the block answers for this place."""
        inside_x = self.own_left <= x < self.own_right
        return inside_x and self.own_top <= y < self.own_bottom


def blocks_of(width: int, height: int, block: tuple[int, int], margin: int) -> tuple[Block, ...]:
    """Cut a picture into blocks of one size that overlap by at least two margins, row by row.

    Every place of the picture is owned by exactly one block, and lies at least ``margin`` from that
    block's border unless that is the picture's. A block is at least four margins wide and high.
    """
    return tuple(
        Block(left, top, right, bottom, own_left, own_top, own_right, own_bottom)
        for top, bottom, own_top, own_bottom in _spans(height, max(block[1], 4 * margin), margin)
        for left, right, own_left, own_right in _spans(width, max(block[0], 4 * margin), margin)
    )


def _spans(length: int, block: int, margin: int) -> list[tuple[int, int, float, float]]:
    """Cut one side: from, to, and what of it is owned."""
    if length <= block:
        return [(0, length, -np.inf, np.inf)]
    count = -(-(length - 2 * margin) // (block - 2 * margin))
    starts = [round(index * (length - block) / (count - 1)) for index in range(count)]
    seams = [(start + before + block) / 2 - 0.5 for before, start in pairwise(starts)]
    bounds = [-np.inf, *seams, np.inf]
    return [
        (start, start + block, bounds[index], bounds[index + 1])
        for index, start in enumerate(starts)
    ]


@dataclass(frozen=True, slots=True, eq=False)
class Reduction:
    """A picture as it is searched: ``factor`` × ``factor`` of its pixels are one.

    ``um_per_px`` is the scale of the searched pixels. Their number each way leaves out what does
    not fill one.
    """

    picture: AnyPhoto
    factor: int
    um_per_px: float

    @property
    def width(self) -> int:
        """The width in searched pixels."""
        return max(1, self.picture.width_px // self.factor)

    @property
    def height(self) -> int:
        """The height in searched pixels."""
        return max(1, self.picture.height_px // self.factor)

    def whole(self) -> Photo:
        """Return all of it at its scale; a photo that is not reduced is that photo itself."""
        if self.factor == 1 and isinstance(self.picture, Photo):
            return self.picture
        return self.part(0, 0, self.width, self.height)

    def part(self, left: int, top: int, right: int, bottom: int) -> Photo:
        """Return a region given in searched pixels, at their scale.

        Raises :class:`~counter.errors.CounterError` where the file cannot be read.
        """
        if self.factor == 1:
            return _own(self.picture.part(left, top, right, bottom))
        rows = max(1, BAND_PX // max(1, (right - left) * self.factor**2))
        bands = [
            self._band(left, start, right, min(bottom, start + rows))
            for start in range(top, bottom, rows)
        ]
        whole = np.concatenate([band.pixels for band in bands])
        return replace(bands[0], pixels=whole, um_per_px=self.um_per_px)

    def _band(self, left: int, top: int, right: int, bottom: int) -> Photo:
        box = [side * self.factor for side in (left, top, right, bottom)]
        part = self.picture.part(box[0], box[1], box[2], box[3])
        size = (right - left, bottom - top)
        small = cv2.resize(part.pixels, size, interpolation=cv2.INTER_AREA)
        return replace(part, pixels=np.asarray(small, part.pixels.dtype))

    def to_picture(self, points: Sequence[tuple[float, float]]) -> tuple[tuple[float, float], ...]:
        """Return places given in searched pixels in those of the picture.

        What lies on the border of the searched pixels lies on that of the picture.
        """
        if self.factor == 1:
            return tuple(points)
        off = (self.factor - 1) / 2
        ends = (self.picture.width_px - 0.5, self.picture.height_px - 0.5)
        lasts = (self.width - 0.5, self.height - 0.5)
        return tuple(
            (
                ends[0] if x >= lasts[0] else x * self.factor + off,
                ends[1] if y >= lasts[1] else y * self.factor + off,
            )
            for x, y in points
        )

    def placed(self, mark: Mark) -> Mark:
        """Return a mark given in searched pixels in those of the picture."""
        (x_px, y_px), *outline = self.to_picture([(mark.x_px, mark.y_px), *mark.outline_px])
        return replace(mark, x_px=x_px, y_px=y_px, outline_px=tuple(outline))


def _own(photo: Photo) -> Photo:
    """A photo whose pixels lie one after another, not a view of a larger one."""
    pixels: Pixels = np.ascontiguousarray(photo.pixels)
    return replace(photo, pixels=pixels)


def margin_px(high_um: float, low_um: float, um_per_px: float) -> int:
    """How far from a block's border a body's centre must lie so that all of it is seen, and water.

    A convex body reaches at most two thirds of its length from its centroid; bodies of up to a
    tenth over the longest that is looked for are found.
    """
    return int(np.ceil((0.74 * high_um + low_um) / um_per_px)) + 8


def reduction_for(picture: AnyPhoto, low_um: float, high_um: float) -> Reduction:
    """Return how far a picture is reduced before it is searched: 1 unless bodies are very long."""
    if picture.um_per_px is None:
        raise ValueError("a picture needs a scale before it is searched")
    wanted = int(np.ceil(margin_px(high_um, low_um, picture.um_per_px) / MOST_MARGIN_PX))
    most = int(low_um / SPANS_LEAST_PX / picture.um_per_px)
    factor = max(1, min(wanted, most))
    return Reduction(picture, factor, picture.um_per_px * factor)
