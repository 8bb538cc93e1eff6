"""Crops of bodies for the network that proposes states: one size, one light, the body marked.

The same code makes them when counting and when training (:mod:`counter.imaging.learn`).
"""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.photo import Pixels

Floats = NDArray[np.float32]
Bytes = NDArray[np.uint8]

SIDE = 64
"""Crops are this many pixels wide and high."""

CLOSE_SIDE = 128
"""Crops in which an eye spot is looked for: its 8 to 15 µm are then two to five pixels wide."""

SPAN = 1.4
"""A crop shows this many times the body's length: a polar body stands outside the outline."""

_FAINTEST = 0.004
"""The least contrast (share of white) that the light is stretched by: noise stays noise."""

_PLAIN = 0.06
"""Pixels of which this share or less is the body's belong to its surroundings."""


def crop(
    pixels: Pixels,
    middle: tuple[float, float],
    length_px: float,
    outline: NDArray[np.float64],
    across: int = SIDE,
    span: float = SPAN,
) -> tuple[Floats, Bytes]:
    """Return the grey crop, in the picture's numbers, and the body's mask (0, 255).

    Both are ``across`` pixels wide and high and show ``span`` times the body's length.
    ``middle`` (x, y), ``length_px`` and ``outline`` (n, 2) are in pixels of ``pixels``. Beyond the
    picture's border its outermost pixels go on. Colour is made grey as the eye does.
    """
    side = max(4, round(span * length_px))
    left, top = round(middle[0] - (side - 1) / 2), round(middle[1] - (side - 1) / 2)
    part = _part(pixels, left, top, side)
    if part.ndim == 3:
        part = np.asarray(cv2.cvtColor(part, cv2.COLOR_RGB2GRAY), pixels.dtype)
    way = cv2.INTER_AREA if side > across else cv2.INTER_LINEAR
    grey = cv2.resize(part, (across, across), interpolation=way)
    mask = np.zeros((across, across), np.uint8)
    points = (outline - (left, top) + 0.5) * (across / side) - 0.5
    cv2.fillPoly(mask, [np.round(points * 16).astype(np.int32)], 255, cv2.LINE_AA, 4)
    return np.asarray(grey, np.float32), mask


def _part(pixels: Pixels, left: int, top: int, side: int) -> Pixels:
    height, width = pixels.shape[:2]
    rows = slice(max(0, top), min(height, top + side))
    columns = slice(max(0, left), min(width, left + side))
    part: Pixels = pixels[rows, columns]
    if part.shape[:2] == (side, side):
        return part
    return np.asarray(
        cv2.copyMakeBorder(
            part,
            rows.start - top,
            top + side - rows.stop,
            columns.start - left,
            left + side - columns.stop,
            cv2.BORDER_REPLICATE,
        ),
        pixels.dtype,
    )


def lit(greys: Floats, masks: Bytes, white: float) -> Floats:
    """Return what the network is given, (n, 2, side, side): the evened light, and the mask.

    ``greys`` and ``masks`` are (n, side, side). Grey is measured from the median of the body's
    surroundings, in units of its root mean square difference within the body: a brighter lamp, a
    longer exposure or a black level change nothing. ``white`` is the picture's brightest value.
    """
    plain = masks[:, ::4, ::4] <= 255 * _PLAIN
    around = np.where(plain, greys[:, ::4, ::4], np.float32(np.inf)).reshape(len(greys), -1)
    known = plain.reshape(len(greys), -1).sum(axis=1)
    ranked = np.sort(around, axis=1)
    ground = ranked[np.arange(len(ranked)), np.maximum(known - 1, 0) // 2]
    ground = np.where(known > 0, ground, greys.mean(axis=(1, 2)))
    light = greys - ground[:, None, None]
    inside = masks.astype(np.float32) * np.float32(1 / 255)
    share = inside.sum(axis=(1, 2)) + 1e-3
    strength = np.sqrt((np.square(light) * inside).sum(axis=(1, 2)) / share)
    light /= np.maximum(strength, np.float32(_FAINTEST * white))[:, None, None]
    np.clip(light, -4, 4, out=light)
    return np.stack([light, inside], axis=1)


def stacked(made: Sequence[tuple[Floats, Bytes]], white: float) -> Floats:
    """Return the batch (n, 2, side, side) of crops from :func:`crop`."""
    greys = np.stack([grey for grey, _ in made])
    masks = np.stack([mask for _, mask in made])
    return lit(greys, masks, white)
