"""Things laid on a drawn slide away from its larvae, by what they take from the light."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from counter.imaging.draw.truth import Scene
from counter.imaging.photo import Pixels

Floats = NDArray[np.float64]
Layer = Callable[[tuple[int, ...], float, float], Floats]
"""The light (h, w) that a thing at (x, y) lets through, 0 to 1, for a picture's shape."""

AWAY_PX, INSET_PX = 110, 70


def with_laid(scene: Scene, seed: int, *layers: Layer) -> Pixels:
    """Return the scene's pixels with each layer away from every larva and from each other."""
    height, width = scene.pixels.shape[:2]
    draws = np.random.default_rng(seed)
    taken = [np.array([truth.x_px, truth.y_px]) for truth in scene.truth]
    light = np.ones((height, width))
    for layer in layers:
        for _ in range(5000):
            spot = draws.uniform((INSET_PX, INSET_PX), (width - INSET_PX, height - INSET_PX))
            if min(np.hypot(*(np.array(taken) - spot).T)) > AWAY_PX:
                break
        else:
            raise AssertionError("no room on this scene")
        taken.append(spot)
        light = light * layer(light.shape, *spot)
    return np.asarray(scene.pixels * light[..., None], np.uint8)
