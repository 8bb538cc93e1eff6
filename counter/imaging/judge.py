"""How sure it is that an outlined body is a larva or egg: named features, one open formula.

The score is a logistic function of a start value less penalties, one for each way in which things
that are no larvae differ: fibres are thin, debris is jagged and mottled, bubbles are round, empty
and alike in all directions, a piece of something larger goes on outside its outline. Every penalty
is 0 for an ordinary larva or egg, so that no single odd feature refuses it.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.special import expit

from counter.imaging.light import Flat
from counter.imaging.outline import Refined
from counter.imaging.rays import along_rays, sample
from counter.imaging.shape import Form, Shape, Sizes, size_fit

Floats = NDArray[np.float64]
Bytes = NDArray[np.uint8]

RINGS = 20
OUTERMOST = 1.25
START = 4.0
"""The logit of the score of a body that nothing speaks against."""


@dataclass(frozen=True, slots=True)
class Traits:
    """What one outlined body looks like.

    Contrasts are those of :class:`~counter.imaging.light.Flat`. ``rim`` is the mean over the
    directions of the strongest contrast near the outline, ``rim_share`` the share of directions
    that have at least a third of it, ``core`` the mean contrast of the inner half, ``fill`` the
    mean size of the contrast inside, ``texture`` the spread inside that is not explained by the
    distance from the centre, ``symmetry`` the share of the spread inside that is. ``outside`` is
    the mean contrast just outside, positive where it goes on like the rim. ``jagged`` is by how
    much the outline is longer than its convex hull's, ``firm`` the share of its free rays with at
    least a third of the usual edge.
    """

    length_px: float
    aspect: float
    rim: float
    rim_share: float
    core: float
    fill: float
    texture: float
    symmetry: float
    outside: float
    jagged: float
    firm: float


@dataclass(frozen=True, slots=True)
class Setting:
    """What a body is judged with: the spread of the water, the lengths looked for.

    A body ``cut`` by the picture's border may be shorter than the shortest of them. ``parted`` says
    that a neighbour hides some of its outline, ``explained`` how much of the region that it was
    taken from bodies explain.
    """

    noise: float
    sizes: Sizes
    cut: bool = False
    parted: bool = False
    explained: float = 1.0


def traits(
    outlines: Floats, ferets_px: Floats, refined: Refined, flat: Flat, seen: Bytes
) -> list[Traits]:
    """Look at outlines (objects, points, 2) given in working pixels.

    ``ferets_px`` (objects, 2) are their longest and shortest extents.

    What lies off the field (``seen`` is 0) or inside another outline is left out of all means.
    """
    if not len(outlines):
        return []
    centres = outlines.mean(axis=1)
    shares = np.linspace(0.05, OUTERMOST, RINGS)
    spokes = outlines[:, ::2] - centres[:, None, :]
    x, y = along_rays(np.broadcast_to(centres[:, None], spokes.shape), spokes, shares[None])
    values = sample(flat.contrast, x, y).astype(np.float64)
    valid = _own(outlines, x, y, seen)
    strongest = np.where(valid, np.abs(values), 0)[..., (shares > 0.72) & (shares < 1.06)].max(
        axis=2
    )
    has_rim = np.asarray(valid[..., (shares > 0.8) & (shares < 1.0)].max(axis=2))
    rim = _mean(strongest, has_rim, (1,))
    within = shares < 0.92
    inside, held, weight = values[..., within], valid[..., within], shares[within]
    total, rest = spreads(inside, held, weight)
    followed = np.isfinite(refined.edge)
    free = followed.max(axis=1, keepdims=True)
    edge = np.where(free, refined.edge, 0.0)
    median_edge = np.maximum(np.nanmedian(edge, axis=1), 1e-9)
    firm = np.asarray(np.nan_to_num(edge) > median_edge[:, None] / 3)
    outer = shares > 1.12
    columns = {
        "rim": rim,
        "rim_share": _mean(np.asarray(strongest > rim[:, None] / 3), has_rim, (1,)),
        "core": _mean(values[..., shares < 0.5], valid[..., shares < 0.5], (1, 2)),
        "fill": _mean(np.abs(inside), held * weight, (1, 2)),
        "texture": np.sqrt(rest),
        "symmetry": 1 - rest / np.maximum(total, 1e-12),
        "outside": _mean(values[..., outer], valid[..., outer], (1, 2)) * refined.polarity,
        "firm": _mean(firm, followed, (1,)),
    }
    rows = np.column_stack([np.asarray(column, np.float64) for column in columns.values()])
    found = []
    for outline, ferets, row in zip(outlines, ferets_px, rows, strict=True):
        longest, shortest = (float(value) for value in ferets)
        shape = {
            "length_px": longest,
            "aspect": shortest / max(longest, 1e-6),
            "jagged": _jagged(outline),
        }
        named = dict(zip(columns, row.tolist(), strict=True))
        found.append(Traits(**shape, **named))
    return found


def spreads(inside: Floats, held: NDArray[np.bool_], share: Floats) -> tuple[Floats, Floats]:
    """Return how much values (objects, directions, rings) vary, and what of it is left beside what
    the distance from the middle explains, both (objects,).

    ``share`` (rings,) is each ring's distance, and so its weight; what is not ``held`` is left out.
    """
    ring = _mean(inside, held, (1,))[:, None, :]
    middle = _mean(inside, held * share, (1, 2))[:, None, None]
    total = _mean((inside - middle) ** 2, held * share, (1, 2))
    return total, _mean((inside - ring) ** 2, held * share, (1, 2))


def _own(outlines: Floats, x: Floats, y: Floats, seen: Bytes) -> NDArray[np.bool_]:
    """Which places (objects, spokes, rings) are on the field and in no other outline."""
    height, width = seen.shape
    owner = np.zeros((height, width), np.uint16 if len(outlines) < 65_536 else np.int32)
    for number, outline in enumerate(outlines, 1):
        cv2.fillPoly(owner, [np.round(outline).astype(np.int32)], number)
    column, row = np.round(x).astype(np.intp), np.round(y).astype(np.intp)
    on = (column >= 0) & (column < width) & (row >= 0) & (row < height)
    place = np.clip(row, 0, height - 1) * width + np.clip(column, 0, width - 1)
    mine = np.arange(1, len(outlines) + 1)[:, None, None]
    there = owner.ravel()[place]
    return np.asarray(on & (seen.ravel()[place] > 0) & ((there == 0) | (there == mine)))


def _mean(
    values: NDArray[np.generic], weights: NDArray[np.generic], axes: tuple[int, ...]
) -> Floats:
    """The weighted mean over ``axes``; 0 where nothing has weight."""
    weight = np.broadcast_to(np.asarray(weights, np.float64), values.shape)
    total = weight.sum(axis=axes)
    summed = (np.asarray(values, np.float64) * weight).sum(axis=axes)
    return np.asarray(summed / np.maximum(total, 1e-12))


def _jagged(outline: Floats) -> float:
    points = outline.astype(np.float32)[:, None]
    around = max(float(cv2.arcLength(cv2.convexHull(points), True)), 1e-6)
    return float(cv2.arcLength(points, True)) / around - 1


def score(form: Shape | Form, seen: Traits, setting: Setting) -> float:
    """Say from 0 to 1 how sure it is that a body is what is looked for."""
    return float(expit(START - sum(penalties(form, seen, setting))))


def penalties(shape: Shape | Form, seen: Traits, setting: Setting) -> Iterator[float]:
    """Yield what speaks against a body, each at least 0."""
    rim = max(seen.rim, 1e-6)
    cut, parted, noise, sizes = setting.cut, setting.parted, setting.noise, setting.sizes
    if not (cut and seen.length_px < sizes.low_px):
        yield 6 * (1 - size_fit(seen.length_px, sizes))
    yield _over(8 * noise / rim, 1.0, 0.4)
    yield _over(0.955 - shape.solidity, 0.0, 0.018)
    yield _over(shape.notch, 0.15, 0.06) + _over(shape.second_notch, 0.10, 0.04)
    yield _over(seen.jagged, 0.03, 0.02)
    yield _over((0.3 if cut else 0.52) - seen.aspect, 0.0, 0.04)
    yield _over(seen.outside / rim, 0.2, 0.08)
    yield _over(0.97 - seen.rim_share, 0.0, 0.04)
    if not cut:  # the middle of what is left of a cut body is not the body's middle
        yield _over(seen.texture / rim, 0.33, 0.06)
        mottled = max(0.0, seen.texture / rim - 0.25) / 0.08
        rough = mottled + max(0.0, 0.96 - shape.solidity) / 0.02
        yield _over(rough, 2.2 if parted else 1.2, 0.4)
    firm = 0.8 if parted else 0.95  # blur in the corner where bodies meet is no edge
    yield min(3.0, _over(firm - seen.firm, 0.0, 0.1 if parted else 0.05))
    yield min(3.0, _over(0.82 - setting.explained, 0.0, 0.12))
    yield bubble(seen, cut)
    yield 0.0 if cut else rimless_slipper(seen)


def bubble(seen: Traits, cut: bool) -> float:
    """How much a body looks like a bubble: round, empty, the same in all directions."""
    rim = max(seen.rim, 1e-6)
    circle = 1.0 if cut else 1 - min(1.0, _over(0.95 - seen.aspect, 0.0, 0.05))
    empty = 1 - min(1.0, _over(abs(seen.core) / rim, 0.25, 0.2))
    alike = 1 - min(1.0, _over(0.97 - seen.symmetry, 0.0, 0.25 if cut else 0.07))
    return 8 * circle * empty * alike


def rimless_slipper(seen: Traits) -> float:
    """How much a body looks like a ciliate: long, of one tone throughout, without a rim.

    A larva on its side is as long, but has the rim of its shell.
    """
    long = _over(0.62 - seen.aspect, 0.0, 0.04)
    even = min(1.0, _over(seen.fill / max(seen.rim, 1e-6), 0.7, 0.12))
    no_rim = min(1.0, _over(0.48 - seen.symmetry, 0.0, 0.15))
    return 2 * long * even * no_rim


def _over(value: float, free: float, unit: float) -> float:
    """By how many units a value passes what is free."""
    return max(0.0, value - free) / unit
