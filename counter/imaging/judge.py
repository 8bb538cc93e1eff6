"""How sure it is that an outlined body is a larva or egg: named features, one open formula."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from counter.imaging.light import Flat
from counter.imaging.rays import sample

Floats = NDArray[np.float64]

RINGS = 20
OUTERMOST = 1.25


@dataclass(frozen=True, slots=True)
class Look:
    """What bodies look like inside their outlines; one value for each body.

    Contrasts are those of :class:`~counter.imaging.light.Flat`. ``rim`` is the mean over the
    directions of the strongest contrast near the outline, ``rim_share`` the share of directions
    that have at least a third of it, ``core`` the mean contrast of the inner half, ``texture`` the
    spread inside that is not explained by the distance from the centre, ``symmetry`` the share of
    the spread inside that is, ``outside`` the mean contrast just outside.
    """

    rim: Floats
    rim_share: Floats
    core: Floats
    texture: Floats
    symmetry: Floats
    outside: Floats


def look(outlines: Floats, centres: Floats, flat: Flat) -> Look:
    """Look into outlines (objects, points, 2) given in working pixels."""
    shares = np.linspace(0.05, OUTERMOST, RINGS)
    spokes = outlines[:, ::2] - centres[:, None, :]
    places = centres[:, None, None, :] + spokes[:, :, None, :] * shares[None, None, :, None]
    seen = sample(flat.contrast, places[..., 0], places[..., 1]).astype(np.float64)
    near = seen[..., (shares > 0.72) & (shares < 1.06)]
    strongest = np.abs(near).max(axis=2)
    rim = strongest.mean(axis=1)
    inside = seen[..., shares < 0.92]
    weight = shares[shares < 0.92]
    ring = inside.mean(axis=1, keepdims=True)
    total = ((inside - ring.mean(axis=2, keepdims=True)) ** 2 * weight).sum(axis=(1, 2))
    rest = ((inside - ring) ** 2 * weight).sum(axis=(1, 2))
    return Look(
        rim=rim,
        rim_share=(strongest > rim[:, None] / 3).mean(axis=1),
        core=seen[..., shares < 0.5].mean(axis=(1, 2)),
        texture=np.sqrt(rest / (weight.sum() * inside.shape[1])),
        symmetry=1 - rest / np.maximum(total, 1e-12),
        outside=seen[..., shares > 1.12].mean(axis=(1, 2)),
    )
