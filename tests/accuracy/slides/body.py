"""What a body takes from the light, pixel by pixel, as optical density in three colours."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray
from skimage.draw import polygon2mask

from tests.accuracy.slides.shapes import Floats

Layer = NDArray[np.float32]

FINER = 3
"""Bodies are drawn on a raster this many times finer than the picture and then averaged."""

RIM_UM = {"d-hinge": 1.6, "on-side": 1.8, "umbo": 2.6, "empty": 2.2}
THICK_RIM_UM = 3.5
FILL = {
    "d-hinge": (0.02, 0.12),
    "on-side": (0.15, 0.35),
    "umbo": (0.06, 0.25),
    "empty": (0.0, 0.04),
}
DENSE_FILL = (0.15, 0.45)
EYE_SPOT_UM = 5.0
MARGIN_UM = 30.0


@dataclass(frozen=True, slots=True)
class Patch:
    """A piece of slide: ``density`` (h, w, 3) with its top-left pixel at (left, top)."""

    left: int
    top: int
    density: Layer


def cloudy(shape: tuple[int, ...], sigma_px: float, rng: Generator) -> Layer:
    """Return smooth noise of mean 0 and standard deviation 1."""
    rough = cv2.GaussianBlur(rng.normal(size=shape).astype(np.float32), (0, 0), sigma_px)
    return np.asarray(rough / (rough.std() + 1e-9), np.float32)


def bell(value: Layer, middle: float, wide: float) -> Layer:
    """Return exp(-((value - middle) / wide)²)."""
    return np.asarray(np.exp(-np.square((value - middle) / wide)), np.float32)


def step(value: Layer) -> Layer:
    """Return the logistic step of ``value``."""
    return np.asarray(1 / (1 + np.exp(-np.clip(value, -40, 40))), np.float32)


@dataclass(frozen=True, slots=True)
class _Raster:
    """The fine raster of one body: µm inside (+) or outside (-) its outline, at each place."""

    depth_um: Layer
    x: Layer
    y: Layer
    middle: Floats
    length_px: float
    um_per_px: float


def draw_body(kind: str, points: Floats, um_per_px: float, rng: Generator) -> Patch:
    """Return what a body with this outline (n, 2), in pixels of the slide, takes from the light."""
    margin = MARGIN_UM / um_per_px + 6
    left, top = (int(value) for value in np.floor(points.min(axis=0) - margin))
    right, bottom = (int(value) for value in np.ceil(points.max(axis=0) + margin))
    width, height = right - left, bottom - top
    fine = (points - [left, top] + 0.5) * FINER - 0.5
    raster = _raster(fine, (height * FINER, width * FINER), um_per_px)
    grain = cloudy(raster.depth_um.shape, FINER / um_per_px, rng)
    density = _egg(raster, grain, rng) if kind == "egg" else _shell(kind, raster, grain, rng)
    small = cv2.resize(density, (width, height), interpolation=cv2.INTER_AREA)
    return Patch(left, top, np.asarray(small, np.float32))


def _raster(fine: Floats, shape: tuple[int, int], um_per_px: float) -> _Raster:
    """Return the raster of an outline, by pixel centres (OpenCV's filling adds half a pixel)."""
    mask = polygon2mask(shape, fine[:, ::-1]).astype(np.uint8)  # type: ignore[no-untyped-call]
    inside = cv2.distanceTransform(mask, cv2.DIST_L2, 5)
    outside = cv2.distanceTransform(1 - mask, cv2.DIST_L2, 5)
    y, x = np.mgrid[: shape[0], : shape[1]].astype(np.float32)
    half = mask.astype(np.float32) - 0.5
    depth = (inside - outside - half) / FINER * um_per_px
    long = float(np.ptp(fine, axis=0).max())
    return _Raster(depth.astype(np.float32), x, y, fine.mean(axis=0), long, um_per_px / FINER)


def _egg(raster: _Raster, grain: Layer, rng: Generator) -> Layer:
    """Dark granular yolk in a thin membrane, with a faint bright ring inside it."""
    depth = raster.depth_um
    yolk = step(depth / 0.5) * rng.uniform(0.35, 0.8) * (1 + 0.18 * grain)
    yolk = yolk * np.clip(0.6 + depth / 25, 0, 1.1)
    density = yolk[..., None] * (np.array([1.0, 0.9, 0.8]) * rng.uniform(0.9, 1.1, 3))
    density = density + (0.35 * bell(depth, 0.8, 1.2))[..., None]
    density = density - (0.06 * bell(depth, -2.5, 1.5))[..., None]
    return np.asarray(density, np.float32)


def _shell(kind: str, raster: _Raster, grain: Layer, rng: Generator) -> Layer:
    """A dark rim with a light halo, a clear or filled shell, a golden gut, at times an eye spot."""
    depth = raster.depth_um
    rim = RIM_UM.get(kind, THICK_RIM_UM)
    inside = step(depth / 0.5)
    grey = rng.uniform(0.5, 1.0) * bell(depth, 0.8 * rim, rim)
    grey = grey - rng.uniform(0.03, 0.12) * bell(depth, -rim, rim)
    grey = grey - rng.uniform(0.0, 0.1) * bell(depth, 3 * rim, rim)
    grey = grey + inside * rng.uniform(*FILL.get(kind, DENSE_FILL)) * (1 + 0.25 * grain)
    density = np.repeat(grey[..., None], 3, axis=2)
    if kind != "empty":
        for _ in range(int(rng.integers(1, 4))):
            density += _gut(raster, inside * (1 + 0.3 * grain), rng)
    if kind in ("eyed", "pediveliger"):
        x, y = raster.middle + rng.normal(0, 0.08, 2) * raster.length_px
        away_um = np.hypot(raster.x - x, raster.y - y) * raster.um_per_px
        density += (1.4 * step((EYE_SPOT_UM - away_um) / 0.5))[..., None]
    return np.asarray(density, np.float32)


def _gut(raster: _Raster, inside: Layer, rng: Generator) -> Layer:
    x, y = raster.middle + rng.normal(0, 0.1, 2) * raster.length_px
    wide = rng.uniform(0.1, 0.22) * raster.length_px
    lump = np.exp(-((raster.x - x) ** 2 + (raster.y - y) ** 2) / (2 * wide**2))
    golden = np.array([0.6, 0.85, 1.35], np.float32)
    return np.asarray((lump * inside * rng.uniform(0.15, 0.5))[..., None] * golden, np.float32)


def with_foot(patch: Patch, points: Floats, um_per_px: float, rng: Generator) -> Patch:
    """Let a clear foot or velum stick out of the shell; the shell's outline stays the truth."""
    height, width = patch.density.shape[:2]
    mask = np.zeros((height, width), np.uint8)
    fine = np.round((points - [patch.left, patch.top]) * 16).astype(np.int32)
    cv2.fillPoly(mask, [fine], 1, shift=4)
    y, x = np.mgrid[:height, :width].astype(np.float32)
    turn = rng.uniform(0, 2 * np.pi)
    x, y = x - (points[:, 0].mean() - patch.left), y - (points[:, 1].mean() - patch.top)
    along = x * np.cos(turn) + y * np.sin(turn)
    beside = y * np.cos(turn) - x * np.sin(turn)
    long = float(np.ptp(points, axis=0).max())
    end = 0.5 * long + rng.uniform(8, 20) / um_per_px
    foot = step((end - along) * um_per_px / 3) * (along > 0)
    foot = foot * step((0.12 * long - np.abs(beside)) * um_per_px / 2) * (1 - mask)
    clear = 0.12 * foot * (1 + 0.3 * cloudy((height, width), 1.5, rng))
    return Patch(patch.left, patch.top, patch.density + clear[..., None].astype(np.float32))
