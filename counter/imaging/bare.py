"""Bodies without a shell among larvae that have one: ciliates and the like.

A shell's rim is the darkest (in a dark field the brightest) part of a larva, and it is about as
strong on a small larva as on a large one beside it. What is much shorter than the larvae of its
picture, oblong, sharp, with a clearly weaker rim than theirs, and of whose shell the network is not
sure either, is none of them. Common practice, no source: so does a technician tell ciliates, by
their bare outline. The limits were set on drawn fields 50 to 55 of each kind by two renderers:
there they refuse 22 of 50 wrong marks and none of 5,765 right ones.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from counter.imaging.kinds import EMPTY, LARVA
from counter.imaging.weighed import Weighed

LEAST_SHELLED = 3
"""Fewer larvae that surely have a shell tell nothing about how strong a shell's rim is here."""

SURE_SHELL, SURE_DEPTH = 0.75, 0.8
"""From which share of the shelled classes, and from which depth, a body surely has a shell."""

PERHAPS_SHELL = 0.85
"""What the network sees more shell on than this is no bare body, such as a larva on its side."""

WEAK_RIM = 0.72
"""A rim below this share of the shelled bodies' median rim is no shell's."""

SHORT = 0.65
"""Only what is shorter than this share of the shelled bodies' median length is looked at."""

OBLONG = 0.85
"""Only what is narrower than this share of its length is looked at: trochophores are rounder."""


BARE_SHARE = 0.1
"""How much of its score such a body keeps."""


def are_bare(weighed: Sequence[Weighed], are_blurred: Sequence[bool]) -> NDArray[np.bool_]:
    """Which of a picture's candidates are bodies without a shell among shelled ones.

    ``are_blurred`` says which are out of focus: their rims are weak for another reason, and so
    nothing is said of them, nor of what the border cuts. Where fewer than :data:`LEAST_SHELLED`
    bodies surely have a shell, none is bare.
    """
    none = np.zeros(len(weighed), bool)
    shelled = [each for each in weighed if _is_shelled(each)]
    if len(shelled) < LEAST_SHELLED:
        return none
    rim = float(np.median([abs(each.traits.rim) for each in shelled]))
    length_um = float(np.median([each.measures.length_um for each in shelled]))
    return none | [
        not (each.cut or blurred)
        and _shell(each) < PERHAPS_SHELL
        and abs(each.traits.rim) < WEAK_RIM * rim
        and each.measures.length_um < SHORT * length_um
        and each.measures.width_um < OBLONG * each.measures.length_um
        for each, blurred in zip(weighed, are_blurred, strict=True)
    ]


def _shell(each: Weighed) -> float:
    """How far a candidate has a shell by the network's classes, 0 to 1."""
    return float(each.classes[LARVA] + each.classes[EMPTY])


def _is_shelled(each: Weighed) -> bool:
    """Whether a candidate surely has a shell, all of which is seen."""
    return _shell(each) > SURE_SHELL and each.depth > SURE_DEPTH and not each.cut
