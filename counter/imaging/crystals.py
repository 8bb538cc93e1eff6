"""Crystals and grains of sand: clear bodies with straight sides, dark in a broad and even margin.

Light that meets a slanting face leaves the microscope sideways, so that such a grain is about
equally dark from its edge to where the faces end, and clear from there on. A shell's rim is a thin
dark line, and what is dark farther inside a larva is its body, darkest in the middle. Shells that
stand ajar out of focus, or on a coarse picture, have a margin as broad, but round; a D-hinge shell
has one straight side. What has four of them all round is a crystal with any margin.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from counter.imaging.kinds import LARVA
from counter.imaging.shape import off_ellipse
from counter.imaging.shelled import fill_share
from counter.imaging.weighed import Weighed

Floats = NDArray[np.float64]

BROAD, CLEAR, ALIKE = 0.5, 0.45, 0.5
"""The mean contrast inside is more than the first share of that at the rim, that in the middle less
than the second, and more than the third share of what is seen inside hangs on the distance from the
middle alone. Of 6,230 drawn bodies on fields 50 to 57 of each kind by two renderers one is so, of
1,730 coarse or blurred ones 245."""

SIDES = 3
"""So many straight sides have a crystal at least. None of the bodies above that have such a margin
has more than two."""

SIDE, STRAIGHT = 1 / 8, 0.012
"""A straight side is at least this share of the outline, and leaves its chord by less than this
share of the body's length."""

SURE_LARVA = 0.85
"""What the network sees more larva on is none: it takes crystals for empty shells or eggs. On a
coarse picture the bows of a slender larva on its side look straight."""

ALL_ROUND, OFF_ELLIPSE, CLEAR_INSIDE, SURER_LARVA = 4, 0.06, 0.7, 0.95
"""So many straight sides, straying more than this from an ellipse, and with less contrast inside
than the third share of that at the rim; and the network is less sure of a larva than the last. Of
14,000 larvae on drawn fields 50 to 57 and on pictures of a third renderer none is so."""

CRYSTAL_SHARE = 0.1
"""How much of its score a crystal keeps."""


def is_crystal(each: Weighed) -> bool:
    """Whether a candidate is a crystal, all of which is seen."""
    return not each.cut and (_has_broad_margin(each) or _is_box(each))


def _has_broad_margin(each: Weighed) -> bool:
    seen = each.traits
    rim = abs(seen.rim)
    return (
        float(each.classes[LARVA]) < SURE_LARVA
        and -CLEAR * rim < seen.core < 0
        and seen.fill > BROAD * rim
        and seen.symmetry > ALIKE
        and straight_sides(each.outline) >= SIDES
    )


def _is_box(each: Weighed) -> bool:
    return (
        float(each.classes[LARVA]) < SURER_LARVA
        and fill_share(each) < CLEAR_INSIDE
        and off_ellipse(each.outline) > OFF_ELLIPSE
        and straight_sides(each.outline) >= ALL_ROUND
    )


def straight_sides(outline: Floats) -> int:
    """Return how many straight sides an outline (n, 2) of evenly spaced points has.

    Each is as long as it stays straight, the longest first; they share no more than corners.
    """
    count = len(outline)
    least = max(2, round(SIDE * count))
    apart = outline[:, None] - outline[None]
    near = STRAIGHT * float(np.hypot(apart[..., 0], apart[..., 1]).max())
    runs = [(_run(np.roll(outline, -start, axis=0), least, near), start) for start in range(count)]
    free = np.ones(count, bool)
    sides = 0
    for length, start in sorted(runs, reverse=True):
        inner = (start + np.arange(1, length)) % count
        if length >= least and free[inner].all():
            free[inner] = False
            sides += 1
    return sides


def _run(points: Floats, least: int, near: float) -> int:
    """How many steps from the first of ``points`` (n, 2) the outline is straight; 0: too few."""
    length = least
    while length < len(points) // 2 and _leaves(points[: length + 1]) < near:
        length += 1
    return length - 1 if length > least else 0


def _leaves(points: Floats) -> float:
    """How far points (n, 2) lie at most from the line through the first and the last."""
    along = points[-1] - points[0]
    off = (points - points[0]) @ np.array([-along[1], along[0]])
    return float(np.abs(off).max() / max(float(np.hypot(*along)), 1e-9))
