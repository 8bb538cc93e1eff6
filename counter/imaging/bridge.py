"""Outlines carried on where a neighbour hides them.

Where two bodies touch or overlap, the cut between them is not the outline of either. The free part
of each outline is fitted with an ellipse (direct least squares; Fitzgibbon, Pilu & Fisher 1999,
IEEE PAMI 21:476-480), and the hidden part follows that ellipse, scaled so that both ends meet.
"""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.outline import Refined

Floats = NDArray[np.float64]

BESIDE = 1
"""How many points beside a cut are no longer trusted: blur fills the corner where bodies meet."""

LEAST_FREE = 0.4
"""Where less of the outline is free, the straight cut stays."""

LEAST_RIM = 0.2
"""So much of it must be rim that was followed: the picture's border is no part of an ellipse."""

WEAK = 0.4
"""An edge under this share of the outline's median is no edge of the body."""

THIN = 0.05
"""Free points that lie this near to one line, as along the picture's border, fit no ellipse: OpenCV
then tries random ones."""

ROUNDER = 1.3
"""A hidden part bulges over its cut at most this many times as far as a circle's would."""


def bridged(refined: Refined) -> list[Floats]:
    """Return refined outlines (points, 2), carried on where something lies against them."""
    edges = np.nan_to_num(refined.edge, nan=np.inf)
    every = zip(refined.outlines, edges, refined.touched, strict=True)
    return [bridged_outline(outline, edge, touched) for outline, edge, touched in every]


def bridged_outline(outline: Floats, edge: Floats, hidden: NDArray[np.bool_]) -> Floats:
    """Return an outline (n, 2) with its ``hidden`` points placed where the body goes on.

    Where nothing is hidden the outline stays as it is; otherwise points whose ``edge`` is weak, as
    in the corner where two bodies meet, are placed too. ``edge`` (n,) is infinite where no rim was
    followed, as along the picture's border. What leaves too little to go by stays as it is as well.
    """
    if not hidden.any():
        return outline
    followed = edge[~hidden & np.isfinite(edge)]
    if len(followed):
        hidden = hidden | (edge < WEAK * float(np.median(followed)))
    hidden = np.any([np.roll(hidden, shift) for shift in range(-BESIDE, BESIDE + 1)], axis=0)
    free = ~hidden
    rim = free & np.isfinite(edge)
    if free.mean() < LEAST_FREE or rim.mean() < LEAST_RIM or _are_in_line(outline[rim]):
        return outline
    ellipse = cv2.fitEllipseDirect(outline[rim].astype(np.float32)[:, None])
    centre = np.array(ellipse[0], np.float64)
    spokes = outline - centre
    radius = np.hypot(spokes[:, 0], spokes[:, 1])
    fitted = _ellipse_radius(ellipse, spokes)
    if not np.isfinite(fitted).all() or (fitted < 0.5 * radius.min()).any():
        return outline
    ratio = radius / fitted
    number = len(outline)
    index = np.arange(number)
    around = np.concatenate([index[free] - number, index[free], index[free] + number])
    ratio = np.clip(np.interp(index, around, np.tile(ratio[free], 3)), 0.95, 1.05)
    bulge = ROUNDER * _bulge(outline, hidden)
    wanted = np.clip(fitted * ratio, 0.9 * radius, radius + bulge)
    scale = np.where(hidden, wanted / np.maximum(radius, 1e-9), 1.0)
    return np.asarray(centre + spokes * scale[:, None])


def _are_in_line(points: Floats) -> bool:
    """Whether points (n, 2) lie on about one line."""
    along, across = np.linalg.svd(points - points.mean(axis=0), compute_uv=False)
    return bool(across < THIN * along)


def _bulge(outline: Floats, hidden: NDArray[np.bool_]) -> Floats:
    """How far over each hidden run's chord a circle of the body's size would reach, per point."""
    number = len(outline)
    first = int(np.argmin(hidden))  # a free point, so that no run goes over the end
    turned = np.roll(hidden, -first)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], turned, [False]]).astype(int)))
    radius = float(np.sqrt(cv2.contourArea(outline.astype(np.float32)[:, None]) / np.pi))
    reach = np.zeros(number)
    for start, stop in edges.reshape(-1, 2):
        ends = outline[[(start - 1 + first) % number, (stop + first) % number]]
        half = min(radius, float(np.hypot(*(ends[1] - ends[0]))) / 2)
        run = (np.arange(start, stop) + first) % number
        reach[run] = radius - np.sqrt(radius**2 - half**2)
    return reach


def _ellipse_radius(
    ellipse: tuple[Sequence[float], Sequence[float], float], spokes: Floats
) -> Floats:
    """How far an ellipse (as OpenCV gives it) reaches from its centre along each spoke."""
    turn = np.deg2rad(ellipse[2])
    half = np.maximum(np.array(ellipse[1]) / 2, 1e-6)
    along = spokes[:, 0] * np.cos(turn) + spokes[:, 1] * np.sin(turn)
    across = -spokes[:, 0] * np.sin(turn) + spokes[:, 1] * np.cos(turn)
    length = np.maximum(np.hypot(along, across), 1e-9)
    return np.asarray(1 / np.hypot(along / length / half[0], across / length / half[1]))
