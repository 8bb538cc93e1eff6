"""Air bubbles that the border cuts: a round arc with the same dark ring all along it, clear inside.

What :mod:`bubbles` tells by the middle of what is seen is told here by the middle of the circle
that the rest of the outline lies on.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from counter.imaging.bubbles import CLEAR
from counter.imaging.judge import spreads
from counter.imaging.rays import sample
from counter.imaging.round_view import Circle, fitted_circle
from counter.imaging.scene import Scene
from counter.imaging.weighed import Weighed

Floats = NDArray[np.float64]

OFF, ARC = 0.02, math.radians(150)
"""The outline strays from its circle by less than the first share of the radius, and goes on along
at least the second angle."""

ALIKE, RING, ALL_ROUND = 0.75, 0.4, 0.8
"""At least the first share of what is seen inside is the same in all directions; the ring has at
least the second contrast, and in nine of ten directions at least the third share of its mean. On
drawn fields 50 to 53 of each kind by two renderers none of 759 cut bodies is so, on those and on 54
to 73 of bubbles and of dirt alone all of the 11 cut bubbles that were counted."""

BORDER_PX = 2.0
"""What is so near the border, in pixels of the working copy, is where the body is cut."""

DIRECTIONS, RINGS, OUTERMOST, INNER, WITHIN = 72, 24, 1.1, 0.5, 0.92


def is_cut_bubble(each: Weighed, scene: Scene) -> bool:
    """Whether a candidate that the border cuts is a clear bubble; never one that it does not."""
    if not each.cut:
        return False
    height, width = scene.flat.contrast.shape
    points = (each.outline + 0.5) / scene.copy.factor - 0.5
    last = np.array([width, height]) - 1 - BORDER_PX
    free = points[((points > BORDER_PX) & (points < last)).all(axis=1)]
    circle = fitted_circle(free)
    if circle is None or circle.off_px > OFF * circle.radius_px or _arc(free, circle) < ARC:
        return False
    return _is_clear(scene, circle)


def _arc(points: Floats, circle: Circle) -> float:
    """Along how much of the circle there are points, in radians."""
    at = np.sort(np.arctan2(points[:, 1] - circle.y_px, points[:, 0] - circle.x_px))
    gaps = np.diff(np.append(at, at[0] + 2 * math.pi))
    return 2 * math.pi - float(gaps.max())


def _is_clear(scene: Scene, circle: Circle) -> bool:
    """Whether all directions from the middle show the same ring, and no darkness inside it."""
    light, seen = _unrolled(scene, circle)
    share = np.linspace(0.05, OUTERMOST, RINGS)
    inner, within = share < INNER, share < WITHIN
    ringed = np.where(seen, np.abs(light), 0.0)[:, (share > 0.72) & (share < 1.06)].max(axis=1)
    ringed = ringed[seen[:, share < 1.0].all(axis=1)]
    if not seen[:, inner].any() or not len(ringed):
        return False
    ring = float(ringed.mean())
    core = float(light[:, inner][seen[:, inner]].mean())
    if not (ring > RING and 0 < core < CLEAR * ring):
        return False
    even = float(np.quantile(ringed, 0.1)) > ALL_ROUND * ring
    if not even:
        return False
    total, rest = spreads(light[None, :, within], seen[None, :, within], share[within])
    return bool(1 - rest[0] / max(total[0], 1e-12) > ALIKE)


def _unrolled(scene: Scene, circle: Circle) -> tuple[Floats, NDArray[np.bool_]]:
    """The contrast (directions, rings) around the circle's middle, and which places are seen."""
    turn = np.linspace(0, 2 * math.pi, DIRECTIONS, endpoint=False)[:, None]
    away = circle.radius_px * np.linspace(0.05, OUTERMOST, RINGS)
    x, y = circle.x_px + np.cos(turn) * away, circle.y_px + np.sin(turn) * away
    height, width = scene.flat.contrast.shape
    on = (x >= 0) & (y >= 0) & (x <= width - 1) & (y <= height - 1)
    seen = on & (sample(scene.view.mask, x, y) > 127)
    return sample(scene.flat.contrast, x, y).astype(np.float64), seen
