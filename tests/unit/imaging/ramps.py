"""Small pictures for the tests of reading: ramps, so that a turn or a loss shows."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
from numpy.typing import NDArray

from counter.imaging.photo import Photo
from counter.imaging.read import read_pages

WIDTH, HEIGHT = 60, 40


def gradient(dtype: type = np.uint8, top: int = 255) -> NDArray[Any]:
    """Return (H, W) of a smooth ramp from 0 to ``top``, brighter to the right and down."""
    rows, columns = np.mgrid[0:HEIGHT, 0:WIDTH]
    ramp: NDArray[Any] = np.rint((rows + columns) / (HEIGHT + WIDTH - 2) * top).astype(dtype)
    return ramp


def colour(dtype: type = np.uint8, top: int = 255) -> NDArray[Any]:
    """Return (H, W, 3): the ramp in red, its mirror in green, half of it in blue."""
    ramp = gradient(dtype, top)
    return np.stack([ramp, ramp[:, ::-1], ramp // 2], axis=-1)


def only(path: Path) -> Photo:
    """Return the one photo in a file."""
    (photo,) = read_pages(path)
    return photo
