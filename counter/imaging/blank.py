"""What of a scanned slide was never scanned: areas that the scanner filled with black or white.

A filled area is exactly black or exactly white at every pixel, and nothing lies in it. Water that
the light has burned out to white can be as plain, but bodies lie in it: an area with holes of a
body's size is water.
"""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.slide import Overview

Places = NDArray[np.bool_]

LEAST_SHARE = 0.002
"""A filled area has at least this share of the picture."""

MOST_HOLES = 2
"""More holes of a body's size than this: it is water."""

BODY_LENGTHS = 3.0
"""A hole of up to this many lengths of the longest body is of a body's size."""

ALL = 0.9995
"""Where more than this of a picture is plain, it is a picture of nothing, not of no field."""


def blank_areas(overview: Overview, longest_px: float) -> Places:
    """Return where ``overview`` shows what was not scanned; (h, w).

    ``longest_px`` is the length of the longest body in pixels of the overview.
    """
    found = np.zeros(overview.plain.shape, bool)
    pixels = overview.pixels.reshape(*overview.plain.shape, -1)
    brightest = float(pixels.max(initial=0))
    black = overview.plain & (pixels <= 0.01 * brightest).all(axis=2)
    white = overview.plain & (pixels >= 0.99 * brightest).all(axis=2)
    for filled in (black, white):
        _add_areas(found, filled, longest_px)
    return np.zeros_like(found) if found.mean() > ALL else found


def _add_areas(found: Places, filled: Places, longest_px: float) -> None:
    """Add the large areas of ``filled`` that nothing lies in to ``found``."""
    if np.count_nonzero(filled) < LEAST_SHARE * filled.size:
        return
    whole = cv2.morphologyEx(filled.astype(np.uint8), cv2.MORPH_OPEN, np.ones((3, 3), np.uint8))
    count, labels, stats, _ = cv2.connectedComponentsWithStats(whole, connectivity=4)
    for label in range(1, count):
        x, y, width, height, area = (int(value) for value in stats[label])
        if area < LEAST_SHARE * filled.size:
            continue
        part = (slice(y, y + height), slice(x, x + width))
        inside = labels[part] == label
        if _holes(inside, longest_px) <= MOST_HOLES:
            found[part] |= inside


def _holes(area: Places, longest_px: float) -> int:
    """How many holes of a body's size an area has."""
    padded = np.pad(area.astype(np.uint8), 1)
    contours, tree = cv2.findContours(padded, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_SIMPLE)
    if tree is None:
        return 0
    holes = [contour for contour, entry in zip(contours, tree[0], strict=True) if entry[3] >= 0]
    sizes = [max(cv2.boundingRect(hole)[2:]) for hole in holes]
    return sum(size <= max(3.0, BODY_LENGTHS * longest_px) for size in sizes)
