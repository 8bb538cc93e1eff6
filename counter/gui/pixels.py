"""From a photo to images that the screen can draw quickly; runs off the window's thread.

The arithmetic is numpy's, which lets the window's thread run meanwhile; Qt's own does not.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtGui import QImage

from counter.imaging.photo import Photo, Pixels
from counter.imaging.slide import Overview

_SMALLEST_LEVEL_PX = 400
_THUMB_WIDTH_PX = 168

Stretch = tuple[float, float]
"""The values that are shown black and white."""

Screen = NDArray[np.uint8]
"""(H, W, 4): blue, green, red and an idle byte, as QImage.Format_RGB32 has them in memory."""


@dataclass(frozen=True, slots=True)
class Pyramid:
    """A picture at full size and halved again and again, for drawing at any zoom.

    ``levels[0]`` is ``factor`` times smaller than the picture (1, but for a slide, of which only
    the overview is in memory); each following one is half as wide and high. ``width_px`` and
    ``height_px`` are the picture's own size. ``stretch`` is what deeper pixels show as black and
    as white. ``buffers`` are the pixels behind the levels; an image does not keep them alive.
    """

    levels: tuple[QImage, ...]
    thumbnail: QImage
    width_px: int
    height_px: int
    factor: int = 1
    stretch: Stretch | None = None
    buffers: tuple[Screen, ...] = ()

    def level_for(self, zoom: float) -> QImage:
        """Return the smallest level that still has a pixel for each screen pixel at ``zoom``."""
        index = 0
        while index + 1 < len(self.levels) and zoom * self.factor * 2 ** (index + 1) <= 1.0:
            index += 1
        return self.levels[index]


@dataclass(frozen=True, slots=True, eq=False)
class Closeup:
    """A part of a slide as it is seen close: its place (left, top, right, bottom) and its image."""

    box: tuple[int, int, int, int]
    factor: int
    image: QImage
    buffer: Screen


def pyramid_of(photo: Photo) -> Pyramid:
    """Return the images of ``photo``: 16 bits are stretched to what the screen can show."""
    return _pyramid(photo.pixels, (photo.width_px, photo.height_px), 1)


def pyramid_of_overview(overview: Overview, width_px: int, height_px: int) -> Pyramid:
    """Return the images of a slide of this size, of which ``overview`` is in memory."""
    return _pyramid(overview.pixels, (width_px, height_px), overview.factor)


def closeup_image(
    pixels: Pixels, box: tuple[int, int, int, int], factor: int, stretch: Stretch | None
) -> Closeup:
    """Return a part of a slide as it is shown: with the brightness of its overview."""
    buffer = _for_screen(_eight_bit(pixels, stretch))
    return Closeup(box, factor, _image(buffer), buffer)


def _pyramid(pixels: Pixels, size: tuple[int, int], factor: int) -> Pyramid:
    stretch = stretch_of(pixels)
    buffers = [_for_screen(_eight_bit(pixels, stretch))]
    while min(buffers[-1].shape[:2]) > _SMALLEST_LEVEL_PX:
        buffers.append(_halved(buffers[-1]))
    small = buffers[-1]
    while small.shape[1] >= 2 * _THUMB_WIDTH_PX and small.shape[0] >= 2:
        small = _halved(small)
    levels = tuple(_image(buffer) for buffer in buffers)
    return Pyramid(levels, _image(small).copy(), *size, factor, stretch, tuple(buffers))


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


def stretch_of(pixels: Pixels) -> Stretch | None:
    """Return what deeper pixels show as black and as white: their darkest and brightest 0.1 %."""
    if pixels.dtype == np.uint8:
        return None
    step = max(1, int(np.sqrt(pixels.shape[0] * pixels.shape[1] / 250_000)))
    low, high = np.percentile(pixels[::step, ::step], (0.1, 99.9))
    return float(low), max(float(high), float(low) + 1.0)


def _eight_bit(pixels: Pixels, stretch: Stretch | None) -> NDArray[np.uint8]:
    """Return 0-255: 8-bit as it is, deeper pictures from black to white of ``stretch``."""
    if stretch is None:
        return pixels.astype(np.uint8, copy=False)
    low, high = stretch
    stretched = (pixels.astype(np.float32) - np.float32(low)) * np.float32(255.0 / (high - low))
    shown: NDArray[np.uint8] = np.clip(stretched, 0, 255).astype(np.uint8)
    return shown
