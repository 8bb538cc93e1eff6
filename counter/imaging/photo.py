"""A picture in memory: its pixels as they should be seen, and what its file says of its scale."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import cast

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.domain.scale import checked_um_per_px

Pixels = NDArray[np.uint8 | np.uint16]
"""(H, W) grey or (H, W, 3) red, green, blue; uint8 or uint16."""

WHITE_LEVELS = (1023, 4095, 16383, 65535)
"""The brightest value of cameras of 10, 12, 14 and 16 bits, all stored in 16."""


@dataclass(frozen=True, slots=True, eq=False)
class Photo:
    """One picture, or one page of a file of several.

    ``pixels`` is (H, W) or (H, W, 3) in the order red, green, blue, uint8 or uint16, turned the
    way the camera says. ``file`` is the path as given; ``page`` counts from 0. ``um_per_px`` is
    the scale in use, None until :meth:`with_scale`. ``metadata_um_per_px`` is the scale that the
    file states, None where it states none that a microscope could have; ``metadata_source`` names
    where it was read, in words. ``warnings`` are sentences for people.
    """

    pixels: Pixels
    file: str = ""
    page: int = 0
    um_per_px: float | None = None
    metadata_um_per_px: float | None = None
    metadata_source: str | None = None
    warnings: tuple[str, ...] = ()

    @property
    def width_px(self) -> int:
        """The width in pixels."""
        return int(self.pixels.shape[1])

    @property
    def height_px(self) -> int:
        """The height in pixels."""
        return int(self.pixels.shape[0])

    def with_scale(self, um_per_px: float) -> Photo:
        """Return this photo with the scale in use.

        Raises :class:`~counter.errors.UsageError` for a scale no light microscope has.
        """
        return replace(self, um_per_px=checked_um_per_px(um_per_px))

    def part(self, left_px: int, top_px: int, right_px: int, bottom_px: int) -> Photo:
        """Return the region from ``left_px`` to ``right_px`` - 1 and so on, as far as it is here.

        Its pixels are a view of this photo's; a region off the picture has none.
        """
        rows = slice(max(0, top_px), max(0, bottom_px))
        return replace(self, pixels=self.pixels[rows, max(0, left_px) : max(0, right_px)])

    def grey(self) -> NDArray[np.float32]:
        """Return the brightness (H, W) as float32 from 0 to 1.

        Colour is weighted as the eye does (ITU-R BT.601: 0.299 red, 0.587 green, 0.114 blue).
        16-bit pixels are divided by the white level of the camera (see :func:`white_level`).
        """
        flat = self.pixels
        if flat.ndim == 3:
            flat = cast(Pixels, cv2.cvtColor(flat, cv2.COLOR_RGB2GRAY))
        return np.multiply(flat, np.float32(1.0 / white_level(self.pixels)), dtype=np.float32)


def white_level(pixels: Pixels) -> int:
    """Return the value that stands for white: 255, or that of the camera behind 16-bit pixels.

    A 12-bit camera writes 0 to 4095 into 16 bits; dividing by 65535 would make its pictures
    nearly black. So white is the least of 1023, 4095, 16383 and 65535 that no pixel exceeds.
    """
    if pixels.dtype == np.uint8:
        return 255
    brightest = int(pixels.max(initial=0))
    return next(level for level in WHITE_LEVELS if brightest <= level)
