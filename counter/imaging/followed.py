"""What the network outlined roughly, followed: on the bodies' rims, where these are seen."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from counter.imaging.candidates import Candidate
from counter.imaging.net import RAYS
from counter.imaging.outline import POINTS, Refined, joined, refine
from counter.imaging.rays import evenly_all, sample
from counter.imaging.scene import Scene, free_points
from counter.imaging.short import carried_out
from counter.imaging.slipped import are_alone, are_slipped
from counter.imaging.threads import in_parts

Floats = NDArray[np.float64]

FEW = 100
"""Fewer outlines than this are followed sooner than they are shared out among threads."""


def followed(found: list[Candidate], scene: Scene) -> Refined:
    """Lay the candidates' rough outlines on the rims.

    Where a rim was lost, what the network saw is kept; where a tip was cut off, it is added.
    """
    outlines = np.array([each.outline for each in found]).reshape(-1, RAYS, 2)
    seen_px = np.array([each.length_um for each in found]) / scene.um_per_px
    alone = are_alone(outlines.mean(axis=1), seen_px)
    refined = joined(
        in_parts(
            lambda part: _kept(outlines[part], seen_px[part], alone[part], scene), len(found), FEW
        )
    )
    return carried_out(refined, lambda rough: _off_rulings(_laid(rough, scene), scene), scene)


def _kept(outlines: Floats, seen_px: Floats, alone: NDArray[np.bool_], scene: Scene) -> Refined:
    """Lay outlines on the rims; those that slipped off stay what the network saw.

    ``seen_px`` (n,) are their lengths, ``alone`` (n,) says which bodies nothing touches.
    """
    refined = _laid(outlines, scene)
    if not len(outlines):
        return refined
    lost = are_slipped(refined, seen_px, alone, scene)
    kept = np.where(lost[:, None, None], evenly_all(outlines, POINTS), refined.outlines)
    return _off_rulings(replace(refined, outlines=kept), scene)


def _laid(outlines: Floats, scene: Scene) -> Refined:
    """Refine rough outlines (objects, n, 2), given in pixels of the picture."""
    rough = scene.copy.from_full(outlines)
    free = free_points(rough, scene)
    return refine(list(rough), list(free), scene.photo.pixels, scene.copy, scene.flat)


def _off_rulings(refined: Refined, scene: Scene) -> Refined:
    """Say of no point on or by a ruling that it is touched: that is a ruling, no neighbour."""
    inner = scene.copy.from_full(refined.outlines)
    covered = sample(scene.ruled.covered, inner[..., 0], inner[..., 1]) > 0
    return replace(refined, touched=refined.touched & ~covered)
