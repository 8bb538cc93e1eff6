"""A mask as a few balls, as the cells of an embryo are."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Bytes = NDArray[np.uint8]

MOST_BALLS, LEAST_BALL = 3, 0.45
"""So many are looked for, none smaller than this share of the largest: two cells and a polar lobe,
but no polar body and hardly a clump of sperm."""


def balls_of(mask: Bytes) -> Floats:
    """Return the largest discs in a mask, none with its middle in another: (n, 3) as x, y, radius.

    The largest comes first; none in an empty mask.
    """
    depth = np.asarray(cv2.distanceTransform(mask, cv2.DIST_L2, 5), np.float64)
    found: list[tuple[float, float, float]] = []
    while len(found) < MOST_BALLS:
        y, x = np.unravel_index(int(depth.argmax()), depth.shape)
        radius = float(depth[y, x])
        if radius < LEAST_BALL * (found[0][2] if found else 1.0):
            break
        found.append((float(x), float(y), radius))
        depth[away_from(np.array(found[-1:]), mask.shape)[..., 0] <= 0] = 0
    return np.array(found).reshape(-1, 3)


def away_from(balls: Floats, shape: tuple[int, ...]) -> Floats:
    """Return how far every pixel lies outside of each ball (n, 3), negative within: (h, w, n)."""
    y, x = np.ogrid[: shape[0], : shape[1]]
    far = np.hypot(x[..., None] - balls[:, 0], y[..., None] - balls[:, 1])
    return np.asarray(far - balls[:, 2])
