"""From a photo to images that the screen can draw quickly; runs off the window's thread."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import Qt
from PySide6.QtGui import QImage

from counter.imaging.photo import Photo, Pixels

_SMALLEST_LEVEL_PX = 400
_THUMB_WIDTH, _THUMB_HEIGHT = 168, 112


@dataclass(frozen=True, slots=True)
class Pyramid:
    """A picture at full size and halved again and again, for drawing at any zoom.

    ``levels[0]`` has the picture's own size; each following one is half as wide and high.
    """

    levels: tuple[QImage, ...]
    thumbnail: QImage

    def level_for(self, zoom: float) -> QImage:
        """Return the smallest level that still has a pixel for each screen pixel at ``zoom``."""
        index = 0
        while index + 1 < len(self.levels) and zoom * 2 ** (index + 1) <= 1.0:
            index += 1
        return self.levels[index]


def pyramid_of(photo: Photo) -> Pyramid:
    """Return the images of ``photo``: 16 bits are stretched to what the screen can show."""
    levels = [_image(_eight_bit(photo.pixels))]
    while min(levels[-1].width(), levels[-1].height()) > _SMALLEST_LEVEL_PX:
        last = levels[-1]
        levels.append(
            last.scaled(
                max(1, last.width() // 2),
                max(1, last.height() // 2),
                Qt.AspectRatioMode.IgnoreAspectRatio,
                Qt.TransformationMode.SmoothTransformation,
            )
        )
    thumbnail = levels[-1].scaled(
        _THUMB_WIDTH,
        _THUMB_HEIGHT,
        Qt.AspectRatioMode.KeepAspectRatio,
        Qt.TransformationMode.SmoothTransformation,
    )
    return Pyramid(tuple(levels), thumbnail)


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


def _image(pixels: NDArray[np.uint8]) -> QImage:
    """Return a copy of (H, W) grey or (H, W, 3) RGB pixels as an image in the screen's format."""
    array = np.ascontiguousarray(pixels)
    height, width = array.shape[:2]
    if array.ndim == 2:
        image = QImage(array.data, width, height, width, QImage.Format.Format_Grayscale8)
    else:
        image = QImage(array.data, width, height, 3 * width, QImage.Format.Format_RGB888)
    return image.convertToFormat(QImage.Format.Format_RGB32)
