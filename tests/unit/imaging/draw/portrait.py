"""A portrait: one object alone on a sharp, silent, even slide, and where its outline is."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from counter.imaging.draw import Camera, Group, Kind, Light, SceneSettings, TruthObject, draw_scene

SHARP = SceneSettings(
    width_px=420,
    height_px=400,
    um_per_px=1.0,
    light=Light(colour=(0.8, 0.8, 0.8), uneven=0.0, vignette=0.0),
    camera=Camera(blur_px=0.4, shot_noise=0.0, read_noise=0.0),
    defocus_um=0.0,
    keep_inside=True,
)
Picture = NDArray[np.float64]


def portrait(
    kind: Kind, length_um: float, um_per_px: float, seed: int = 4
) -> tuple[Picture, Picture, TruthObject]:
    """A picture of one object, how far (share of its outline) each pixel is out, and its truth."""
    settings = replace(
        SHARP, um_per_px=um_per_px, population=(Group(kind, 1, (length_um, length_um)),)
    )
    scene = draw_scene(settings, seed)
    (truth,) = scene.truth
    y, x = np.mgrid[: settings.height_px, : settings.width_px]
    outline = np.array(truth.outline_px) - (truth.x_px, truth.y_px)
    angle = np.arctan2(y - truth.y_px, x - truth.x_px)
    own = np.arctan2(outline[:, 1], outline[:, 0])
    order = np.argsort(own)
    radius = np.interp(angle, own[order], np.hypot(*outline.T)[order], period=2 * np.pi)
    reach = np.hypot(x - truth.x_px, y - truth.y_px) / radius
    return scene.pixels.astype(float), reach, truth
