"""Pictures made smaller: each new pixel is the mean of the area that it covers.

OpenCV has that too (``INTER_AREA``), but where the ratio is not whole it goes along the rows value
by value. Here whole rows are joined first, many values at once, and only what is left is joined
along the rows. Both differ by rounding alone; this takes less than half the time.
"""

from __future__ import annotations

from collections.abc import Iterator

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.photo import Pixels

ROWS_AT_ONCE = 8
"""So many new rows are joined along themselves together: the processor's cache holds them."""


def shrunk(pixels: Pixels, size: tuple[int, int]) -> Pixels:
    """Return ``pixels`` (h, w[, channels]) as ``size`` (width, height), which is mostly smaller.

    Where a side is to be longer than it is, values between its pixels lie on straight lines.
    """
    height, width, *channels = pixels.shape
    is_whole = height % size[1] == 0 and width % size[0] == 0
    if is_whole or size[0] > width or size[1] > height:
        whole = cv2.resize(pixels, size, interpolation=cv2.INTER_AREA)
        return np.asarray(whole, pixels.dtype)
    rows = pixels.reshape(height, -1)
    small = np.empty((size[1], size[0], *channels), pixels.dtype)
    joined = np.empty((ROWS_AT_ONCE, rows.shape[1]), np.float32)
    for top in range(0, size[1], ROWS_AT_ONCE):
        count = min(ROWS_AT_ONCE, size[1] - top)
        for row, mean in enumerate(joined[:count], top):
            _join(rows, _covered(row, height, size[1]), mean[None])
        wide = joined[:count].reshape(count, width, *channels)
        part = cv2.resize(wide, (size[0], count), interpolation=cv2.INTER_AREA)
        small[top : top + count] = np.rint(part, out=part)
    return small


def _covered(row: int, height: int, new_height: int) -> Iterator[tuple[int, float]]:
    """Yield each row that a new one covers, and how much of it."""
    start, end = row * height / new_height, (row + 1) * height / new_height
    for old in range(int(start), min(height, int(np.ceil(end)))):
        yield old, min(end, old + 1) - max(start, old)


def _join(rows: Pixels, covered: Iterator[tuple[int, float]], mean: NDArray[np.float32]) -> None:
    """Let ``mean`` (1, n) be the weighted mean of some ``rows`` (h, n), one after the other."""
    total = 0.0
    for row, share in covered:
        total += share
        if total == share:
            mean[...] = rows[row]
        else:
            cv2.accumulateWeighted(rows[row : row + 1], mean, share / total)
