"""What the network sees on a scene: bodies of any kind, with rough outlines."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from counter.domain.species import Target
from counter.imaging.measure import ferets_px
from counter.imaging.net import RAYS, ask, load
from counter.imaging.rays import sample
from counter.imaging.round_stars import with_rim
from counter.imaging.round_view import mirrored
from counter.imaging.scene import Scene
from counter.imaging.sight import Sight, sight_of
from counter.imaging.stars import Star, stars

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Looked:
    """What the network sees on a scene: bodies of any kind.

    Of each the rough outline (n, 32, 2) in pixels of the picture, and in ``ferets_um`` (n, 2) its
    length and width.
    """

    found: list[Star]
    outlines: Floats
    ferets_um: Floats


def look(scene: Scene, target: Target, sight: Callable[[], Sight] | None = None) -> Looked:
    """Return what the network sees on a scene.

    ``sight`` is given where it was asked to look beforehand (:func:`counter.imaging.sight.looking`
    at the scene's photo). Raises :class:`~counter.imaging.net.NoNetworkError` when the network
    cannot be read.
    """
    photo = scene.photo
    light = None if scene.around is None else scene.around.light
    seen = sight() if sight is not None else sight_of(photo, target, light)
    height, width = seen.seen.shape[:2]
    per_px = np.array([photo.width_px / width, photo.height_px / height])
    found = stars(seen.answer)
    if scene.view.rim is not None:
        circle = scene.view.rim.scaled(scene.copy.factor / per_px)
        found = with_rim(found, stars(ask(load(), mirrored(seen.seen, circle))), circle)
    if not found:
        return Looked([], np.zeros((0, RAYS, 2)), np.zeros((0, 2)))
    outlines = (np.stack([star.outline for star in found]) + 0.5) * per_px - 0.5
    shown = np.flatnonzero(_are_seen(outlines, scene))
    outlines = outlines[shown]
    ferets_um = ferets_px(outlines) * scene.um_per_px
    return Looked([found[index] for index in shown], outlines, ferets_um)


def _are_seen(outlines: Floats, scene: Scene) -> NDArray[np.bool_]:
    """Which outlines lie in the field of view and not on a burned-in mark."""
    places = np.concatenate([outlines, outlines.mean(axis=1, keepdims=True)], axis=1)
    places = places / scene.copy.factor
    inside = sample(scene.view.mask, places[..., 0], places[..., 1]) > 127
    return np.asarray(inside.mean(axis=1) > (0.3 if scene.rim is None else 0.2))
