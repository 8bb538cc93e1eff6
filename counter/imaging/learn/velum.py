"""A larva's velum put out of its shell: a thin folded sheet with a seam and a fringe of cilia.

It belongs to the larva, but not to its shell, which alone is measured.
"""

from __future__ import annotations

import numpy as np

from counter.imaging.learn.canvas import Crop, Floats, Textures, band


def velum(crop: Crop, half: float, rng: np.random.Generator, tex: Textures) -> Floats:
    """Return how much light a sheet beside the shell takes (h, w), about 0 to 1; 0 inside it.

    ``half`` is half the shell's length in pixels. The sheet reaches 0.15 to 0.7 of it beyond the
    outline and is as wide as a sixth of the way round to nearly half of it.
    """
    u = rng.uniform
    at, middle = u(0, 2 * np.pi), half * u(0.45, 0.9)
    x = crop.x - np.float32(middle * np.cos(at))
    y = crop.y - np.float32(middle * np.sin(at))
    along = x * np.float32(np.cos(at)) + y * np.float32(np.sin(at))
    beside = y * np.float32(np.cos(at)) - x * np.float32(np.sin(at))
    deep, wide = half * (1 + u(0.15, 0.7)) - middle, half * u(0.35, 0.95)
    turn = np.arctan2(beside / np.float32(wide), along / np.float32(deep))
    rippled = np.ones(crop.shape, np.float32)
    for waves in range(2, 8):
        high, phase = u(0, 0.5) / waves**1.3, u(0, 2 * np.pi)
        rippled += np.float32(0.4 * high) * np.cos(waves * turn + np.float32(phase))
    out = np.hypot(along / np.float32(deep), beside / np.float32(wide)) / rippled
    distance = np.asarray((out - 1) * np.float32(0.5 * (deep + wide)), np.float32)
    sheet = np.clip(0.5 - distance, 0, 1)
    rough = 1 + np.float32(u(0, 1.2)) * tex.cut(rng, crop.shape, u(0.8, 4))
    layer = np.float32(u(-0.12, 0.5)) * sheet * rough
    layer = layer + np.float32(u(0.1, 1.2)) * band(distance, 0.0, u(0.5, 1.6))
    if rng.random() < 0.5:
        layer = layer + np.float32(u(0, 0.5)) * band(distance, -u(0.1, 0.4) * deep, u(0.5, 1.5))
    long = half * u(0.04, 0.2)
    comb = 0.5 + 0.5 * np.cos(turn * np.float32(u(30, 120)) + 3 * tex.cut(rng, crop.shape, 2.0))
    fringe = np.exp(-np.clip(distance, 0, None) / np.float32(long)) * (distance > 0)
    layer = layer + np.float32(u(0, 0.6)) * comb * fringe
    return np.asarray(layer * (1 - crop.inside), np.float32)
