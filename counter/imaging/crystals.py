"""Crystals and grains of sand: clear bodies with straight sides, dark in a broad and even margin.

Light that meets a slanting face leaves the microscope sideways, so that such a grain is about
equally dark from its edge to where the faces end, and clear from there on. A shell's rim is a thin
dark line, and what is dark farther inside a larva is its body, darkest in the middle. Shells that
stand ajar out of focus, or on a coarse picture, have a margin as broad, but round; a D-hinge shell
has one straight side.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from counter.imaging.kinds import LARVA
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

CRYSTAL_SHARE = 0.1
"""How much of its score a crystal keeps."""


def is_crystal(each: Weighed) -> bool:
    """Whether a candidate is a crystal, all of which is seen."""
    seen = each.traits
    rim = abs(seen.rim)
    return (
        not each.cut
        and float(each.classes[LARVA]) < SURE_LARVA
        and -CLEAR * rim < seen.core < 0
        and seen.fill > BROAD * rim
        and seen.symmetry > ALIKE
        and straight_sides(each.outline) >= SIDES
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
