"""Pixels of any kind made into grey or colour of 8 or 16 bits, turned the right way up."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from counter.imaging.photo import Pixels

AnyPixels = NDArray[Any]


def turned(pixels: Pixels, orientation: int) -> Pixels:
    """Return ``pixels`` turned and mirrored as EXIF orientation 1 to 8 says; others change nothing.

    EXIF 2.3 (JEITA CP-3451), tag 274: 2 mirrored, 3 turned by 180°, 4 upside down, 5 transposed,
    6 to be turned clockwise, 7 transversed, 8 to be turned counter-clockwise.
    """
    if orientation in (5, 6, 7, 8):
        pixels = pixels.swapaxes(0, 1)
    if orientation in (2, 3, 6, 7):
        pixels = pixels[:, ::-1]
    if orientation in (3, 4, 7, 8):
        pixels = pixels[::-1]
    return np.ascontiguousarray(pixels)


def as_grey_or_colour(pixels: AnyPixels, region_of: tuple[float, float] | None = None) -> Pixels:
    """Return (H, W) or (H, W, 3) of uint8 or uint16 from pixels of any number kind and depth.

    ``pixels`` is (H, W) or (H, W, S): S is 1 grey, 2 grey and opacity, 3 colour, 4 colour and
    opacity; further samples are dropped. See :func:`_whole_numbers` for other number kinds.
    ``region_of`` is given where they are a region of a larger picture: the least and the greatest
    number on it. What has no opacity on a region becomes black: it shows nothing of the field.
    """
    whole = _whole_numbers(pixels, region_of)
    if whole.ndim == 2:
        return whole
    samples = whole.shape[2]
    if samples in (2, 4):
        whole = _opaque(whole[..., :-1], whole[..., -1], is_region=region_of is not None)
    if whole.shape[2] < 3:
        return np.ascontiguousarray(whole[..., 0])
    return np.ascontiguousarray(whole[..., :3])


def rgb_of_inks(pixels: AnyPixels) -> AnyPixels:
    """Return red, green, blue of printing inks (H, W, ≥ 4): (1 - ink) × (1 - black)."""
    light = 1.0 - pixels[..., :4].astype(np.float32) / _full(pixels)
    mixed = light[..., :3] * light[..., 3:4] * _full(pixels)
    return np.rint(mixed).astype(pixels.dtype) if pixels.dtype.kind == "u" else mixed


def inverted(pixels: AnyPixels) -> AnyPixels:
    """Return pixels in which 0 was white, with 0 as black."""
    turned_over: AnyPixels = ~pixels if pixels.dtype.kind == "b" else _full(pixels) - pixels
    return turned_over.astype(pixels.dtype)


def _full(pixels: AnyPixels) -> float:
    """Return the number that stands for full: 1 for fractions, else the largest of its kind."""
    return int(np.iinfo(pixels.dtype).max) if pixels.dtype.kind in "ui" else 1.0


def has_white(dtype: np.dtype[Any]) -> bool:
    """Whether numbers of this kind have an agreed white."""
    return dtype in (np.uint8, np.uint16, np.bool_)


def _whole_numbers(pixels: AnyPixels, region_of: tuple[float, float] | None) -> Pixels:
    """Return uint8 and uint16 as they are, black-and-white as 0 and 255, the rest over 16 bits.

    Numbers of 32 bits, signed ones and fractions have no agreed white: their own range is spread
    over 0 to 65535, or that of the picture that they are a region of; what is not a number becomes
    black.
    """
    if pixels.dtype in (np.uint8, np.uint16):
        return pixels
    if pixels.dtype == np.bool_:
        return np.where(pixels, np.uint8(255), np.uint8(0))
    values = np.nan_to_num(pixels.astype(np.float64), nan=0.0, posinf=0.0, neginf=0.0)
    low, high = region_of or (float(values.min()), float(values.max()))
    values = np.clip(values, low, high)
    spread = (values - low) * (65535.0 / (high - low)) if high > low else np.zeros_like(values)
    return np.rint(spread).astype(np.uint16)


def _opaque(colour: Pixels, opacity: Pixels, is_region: bool) -> Pixels:
    """Return ``colour`` with places without any opacity filled with the median of all others.

    So they are background whether the field is bright or dark. What is half see-through is picture
    all the same: a layer's opacity says nothing of the light in a microscope. A picture that is
    see-through everywhere stays as it is. On a region of a larger one such places become black.
    """
    empty = opacity == 0
    if not empty.any() or (empty.all() and not is_region):
        return colour
    solid = colour.copy()
    if is_region:
        solid[empty] = 0
        return solid
    shown = colour[~empty]
    solid[empty] = np.rint(np.median(shown[:: max(1, len(shown) // 100_000)], axis=0))
    return solid
