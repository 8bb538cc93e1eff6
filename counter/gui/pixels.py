"""From a photo to images that the screen can draw quickly; runs off the window's thread.

The arithmetic is numpy's, which lets the window's thread run meanwhile; Qt's own does not.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QImage

from counter.imaging.photo import Photo, Pixels

_SMALLEST_LEVEL_PX = 400
_THUMB_WIDTH_PX = 168

Screen = NDArray[np.uint8]
"""(H, W, 4): blue, green, red and an idle byte, as QImage.Format_RGB32 has them in memory."""


@dataclass(frozen=True, slots=True)
class Pyramid:
    """A picture at full size and halved again and again, for drawing at any zoom.

    ``levels[0]`` has the picture's own size; each following one is half as wide and high.
    ``buffers`` are the pixels behind the levels; an image does not keep them alive by itself.
    """

    levels: tuple[QImage, ...]
    thumbnail: QImage
    buffers: tuple[Screen, ...] = ()

    def level_for(self, zoom: float) -> QImage:
        """Return the smallest level that still has a pixel for each screen pixel at ``zoom``."""
        index = 0
        while index + 1 < len(self.levels) and zoom * 2 ** (index + 1) <= 1.0:
            index += 1
        return self.levels[index]


def pyramid_of(photo: Photo) -> Pyramid:
    """Return the images of ``photo``: 16 bits are stretched to what the screen can show."""
    buffers = [_for_screen(_eight_bit(photo.pixels))]
    while min(buffers[-1].shape[:2]) > _SMALLEST_LEVEL_PX:
        buffers.append(_halved(buffers[-1]))
    small = buffers[-1]
    while small.shape[1] >= 2 * _THUMB_WIDTH_PX and small.shape[0] >= 2:
        small = _halved(small)
    levels = tuple(_image(buffer) for buffer in buffers)
    return Pyramid(levels, _image(small).copy(), tuple(buffers))


def _for_screen(pixels: NDArray[np.uint8]) -> Screen:
    """Return (H, W) grey or (H, W, 3) red, green, blue as the screen has it."""
    out = np.empty((*pixels.shape[:2], 4), dtype=np.uint8)
    out[..., 3] = 255
    for place in range(3):
        out[..., place] = pixels if pixels.ndim == 2 else pixels[..., 2 - place]
    return out


def _halved(pixels: Screen) -> Screen:
    """Return the mean of each two by two pixels; an odd last row or column counts twice."""
    odd = ((0, pixels.shape[0] % 2), (0, pixels.shape[1] % 2), (0, 0))
    even = np.pad(pixels, odd, mode="edge") if any(after for _, after in odd) else pixels
    total = even[0::2, 0::2].astype(np.uint16)
    for rows, columns in ((0, 1), (1, 0), (1, 1)):
        total += even[rows::2, columns::2]
    total += 2
    half: Screen = (total >> 2).astype(np.uint8)
    return half


def _image(pixels: Screen) -> QImage:
    """Return an image that looks at these pixels, which must outlive it."""
    height, width = pixels.shape[:2]
    return QImage(pixels.data, width, height, 4 * width, QImage.Format.Format_RGB32)


def _eight_bit(pixels: Pixels) -> NDArray[np.uint8]:
    """Return 0-255: 8-bit as it is, deeper pictures from their darkest to their brightest 0.1 %."""
    if pixels.dtype == np.uint8:
        return pixels.astype(np.uint8, copy=False)
    step = max(1, int(np.sqrt(pixels.shape[0] * pixels.shape[1] / 250_000)))
    low, high = np.percentile(pixels[::step, ::step], (0.1, 99.9))
    spread = max(float(high) - float(low), 1.0)
    stretched = (pixels.astype(np.float32) - np.float32(low)) * np.float32(255.0 / spread)
    shown: NDArray[np.uint8] = np.clip(stretched, 0, 255).astype(np.uint8)
    return shown
