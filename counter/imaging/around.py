"""What a block of a larger picture must know of the rest of it.

A picture that is too large for the memory is searched block by block. What depends on the picture
as a whole (how bright its brightest places are, whether light comes through the water, which part
of it shows the field, whether what looks like eggs is what was meant) is found out once, so that
neighbouring blocks judge a body on their seam alike, and an empty block is not judged by its dust.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.light import Tone
from counter.imaging.view import View

Bytes = NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class Population:
    """What the bodies on a picture are.

    ``is_one``: where larvae are looked for, what looks like eggs is what was meant, too.
    ``egg_um``: where eggs are looked for, their median length; ``large_egg_um``: what four in five
    of them are no longer than, so that single cells among them do not tell how long eggs are. None
    where too few are sure.
    ``egg_like``: where larvae are looked for, how far what is as short and as round as eggs looks
    like eggs, on average, 0 to 1; None where too few are sure.
    """

    is_one: bool = False
    egg_um: float | None = None
    large_egg_um: float | None = None
    egg_like: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Around:
    """The picture that a block was cut from, and the block's share of its field.

    ``top`` and ``light`` are the values of its brightest places as the classical search and as the
    network see them (None: the block's own), ``population`` None where each block is judged by
    itself. ``seen`` (h, w) is 255 where the block shows the field, at any resolution.
    """

    seen: Bytes
    top: float | None = None
    light: float | None = None
    tone: Tone | None = None
    population: Population | None = None

    def view(self, shape: tuple[int, ...]) -> View:
        """Return the block's view for a working copy of this shape."""
        size = (shape[1], shape[0])
        mask = np.asarray(cv2.resize(self.seen, size, interpolation=cv2.INTER_NEAREST), np.uint8)
        return View(mask, 1 - float(np.count_nonzero(mask)) / max(1, mask.size), ())
