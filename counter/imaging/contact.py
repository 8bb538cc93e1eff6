"""Where a body goes on across the picture's border, told by what lies between its outline and it.

An outline found on a smaller copy ends a few pixels short of the border, or beyond it, whether the
border cuts the body or just misses it. So its points near the border follow the rim like all the
others, on a picture whose outermost pixels go on outside: water stays water there, and a body stays
a body. Where a rim is met, the body ends; where the border is met first, it goes on.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from counter.imaging.rays import median_where

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

FIRM = 1 / 3
"""Of the usual step so much at least is a rim."""

LEAST_REACH_PX = 4.0
"""How near the border a point without a rim must be, where its ray does not reach further."""

AT_BORDER_PX = 0.5
"""A rim this near to the border, as a ray goes, cannot be told from none: blur hides its flank."""

CORNER_PX = 1.0
"""A point that lies on one side of the picture and this near another lies in its corner."""


def on_picture(x: Floats, y: Floats, shape: tuple[int, ...], moving: Flags) -> Flags:
    """Which rays (objects, points, steps) end on a picture of this shape and may be moved.

    Of an object without any, all: what they say is better than nothing.
    """
    x, y = x[..., [0, -1]], y[..., [0, -1]]
    inside = (np.minimum(x, y) > -0.5) & (x < shape[1] - 0.5) & (y < shape[0] - 0.5)
    told = moving & inside.all(axis=2)
    return np.asarray(told | ~told.any(axis=1, keepdims=True))


def laid_on_border(
    outlines: Floats,
    outward: Floats,
    strength: Floats,
    moving: Flags,
    reach_px: Floats,
    size: tuple[int, int],
) -> tuple[Floats, Flags]:
    """Return outlines (objects, points, 2) laid on the border where bodies go on across it.

    They are in pixels of the picture of this ``size`` (width, height). ``outward`` are their
    normals, ``strength`` (objects, points) the steps found on these, of which those within
    ``reach_px`` (objects, 1) of the outline were looked at; only ``moving`` points were followed.
    The second answer (objects, points) says which points were laid on the border.
    """
    last = np.array(size) - 0.5
    border = np.where(outward > 0, last, -0.5)
    with np.errstate(divide="ignore", invalid="ignore"):
        ways = np.where(np.abs(outward) > 1e-6, (border - outlines) / outward, np.inf)
    way = ways.min(axis=2)
    leaving = moving & (way < np.maximum(reach_px, LEAST_REACH_PX))
    if not leaving.any():
        return outlines, leaving
    near = np.flatnonzero(leaving.any(axis=1))
    weak = np.zeros_like(leaving)
    weak[near] = strength[near] < FIRM * _usual(strength[near], moving[near], leaving[near])
    across = _in_runs(leaving & (weak | (way < AT_BORDER_PX)), leaving)
    here = (ways <= way[..., None]) | (np.abs(border - outlines) < CORNER_PX)
    laid = np.where(here, border, outlines).clip(-0.5, last)
    return np.where(across[..., None], laid, outlines), across


def _usual(strength: Floats, moving: Flags, leaving: Flags) -> Floats:
    """The median step of each outline (objects, 1), off the border where some of it is."""
    inner = moving & ~leaving
    return median_where(strength, np.where(inner.any(axis=1, keepdims=True), inner, moving))


def _in_runs(across: Flags, leaving: Flags) -> Flags:
    """Make runs of points of those that go ``across``: a single one is a shell's sharp corner.

    Bodies are convex: between two places where one goes across, so does all that may.
    """
    before, after = np.roll(across, 1, axis=1), np.roll(across, -1, axis=1)
    filled = across | (before & after & leaving)
    runs = filled & (np.roll(filled, 1, axis=1) | np.roll(filled, -1, axis=1))
    back = _carried(runs[:, ::-1], leaving[:, ::-1])[:, ::-1]
    return np.asarray(_carried(runs, leaving) & back)


def _carried(runs: Flags, leaving: Flags) -> Flags:
    """Carry each run on along the closed outline as far as points are leaving."""
    twice = np.arange(2 * runs.shape[1])
    last = [
        np.maximum.accumulate(np.where(np.tile(each, 2), twice, -1), axis=1)
        for each in (runs, ~leaving)
    ]
    return np.asarray(last[0] > last[1])[:, runs.shape[1] :]
