"""Light: a reduced copy of the picture, and what differs in it from the water."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.photo import Pixels
from counter.imaging.ranks import median_of_sorted, middle, percentile
from counter.imaging.shrink import shrunk
from counter.imaging.water import light_of_water

Floats = NDArray[np.float32]
Bytes = NDArray[np.uint8]

PX_ACROSS_SMALLEST = 16.0
"""How many working pixels the smallest target spans, where the camera gives that many."""

LEAST_NOISE = 1e-3

SMALL_SIDE = 120
"""The longer side in pixels of the copy on which the light is modelled."""

ROWS_AT_ONCE = 20


@dataclass(frozen=True, slots=True)
class Reduced:
    """A reduced copy: ``pixels`` (h, w) or (h, w, channels), of the picture's own type.

    ``top`` is about its brightest value, that of the water or of bright bodies. Pixel (x, y) of the
    copy covers the ``factor`` × ``factor`` pixels of the picture whose first is
    (factor·x, factor·y).
    """

    pixels: Pixels
    top: float
    factor: int

    def to_full(self, points: NDArray[np.floating]) -> NDArray[np.float64]:
        """Return working coordinates as coordinates of the picture."""
        return np.asarray(points, dtype=np.float64) * self.factor + (self.factor - 1) / 2

    def from_full(self, points: NDArray[np.floating]) -> NDArray[np.float64]:
        """Return coordinates of the picture as working coordinates."""
        return (np.asarray(points, dtype=np.float64) - (self.factor - 1) / 2) / self.factor


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


def reduced(pixels: Pixels, factor: int, top: float | None = None) -> Reduced:
    """Return a copy reduced by a whole ``factor``, each pixel the mean of those it covers.

    ``pixels`` is (H, W) or (H, W, 3), uint8 or uint16. Up to ``factor - 1`` columns and rows at the
    right and the bottom are left out. ``top`` is given where the brightest place may lie elsewhere,
    on another block of the same picture.
    """
    height, width = pixels.shape[0] // factor, pixels.shape[1] // factor
    whole = pixels[: height * factor, : width * factor]
    small = whole
    if factor > 1:
        resized = cv2.resize(whole, (width, height), interpolation=cv2.INTER_AREA)
        small = np.asarray(resized, pixels.dtype)
    if top is None:
        top = percentile(small[::5, ::5], 99.5)
    return Reduced(small, max(top, 1e-6), factor)


@dataclass(frozen=True, slots=True)
class Tone:
    """How the light is taken out of a picture, the same all over it.

    ``weights`` mixes the channels as in :class:`Flat`. ``is_transmitted`` says whether light comes
    through the water, so that dimming is a share of it.
    """

    weights: Floats
    is_transmitted: bool


def tone_of(parts: Sequence[tuple[Reduced, Bytes]], high_px: float) -> Tone:
    """Return the tone of a picture of which ``parts`` are shown: copies, and 255 where they show
    the field.
    """
    lights = [_Light.of(copy, seen, high_px) for copy, seen in parts]
    lights = [each for each in lights if each.seen.any()] or lights
    off = np.concatenate([(each.small - each.surface)[each.seen] for each in lights])
    weights = _weights(off)
    surface = np.concatenate([(each.surface @ weights)[each.seen] for each in lights])
    small = np.concatenate([(each.small @ weights)[each.seen] for each in lights])
    return Tone(weights, _is_transmitted(surface, small))


def flatten(copy: Reduced, seen: Bytes, high_px: float, tone: Tone | None = None) -> Flat:
    """Return what differs from the water.

    ``seen`` is 255 where the picture shows the field. ``high_px`` is the longest target in working
    pixels: slower changes than that are light. ``tone`` is given for a block of a larger picture;
    else it is the picture's own.
    """
    light = _Light.of(copy, seen, high_px)
    weights = _weights((light.small - light.surface)[light.seen]) if tone is None else tone.weights
    surface = (light.surface @ weights).astype(np.float32)
    water = surface[light.seen]
    if tone is None:
        through = _is_transmitted(water, (light.small @ weights)[light.seen])
    else:
        through = tone.is_transmitted
    darkest = 0.15 * middle(water) if through and len(water) else None
    grey = _off_water(copy, weights, surface, darkest)
    if seen.min(initial=255) < 255:
        grey[seen == 0] = 0
    return Flat(grey, _noise(grey, seen), weights)


def _off_water(copy: Reduced, weights: Floats, surface: Floats, darkest: float | None) -> Floats:
    """What of a copy, as one grey, differs from the water's light on a tiny one (``surface``).

    It is a share of that light where ``darkest`` says below which no water is. Done in strips of
    rows that the processor's cache holds.
    """
    height, width = copy.pixels.shape[:2]
    lit = np.asarray(cv2.resize(surface, (width, height)), np.float32)
    share = (weights / copy.top).astype(np.float32)
    off = np.empty((height, width), np.float32)
    for top in range(0, height, ROWS_AT_ONCE):
        rows = slice(top, top + ROWS_AT_ONCE)
        cv2.subtract(_mixed(copy.pixels[rows], share), lit[rows], dst=off[rows])
        if darkest is not None:
            cv2.divide(off[rows], np.maximum(lit[rows], np.float32(darkest)), dst=off[rows])
    return off


@dataclass(frozen=True, slots=True)
class _Light:
    """A tiny copy (h, w, channels) of 1 = top, the water's light on it, where it shows the field"""

    small: Floats
    surface: Floats
    seen: NDArray[np.bool_]

    @classmethod
    def of(cls, copy: Reduced, seen: Bytes, high_px: float) -> _Light:
        height, width = copy.pixels.shape[:2]
        scale = min(1.0, SMALL_SIDE / max(height, width))
        size = (max(8, round(width * scale)), max(8, round(height * scale)))
        tiny = shrunk(copy.pixels, size).astype(np.float32)
        small = tiny.reshape(*size[::-1], -1) / np.float32(copy.top)
        small_seen = np.ones(small.shape[:2], bool)
        if seen.min(initial=255) < 255:
            small_seen = np.asarray(cv2.resize(seen, size, interpolation=cv2.INTER_AREA) > 200)
        return cls(small, light_of_water(small, small_seen, high_px * scale), small_seen)


def _mixed(pixels: Pixels, share: Floats) -> Floats:
    """Pixels as one grey: their channels times their share of it."""
    single = pixels.astype(np.float32)
    return np.asarray(single * share if single.ndim == 2 else cv2.transform(single, share[None]))


def _is_transmitted(surface: Floats, small: Floats) -> bool:
    """Whether light comes through the water (so that dimming is a share of it).

    Both (n,) are of the places that show the field; without any there is no light.
    """
    if not len(small):
        return False
    return middle(surface) > 0.25 * percentile(small, 99)


def _weights(flat: Floats) -> Floats:
    """The mixture of channels in which bodies differ most from water, relative to its noise.

    ``flat`` (n, channels) is by how much places on the field differ from the water's light.
    """
    channels = flat.shape[1]
    if channels == 1:
        return np.ones(1, np.float32)
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
    values = np.sort(np.abs(contrast[::5, ::5][seen[::5, ::5] > 0]))
    if not len(values):
        return LEAST_NOISE
    spread = 1.4826 * median_of_sorted(values)
    for _ in range(10):
        kept = values[: np.searchsorted(values, np.float32(3 * spread))]
        narrower = 1.4826 * median_of_sorted(kept) if len(kept) else 0.0
        if not narrower < 0.98 * spread:
            break
        spread = narrower
    return max(LEAST_NOISE, spread)
