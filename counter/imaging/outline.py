"""Outlines refined at full resolution, all bodies of a picture at once.

Each rough outline from the working copy is crossed by rays along its normals. On every ray the
strongest step from water to body is looked for, with the outline held together by a shortest path
around it (dynamic programming; Amini, Weymouth & Jain 1990, IEEE PAMI 12:855-867). The step of a
blurred edge is steepest where the edge is, whatever the blur; a parabola through the steepest
samples places it between them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

from counter.imaging.contact import laid_on_border, on_picture
from counter.imaging.ends import settled
from counter.imaging.light import Flat, Reduced
from counter.imaging.photo import Pixels
from counter.imaging.rays import (
    along_rays,
    evenly,
    evenly_all,
    highest,
    median_where,
    normals,
    over_gaps,
    radii,
    sample,
    smoothed,
    taken,
)

Floats = NDArray[np.float64]
Lights = NDArray[np.float32]
"""Light and its steps: in single precision, for it comes from 8 to 16 bits and is much."""

POINTS = 72
STEPS = 25
MUCH_STRONGER = 1.4
"""By how much a step inside a halo must be steeper than the halo's own."""

FAR = 0.25
"""What a step at the end of the reach costs, in typical edge strengths."""

HOLD = 0.18
"""What a shift of one step between neighbouring rays costs, in typical edge strengths."""


MOVES = np.array([0, -2, -1, 1, 2])
"""By how many steps neighbouring rays may differ; of equals the first is taken."""


@dataclass(frozen=True, slots=True)
class Refined:
    """Outlines (objects, POINTS, 2) in pixels of the picture and the edge on each ray.

    ``polarity`` is +1 for a rim brighter than the water and -1 for a darker one; ``edge`` is the
    strength of the step on each ray in units of the picture, NaN on rays that were not followed.
    ``edge_px`` (objects,) is how wide the step is at half its steepness. ``touched`` says on which
    rays something else than water lies against the outline.
    """

    outlines: Floats
    polarity: Floats
    edge: Floats
    edge_px: Floats
    touched: NDArray[np.bool_]


def refine(
    rough: Sequence[NDArray[np.floating]],
    free: Sequence[NDArray[np.bool_]] | None,
    pixels: Pixels,
    copy: Reduced,
    flat: Flat,
) -> Refined:
    """Refine ``rough`` closed outlines, given in working pixels.

    ``free`` says for each outline which of its POINTS may move (a border with a neighbour stays
    where it is, a rim under a ruling goes on between those beside it); None means all. Where a body
    goes on across the picture's border its outline is laid on that, and its edge not followed.
    """
    if not rough:
        none = np.zeros((0, POINTS))
        return Refined(np.zeros((0, POINTS, 2)), none[:, 0], none, none[:, 0], none > 0)
    base = smoothed(_even(rough), 1.2)
    moving = np.ones(base.shape[:2], bool) if free is None else np.stack(free)
    base, polarity = _on_rim(base, moving, flat)
    outward = normals(base)
    reach = np.clip(0.09 * radii(base), 1.6, 6.0)[:, None]
    offsets = np.linspace(-1, 1, STEPS) * reach
    edge = _edges(base, outward, offsets, polarity, pixels, copy, flat)
    steps, strength = _path(edge, moving)
    shift = steps * (2 * reach / (STEPS - 1))
    shift = smoothed(over_gaps(shift, moving), 1.0)
    strength = np.where(moving, strength, np.nan)
    step_px = 2 * reach[:, 0] / (STEPS - 1) * copy.factor
    edge_px = _edge_width(edge, steps, strength) * step_px
    near = copy.to_full(base + shift[..., None] * outward)
    size = (pixels.shape[1], pixels.shape[0])
    near, across = laid_on_border(near, outward, strength, moving, reach * copy.factor, size)
    moving = moving & ~across
    strength = np.where(moving, strength, np.nan)
    outlines, touched = settled(near, moving, polarity, edge_px, pixels, flat.weights)
    return Refined(outlines, polarity, strength, edge_px, touched)


def joined(parts: Sequence[Refined]) -> Refined:
    """Return the outlines of at least one part together, in the same order."""
    names = [field.name for field in fields(Refined)]
    return Refined(*(np.concatenate([getattr(part, name) for part in parts]) for name in names))


def _even(rough: Sequence[NDArray[np.floating]]) -> Floats:
    """Lay POINTS at equal steps along each outline (objects, POINTS, 2)."""
    if len({len(outline) for outline in rough}) == 1:
        return evenly_all(np.stack(rough), POINTS)
    return np.stack([evenly(outline, POINTS) for outline in rough])


def _on_rim(base: Floats, moving: NDArray[np.bool_], flat: Flat) -> tuple[Floats, Floats]:
    """Lay rough outlines on the rims; tell whether these are brighter (+1) or darker (-1).

    A rough outline may run round a halo (phase contrast, defocus) of the other polarity than the
    rim inside it; the step from halo to rim is then much larger than that from water to halo, and
    the outline is moved to that.
    """
    outward = normals(base)
    reach = np.clip(0.3 * radii(base), 4.0, 14.0)
    steps = np.linspace(-1.0, 0.35, 28)
    x, y = along_rays(base, outward, steps[None, :] * reach[:, None])
    seen = smoothed(sample(flat.contrast, x, y), 1.0)
    told = on_picture(x, y, flat.contrast.shape, moving)
    near = (seen[..., (steps > -0.8) & (steps < 0.05)].mean(axis=2) * told).sum(axis=1)
    own = np.where(near >= 0, 1.0, -1.0)
    step = np.gradient(seen, axis=2)
    step *= own.astype(np.float32)[:, None, None]
    edges = np.stack([-step, step])  # of the rim's own polarity, and of the other one
    np.maximum(edges, 0, out=edges)
    gain = _gain(edges, moving, median_where(highest(edges), told))
    gain -= (FAR * steps**2).astype(np.float32)
    chosen = closed_path(gain.reshape(-1, *gain.shape[2:])).reshape(edges.shape[:3])
    met = np.take_along_axis(edges, chosen[..., None], axis=3)[..., 0]
    strengths = median_where(met, told)[..., 0]
    other = strengths[1] > MUCH_STRONGER * strengths[0]
    path = np.where(other[:, None], chosen[1], chosen[0])
    shift = smoothed(over_gaps(steps[path] * reach[:, None], moving), 1.0)
    return base + shift[..., None] * outward, np.where(other, -own, own)


def _gain(edge: Lights, moving: NDArray[np.bool_], typical: Lights) -> Lights:
    """Steps (..., points, steps) in ``typical`` strengths (..., 1) of their object's, at most 2.

    Nothing is won on rays that are not ``moving`` (objects, points).
    """
    gain = np.asarray(edge / np.maximum(typical, 1e-9)[..., None], np.float32)
    np.minimum(gain, 2.0, out=gain)
    gain *= moving[..., None]
    return gain


def _edges(
    base: Floats,
    outward: Floats,
    offsets: Floats,
    polarity: Floats,
    pixels: Pixels,
    copy: Reduced,
    flat: Flat,
) -> Lights:
    """The step from water to body along every ray (objects, points, steps), in picture units.

    ``offsets`` (objects, steps) are in pixels of the reduced copy.
    """
    x, y = along_rays(base, outward, offsets)
    for place in (x, y):
        place *= copy.factor
        place += (copy.factor - 1) / 2
    seen = sample(pixels, x, y)
    grey = seen if seen.ndim == 3 else seen @ flat.weights
    grey = smoothed(grey.astype(np.float32), 0.7)
    step = np.zeros_like(grey)
    step[..., 2:-2] = (grey[..., 4:] - grey[..., :-4]) / 4
    step[..., :2], step[..., -2:] = step[..., 2:3], step[..., -3:-2]
    return np.asarray(-step * polarity.astype(np.float32)[:, None, None])


def _edge_width(edge: Lights, shift: Floats, strength: Floats) -> Floats:
    """The width at half its height, in steps, of every object's mean edge along its path."""
    count, _, steps = edge.shape
    middle = (steps - 1) // 2
    chosen = np.round(shift + (steps - 1) / 2).astype(int)
    place = chosen[..., None] + np.arange(-middle, middle + 1)
    on = (place >= 0) & (place < steps) & np.isfinite(strength)[..., None]
    aligned = taken(edge, np.clip(place, 0, steps - 1))
    profile = (aligned * on).sum(axis=1) / np.maximum(on.sum(axis=1), 1)
    over = profile > profile[:, middle : middle + 1] / 2
    before = np.logical_and.accumulate(over[:, middle::-1], axis=1).sum(axis=1)
    after = np.logical_and.accumulate(over[:, middle:], axis=1).sum(axis=1)
    return np.asarray(before + after - 1, np.float64).reshape(count)


def _path(edge: Lights, moving: NDArray[np.bool_]) -> tuple[Floats, Floats]:
    """The best closed path of steps around every object: shift in steps, edge strength on it."""
    count, points, steps = edge.shape
    middle = (steps - 1) / 2
    nearness = 0.15 * (np.abs(np.arange(steps) - middle) / middle) ** 2
    strong = np.maximum(edge, 0)
    gain = _gain(strong, moving, np.median(highest(strong), axis=1, keepdims=True))
    gain -= (nearness * np.where(moving, 1.0, 4.0)[..., None]).astype(np.float32)
    chosen = closed_path(gain)
    inner = np.clip(chosen, 1, steps - 2)
    rows, columns = np.ogrid[:count, :points]
    before, at, after = (edge[rows, columns, inner + k] for k in (-1, 0, 1))
    bend = before - 2 * at + after
    tip = np.where(bend < -1e-12, 0.5 * (before - after) / np.where(bend < -1e-12, bend, -1), 0.0)
    tip = np.where(chosen == inner, np.clip(tip, -0.5, 0.5), 0.0)
    return chosen + tip - middle, np.maximum(at, 0).astype(np.float64)


def closed_path(gain: Lights | Floats) -> NDArray[np.int64]:
    """The best closed path of steps for ``gain`` (objects, points, steps): (objects, points).

    The path runs a third of the way round a second time, so that its two ends agree.
    """
    points = gain.shape[1]
    again = points // 3
    chosen = _shortest(np.concatenate([gain, gain[:, :again]], axis=1))
    return np.concatenate([chosen[:, points:], chosen[:, again:points]], axis=1)


def _shortest(gain: Lights | Floats) -> NDArray[np.int64]:
    """Viterbi along the points: the steps with the largest gain, shifts of up to 2 charged."""
    count, points, steps = gain.shape
    total = np.full((points, count, steps + 4), -np.inf, gain.dtype)
    inner = total[..., 2:-2]
    inner[...] = gain.transpose(1, 0, 2)
    best, rival = np.empty((2, count, steps), gain.dtype)
    for point in range(1, points):
        last = total[point - 1]
        np.maximum(last[:, :-4], last[:, 4:], out=best)
        best -= HOLD
        np.maximum(last[:, 1:-3], last[:, 3:-1], out=rival)
        np.maximum(best, rival, out=best)
        best -= HOLD
        np.maximum(best, last[:, 2:-2], out=best)
        inner[point] += best
    return _traced(total, inner[-1].argmax(axis=1))


def _traced(total: Lights | Floats, last: NDArray[np.intp]) -> NDArray[np.int64]:
    """Follow the best path back from its ``last`` steps; ``total`` is padded by 2 steps."""
    points, count = total.shape[:2]
    path = np.zeros((points, count), np.int64)
    path[-1] = last
    cost = HOLD * np.abs(MOVES)
    from_here = np.arange(count)[:, None] * total.shape[2] + 2 - MOVES
    for point in range(points - 1, 0, -1):
        came = total[point - 1].ravel().take(from_here + path[point][:, None]) - cost
        np.subtract(path[point], MOVES.take(came.argmax(axis=1)), out=path[point - 1])
    return path.T
