"""From the numbers in a TIFF's page to grey or colour, for a whole page or a region of it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np

from counter.errors import CounterError
from counter.imaging.photo import Pixels
from counter.imaging.pixels import AnyPixels, as_grey_or_colour, has_white, inverted, rgb_of_inks
from counter.imaging.tiff_library import library

WHITE_IS_ZERO, BLACK_IS_ZERO, RGB, PALETTE, INKS, YCBCR = 0, 1, 2, 3, 5, 6
READABLE = (WHITE_IS_ZERO, BLACK_IS_ZERO, RGB, PALETTE, INKS, YCBCR)
"""TIFF 6.0, tag 262, PhotometricInterpretation."""


@dataclass(frozen=True, slots=True, eq=False)
class Colours:
    """What the numbers of a page mean: ``kind`` is tag 262, ``palette`` (colours, 3) or None.

    ``needs_spread`` says that its numbers have no agreed white: see ``spread`` of :meth:`seen`.
    """

    kind: int
    palette: AnyPixels | None
    needs_spread: bool

    @classmethod
    def of(cls, path: Path, page: Any) -> Colours:
        """Return those of tifffile's ``page``; raises :class:`CounterError` for a kind not read."""
        with library(path):
            kind = int(page.photometric)
            palette = page.colormap if kind == PALETTE else None
            dtype = np.dtype(page.dtype)
        if kind not in READABLE:
            raise CounterError(
                f"{path}: its colours are of a kind that is not read (TIFF photometric {kind}); "
                "save it as ordinary grey or colour."
            )
        looked_up = None if palette is None else np.moveaxis(palette, 0, -1)
        return cls(kind, looked_up, looked_up is None and not has_white(dtype))

    def levelled(self, raw: AnyPixels) -> AnyPixels:
        """Return raw numbers (H, W) or (H, W, S) as brightness of the same kind of number."""
        pixels = raw if self.palette is None else self.palette[raw]
        if self.kind == INKS:
            pixels = rgb_of_inks(pixels)
        return inverted(pixels) if self.kind == WHITE_IS_ZERO else pixels

    def seen(self, raw: AnyPixels, region_of: tuple[float, float] | None = None) -> Pixels:
        """Return (H, W) or (H, W, 3) of uint8 or uint16 from (H, W) or (H, W, S) as it is stored.

        ``region_of`` is given for a region: the least and greatest of :meth:`levelled` on the page
        (see :func:`~counter.imaging.pixels.as_grey_or_colour`).
        """
        return as_grey_or_colour(self.levelled(raw), region_of)
