"""How much detail a focal plane shows, and how the channels of a field are put together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import cv2
import numpy as np

from counter.imaging.photo import Pixels


def merged(channels: Sequence[Pixels]) -> Pixels:
    """Return three grey channels as red, green and blue; of any other number the first."""
    if len(channels) == 3 and all(channel.ndim == 2 for channel in channels):
        return np.ascontiguousarray(np.stack(channels, axis=-1))
    return channels[0]


def sharpest(stack: Iterator[Pixels]) -> tuple[int, Pixels]:
    """Return number and pixels of the focal plane with the most detail."""
    best, best_index, most = next(stack), 0, None
    for index, pixels in enumerate(stack, start=1):
        most = detail(best) if most is None else most
        if (found := detail(pixels)) > most:
            best, best_index, most = pixels, index, found
    return best_index, best


def detail(pixels: Pixels) -> float:
    """Return the variance of the Laplacian.

    Pech-Pacheco et al. (2000), Diatom autofocusing in brightfield microscopy, ICPR 15:314-317.
    """
    grey = pixels if pixels.ndim == 2 else pixels[..., 1]
    return float(np.var(cv2.Laplacian(np.ascontiguousarray(grey), cv2.CV_32F)))
