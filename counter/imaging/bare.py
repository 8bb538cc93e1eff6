"""Bodies without a shell among larvae that have one: ciliates, diatoms, eggs and the like.

A shell's rim is the darkest (in a dark field the brightest) part of a larva, and it is about as
strong on a small larva as on a large one beside it. Common practice, no source: so does a
technician tell ciliates, by their bare outline. Four ways of having none:

- much shorter than the larvae of the picture, oblong, with a clearly weaker rim than theirs, and
  the network is not sure of a shell either;
- of whatever size and shape, with less than half their rim, and yet as sharp: ciliates, diatoms,
  shadows of dust;
- as small as an egg, and full of yolk (:mod:`~counter.imaging.yolk`): eggs;
- darker than the water, with a rim that is both weaker and much thinner than theirs, as where the
  body's own substance ends in a bare edge: ciliates again, of any size.

The limits were set on drawn fields of each kind by two renderers. The first refuses 22 of 50 wrong
marks and none of 5,765 right ones on fields 50 to 55; all refuse none of 3,320 right ones on fields
58 to 61.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from counter.imaging.kinds import EMPTY
from counter.imaging.shelled import (
    FEWEST_SHELLED,
    OBLONG,
    PERHAPS_EMPTY,
    Shelled,
    is_shelled,
    shell,
    usual_of,
)
from counter.imaging.weighed import Weighed
from counter.imaging.yolk import is_small_egg

LEAST_SHELLED = 3
"""Fewer larvae that surely have a shell tell nothing about how strong a shell's rim is here."""

PERHAPS_SHELL = 0.85
"""What the network sees more shell on than this is no bare body, such as a larva on its side."""

WEAK_RIM = 0.72
"""A rim below this share of the shelled bodies' median rim is no shell's."""

SHORT = 0.65
"""Only what is shorter than this share of the shelled bodies' median length is looked at."""

NAKED = 0.3
"""What the network sees less shell on has none: of some 1,900 drawn larvae with a shell and up to
85 µm long, by two renderers, one is below."""

NO_RIM, NO_RIM_CUT = 0.5, 0.47
"""A rim below this share of the shelled bodies' median rim is none, however long the body; of one
that the border cuts less of it is seen. The weakest rim of 634 drawn larvae that a border cuts had
0.52."""

AS_SHARP = 1.6
"""Up to this many times as wide as the shelled bodies' median edge, an edge is as sharp as they."""

THIN_RIM, THIN_EDGE = 0.85, 0.6
"""Among shelled bodies, a body whose rim is below the first share of theirs and whose edge is
narrower than the second is bare. On drawn fields 50 to 57 of each kind by two
renderers that refuses 12 wrong marks and none of 2,614 larvae; on fields and pictures of four, of
those that a border cuts, 9 of 63 and none of 2,208."""

BARE_SHARE = 0.1
"""How much of its score such a body keeps."""


def are_bare(
    weighed: Sequence[Weighed], are_blurred: Sequence[bool], egg_um: float
) -> NDArray[np.bool_]:
    """Which of a picture's candidates are bodies without a shell among shelled ones.

    ``are_blurred`` says which are out of focus: their rims are weak for another reason, and so
    nothing is said of them; of what the border cuts only what its rim and its edge say. ``egg_um``
    is the length of the species' longest egg. Where fewer than ``FEWEST_SHELLED`` bodies surely
    have a shell, none is bare, and where fewer than :data:`LEAST_SHELLED` do, only what has a thin
    edge.
    """
    none = np.zeros(len(weighed), bool)
    shelled = [each for each in weighed if is_shelled(each)]
    if len(shelled) < FEWEST_SHELLED:
        return none
    several = len(shelled) >= LEAST_SHELLED
    usual = usual_of(shelled)
    return none | [
        not blurred
        and (
            _is_thin(each, usual)
            or (several and _is_rimless(each, usual))
            or (several and not each.cut and _is_weak(each, usual))
            or (several and not each.cut and is_small_egg(each, usual, egg_um))
        )
        for each, blurred in zip(weighed, are_blurred, strict=True)
    ]


def _is_thin(each: Weighed, usual: Shelled) -> bool:
    """Dark, with a weak rim and a bare edge, and the network sees no empty shell."""
    return (
        each.traits.core < 0
        and float(each.classes[EMPTY]) < PERHAPS_EMPTY
        and abs(each.traits.rim) < THIN_RIM * usual.rim
        and each.edge_px < THIN_EDGE * usual.edge_px
    )


def _is_weak(each: Weighed, usual: Shelled) -> bool:
    """Short, oblong, with a weak rim, and the network is not sure of a shell."""
    return (
        shell(each) < PERHAPS_SHELL
        and abs(each.traits.rim) < WEAK_RIM * usual.rim
        and each.measures.length_um < SHORT * usual.length_um
        and each.measures.width_um < OBLONG * each.measures.length_um
    )


def _is_rimless(each: Weighed, usual: Shelled) -> bool:
    """Sharp, with hardly a rim, and the network sees no empty shell."""
    return (
        abs(each.traits.rim) < (NO_RIM_CUT if each.cut else NO_RIM) * usual.rim
        and each.edge_px < AS_SHARP * usual.edge_px
        and float(each.classes[EMPTY]) < PERHAPS_EMPTY
    )


def is_naked(each: Weighed) -> bool:
    """Whether the network sees no shell on a candidate, so that it is one before the shell."""
    return shell(each) < NAKED
