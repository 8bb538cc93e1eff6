"""How a candidate looks, in numbers: what a lens can learn to tell bodies from litter by.

Features are standardised with constants that ship with the program, so that what is kept with a
lens does not depend on the pictures of the day.
"""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.special import logit

from counter.imaging.net import CLASSES
from counter.imaging.scene import Scene
from counter.imaging.weighed import Weighed

Floats = NDArray[np.float64]

FARTHEST = 3.0
"""A standardised feature is held within this: one odd look does not decide alone."""

STANDARD: dict[str, tuple[float, float]] = {
    "depth": (3.0, 1.2),
    "judged": (3.0, 1.6),
    "egg": (-2.8, 1.8),
    "empty": (-3.3, 1.0),
    "other": (-2.8, 1.8),
    "length": (0.65, 0.6),
    "length bent": (0.3, 0.6),
    "aspect": (0.84, 0.1),
    "soft": (-2.6, 0.45),
    "rim": (-0.8, 0.35),
    "core": (-1.0, 0.5),
    "fill": (0.7, 0.2),
    "texture": (0.2, 0.08),
    "symmetry": (0.58, 0.22),
    "outside": (0.0, 0.1),
    "jagged": (-5.6, 0.5),
    "firm": (1.0, 0.06),
    "closed": (1.0, 0.04),
    "dark": (-0.4, 0.25),
    "red": (0.05, 0.06),
    "blue": (-0.1, 0.09),
}
"""Each feature's usual value and spread, from the candidates of the drawn scenes in the tests."""


def features(weighed: Sequence[Weighed], scene: Scene) -> Floats:
    """Return how candidates look: (n, number of :data:`STANDARD`), standardised, 4 decimals."""
    tints = _tints(weighed, scene)
    rows = np.array([_row(each, tint, scene) for each, tint in zip(weighed, tints, strict=True)])
    usual = np.array(list(STANDARD.values()))
    rows = (rows.reshape(-1, len(usual)) - usual[:, 0]) / usual[:, 1]
    return np.asarray(np.round(np.clip(rows, -FARTHEST, FARTHEST), 4))


def _row(each: Weighed, tint: tuple[float, float, float], scene: Scene) -> tuple[float, ...]:
    seen = each.traits
    rim = max(seen.rim, 1e-6)
    shares = dict(zip(CLASSES, np.log(each.classes + 0.02), strict=True))
    length = float(np.log2(max(seen.length_px, 1e-6) / scene.sizes.low_px))
    radius_px = np.sqrt(max(each.measures.area_um2, 1e-9) / np.pi) / scene.um_per_px
    return (
        float(logit(np.clip(each.depth, 0.01, 0.995))),
        float(logit(np.clip(each.judged, 0.01, 0.99))),
        shares["egg"] - shares["larva"],
        shares["empty"] - shares["larva"],
        shares["other"] - shares["larva"],
        length,
        (length - 0.8) ** 2,
        seen.aspect,
        float(np.log(max(each.edge_px, 0.05) / radius_px)),
        float(np.log(rim)),
        seen.core / rim,
        seen.fill / rim,
        seen.texture / rim,
        seen.symmetry,
        seen.outside / rim,
        float(np.log(max(seen.jagged, 3e-4))),
        seen.firm,
        seen.rim_share,
        *tint,
    )


def _tints(weighed: Sequence[Weighed], scene: Scene) -> list[tuple[float, float, float]]:
    """How much darker than the water each body is (log), and redder and bluer than green."""
    pixels, seen = scene.copy.pixels, scene.view.mask > 0
    step = max(1, int(np.sqrt(pixels.shape[0] * pixels.shape[1] / 40_000)))
    some = pixels[::step, ::step][seen[::step, ::step]]
    if not some.size:
        return [(0.0, 0.0, 0.0)] * len(weighed)
    least = 0.02 * scene.copy.top
    water = np.median(some.reshape(len(some), -1).astype(np.float64), axis=0)
    tints = []
    for each in weighed:
        mean = _mean_inside(scene.copy.from_full(each.outline), pixels)
        logs = np.log((mean[: len(water)] + least) / (water + least))
        red, green, blue = logs if len(logs) == 3 else (logs[0],) * 3
        tints.append((float(logs.mean()), float(red - green), float(blue - green)))
    return tints


def _mean_inside(outline: Floats, pixels: NDArray[np.generic]) -> Floats:
    """The mean colour inside an outline (n, 2) given in the pixels of ``pixels``."""
    height, width = pixels.shape[:2]
    low = np.clip(np.floor(outline.min(axis=0)).astype(int), 0, (width - 1, height - 1))
    high = np.clip(np.ceil(outline.max(axis=0)).astype(int) + 1, low + 1, (width, height))
    mask = np.zeros((high[1] - low[1], high[0] - low[0]), np.uint8)
    cv2.fillPoly(mask, [np.round(outline - low).astype(np.int32)], 255)
    part = np.ascontiguousarray(pixels[low[1] : high[1], low[0] : high[0]])
    return np.asarray(cv2.mean(part, mask), np.float64)
