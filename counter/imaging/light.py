"""Light: a reduced copy of the picture, and what differs in it from the water.

The water is what fills most of the field smoothly. It is modelled per colour channel by a
low-order surface, fitted robustly (iteratively reweighted least squares with Tukey's biweight,
Beaton & Tukey 1974, Technometrics 16:147-185), so that bodies covering a third of the field do not
pull it; what is left of slow changes is followed by a blur of the water alone.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.photo import Pixels

Floats = NDArray[np.float32]
Bytes = NDArray[np.uint8]

PX_ACROSS_SMALLEST = 16.0
"""How many working pixels the smallest target spans, where the camera gives that many."""

FITTED = 1500
"""About how many places of the water the surface is fitted to."""

LEAST_NOISE = 1e-3

PARTS = 6
"""Along each side, in how many parts of the picture calm places are looked for."""

SMALL_SIDE = 160
"""The longer side in pixels of the copy on which the light is modelled."""


@dataclass(frozen=True, slots=True)
class Reduced:
    """A reduced copy: ``pixels`` (h, w, channels) float32; 1 is about the brightest water or body.

    Pixel (x, y) of the copy covers the ``factor`` × ``factor`` pixels of the picture whose first
    is (factor·x, factor·y).
    """

    pixels: Floats
    factor: int

    def to_full(self, points: NDArray[np.floating]) -> NDArray[np.float64]:
        """Return working coordinates as coordinates of the picture."""
        return np.asarray(points, dtype=np.float64) * self.factor + (self.factor - 1) / 2


@dataclass(frozen=True, slots=True)
class Flat:
    """The picture without its light.

    ``contrast`` (h, w) float32: 0 is water, negative darker, positive brighter; in transmitted
    light -1 would be black. ``noise`` is the spread of the water in it. ``weights`` turns the
    channels of the picture into the one grey in which bodies stand out best.
    """

    contrast: Floats
    noise: float
    weights: Floats


def factor_for(um_per_px: float, low_um: float) -> int:
    """Return by how much a picture is reduced so that the smallest target spans enough pixels."""
    return max(1, int(low_um / PX_ACROSS_SMALLEST / um_per_px))


def reduced(pixels: Pixels, factor: int) -> Reduced:
    """Return a copy reduced by a whole ``factor``, each pixel the mean of those it covers.

    ``pixels`` is (H, W) or (H, W, 3), uint8 or uint16. Up to ``factor - 1`` columns and rows at the
    right and the bottom are left out. The copy is scaled by its own 99.5th percentile, so that a
    12-bit camera in a 16-bit file looks like any other.
    """
    height, width = pixels.shape[0] // factor, pixels.shape[1] // factor
    whole = pixels[: height * factor, : width * factor]
    small = (
        cv2.resize(whole, (width, height), interpolation=cv2.INTER_AREA) if factor > 1 else whole
    )
    copy = small.astype(np.float32).reshape(height, width, -1)
    top = float(np.percentile(copy[::4, ::4], 99.5))
    copy *= 1 / max(top, 1e-6)
    return Reduced(copy, factor)


def flatten(copy: Reduced, seen: Bytes, high_px: float) -> Flat:
    """Return what differs from the water.

    ``seen`` is 255 where the picture shows the field. ``high_px`` is the longest target in working
    pixels: slower changes than that are light.
    """
    height, width, channels = copy.pixels.shape
    scale = min(1.0, SMALL_SIDE / max(height, width))
    size = (max(8, round(width * scale)), max(8, round(height * scale)))
    tiny = np.asarray(cv2.resize(copy.pixels, size, interpolation=cv2.INTER_AREA), np.float32)
    small = tiny.reshape(*size[::-1], -1)
    small_seen = cv2.resize(seen, size, interpolation=cv2.INTER_AREA) > 200
    water = _smooth_places(small, small_seen)
    layers = []
    for channel in range(channels):
        layers.append(_surface(small[..., channel], small_seen, water, high_px * scale))
    surface = np.stack(layers, axis=-1)
    weights = _weights(small - surface, small_seen)
    grey = np.asarray(cv2.transform(copy.pixels, weights[None, :]), np.float32)
    grey = grey.reshape(height, width)
    small_grey = (surface @ weights).astype(np.float32)
    lit = np.asarray(cv2.resize(small_grey, (width, height)), np.float32)
    grey -= lit
    if _is_transmitted(small_grey, small @ weights, small_seen):
        grey /= np.maximum(lit, 0.15 * float(np.median(small_grey[small_seen])))
    grey[seen == 0] = 0
    return Flat(grey, _noise(grey, seen), weights)


def _is_transmitted(surface: Floats, small: Floats, seen: NDArray[np.bool_]) -> bool:
    """Whether light comes through the water (so that dimming is a share of it)."""
    return float(np.median(surface[seen])) > 0.25 * float(np.percentile(small[seen], 99))


def _smooth_places(small: Floats, seen: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Where the small copy bends least, however steep the light: the first guess of the water.

    Every part of the picture gives its own calmest places, so that the corners are not guessed.
    """
    grey = np.asarray(cv2.transform(small, np.full((1, small.shape[2]), 1 / small.shape[2])))
    grey = grey.reshape(small.shape[:2])
    kernel = np.ones((3, 3), np.uint8)
    bent = np.abs(grey - cv2.blur(grey, (5, 5), borderType=cv2.BORDER_REFLECT_101))
    rough = np.asarray(cv2.dilate(bent, kernel), np.float32)
    inner = cv2.erode(seen.astype(np.uint8), kernel) > 0
    inner = inner if inner.any() else seen
    found = np.zeros(seen.shape, bool)
    for rows in np.array_split(np.arange(seen.shape[0]), PARTS):
        for columns in np.array_split(np.arange(seen.shape[1]), PARTS):
            part = np.ix_(rows, columns)
            held = inner[part]
            if held.any():
                found[part] = held & (rough[part] <= np.percentile(rough[part][held], 40))
    return found


def _surface(
    values: Floats, seen: NDArray[np.bool_], water: NDArray[np.bool_], high_px: float
) -> Floats:
    """Fit one channel's light on the small copy."""
    if not water.any():
        return np.full_like(values, float(np.median(values)))
    terms = _terms(*values.shape)
    surface = _robust_fit(terms, values, water)
    sigma = max(2.0, high_px)
    for _ in range(2):
        off = values - surface
        spread = 1.4826 * float(np.median(np.abs(off[water]))) + 1e-4
        calm = (seen & (np.abs(off) < 4 * spread)).astype(np.float32)
        weight = cv2.GaussianBlur(calm, (0, 0), sigma)
        followed = cv2.GaussianBlur(calm * off, (0, 0), sigma)
        surface = surface + followed / (weight + 0.05)
    return surface.astype(np.float32)


def _terms(height: int, width: int) -> NDArray[np.float64]:
    """The terms of a surface of fourth order over the picture, (h, w, 15)."""
    y, x = np.meshgrid(np.linspace(-1, 1, height), np.linspace(-1, 1, width), indexing="ij")
    powers = [x**i * y**j for i in range(5) for j in range(5 - i)]
    return np.stack(powers, axis=-1)


def _robust_fit(
    terms: NDArray[np.float64], values: Floats, water: NDArray[np.bool_]
) -> NDArray[np.float64]:
    """Fit ``values`` on ``water`` by iteratively reweighted least squares."""
    a, b = terms[water], values[water].astype(np.float64)
    every = max(1, len(b) // FITTED)
    a, b = a[::every], b[::every]
    off = b - np.median(b)
    fit = np.zeros(a.shape[1])
    for step in range(8):
        spread = 1.4826 * np.median(np.abs(off)) + 1e-4
        if step < 4:
            weight = 1 / (np.abs(off) + 0.3 * spread)
        else:
            weight = np.clip(1 - (off / (4.685 * spread)) ** 2, 0, None) ** 2
        scaled = a * weight[:, None]
        ridge = 1e-6 * weight.sum() * np.eye(a.shape[1])
        fit = np.linalg.solve(a.T @ scaled + ridge, scaled.T @ b)
        off = b - a @ fit
    surface: NDArray[np.float64] = terms @ fit
    return surface


def _weights(off: Floats, seen: NDArray[np.bool_]) -> Floats:
    """The mixture of channels in which bodies differ most from water, relative to its noise."""
    channels = off.shape[2]
    if channels == 1:
        return np.ones(1, np.float32)
    flat = off[seen]
    if not len(flat):
        return np.full(channels, 1 / channels, np.float32)
    spread = 1.4826 * np.median(np.abs(flat), axis=0) + 0.01
    scaled = flat / spread
    strong = scaled[np.linalg.norm(scaled, axis=1) > 5 * np.sqrt(channels)]
    plain = np.full(channels, 1.0)
    if len(strong) >= 20:
        plain = np.abs(np.linalg.svd(strong, full_matrices=False)[2][0])
    mixed = plain / spread
    mixed = mixed / mixed.sum()
    mixed = 0.8 * mixed + 0.2 / channels
    return np.asarray(mixed, np.float32)


def _noise(contrast: Floats, seen: Bytes) -> float:
    """The spread of the water in the contrast.

    Bodies widen the distribution on one side or both; what lies over three spreads is left out and
    the spread taken again until it no longer shrinks (sigma clipping).
    """
    values = np.abs(contrast[::3, ::3][seen[::3, ::3] > 0])
    if not len(values):
        return LEAST_NOISE
    spread = 1.4826 * float(np.median(values))
    for _ in range(10):
        kept = values[values < 3 * spread]
        narrower = 1.4826 * float(np.median(kept)) if len(kept) else 0.0
        if not narrower < 0.98 * spread:
            break
        spread = narrower
    return max(LEAST_NOISE, spread)
