"""Ciliates, told by themselves whatever lies beside them: oblong, grainy, without a shell.

Common practice, no source: so does a technician tell them on a slide where nothing else lies. Two
looks:

- with a sharp edge, where their own even and formless substance ends;
- an ellipse with a faint edge that is paler still inside, mottled with food, in no order from the
  middle outwards. A larva on its side is thickest, and so darkest, in the middle, or smooth; an
  empty shell is clear; a D-shaped larva has corners, and rounder larvae are wider.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from counter.imaging.kinds import EMPTY, LARVA
from counter.imaging.shape import off_ellipse
from counter.imaging.shelled import (
    FEWEST_SHELLED,
    OBLONG,
    PERHAPS_EMPTY,
    fill_share,
    is_shelled,
    usual_of,
)
from counter.imaging.weighed import Weighed

SOFT_EDGE_PX, FORMLESS, EVEN, GRAINY, UNLIKE, LEAST_PX = 1.5, 0.12, 0.56, 0.15, 1.2, 24.0
"""A soft body's edge is narrower than the first, in pixels of the picture; less than the second
share of what is seen inside follows the distance from its middle; its contrast inside is more than
the third share of that at its rim, and its grain more than the fourth; the logit of the closer look
is below the fifth; and it is so many pixels of the working copy long, since a shell's rim is narrow
too on a coarse picture. On drawn fields 50 to 57 of each kind by two renderers none of 3,400 bodies
is so; on 50 to 81 of dirt alone, 11 of 15 ciliates are."""

NARROW, PALE, ORDER, LIKE = 0.7, 0.83, 0.3, 2.0
"""A mottled ellipse is narrower than the first share of its length; the contrast of its middle is
less than the second share of that at its rim, and less than the third share of what is seen inside
follows the distance from the middle; the logit of the closer look is below the last."""

THIN, FULL, STRAY, SURE_LARVA = 0.45, 0.35, 0.045, 0.983
"""The contrast at its rim is less than the first, and that inside more than the second share of it;
its outline strays less than the third from an ellipse (:func:`off_ellipse`); and the network is not
so sure of a larva, nor does it see an empty shell on it. Of 14,534 drawn larvae by four
renderers one is so, and 43 of 344 wrong marks."""


def are_ciliates(weighed: Sequence[Weighed], are_blurred: Sequence[bool]) -> NDArray[np.bool_]:
    """Which candidates are ciliates; of what ``are_blurred`` says is out of focus, only those with
    a sharp edge.

    A mottled ellipse with a rim as strong as those of the shelled bodies beside it is a larva on
    its side.
    """
    soft = np.array([is_soft_bodied(each) for each in weighed], bool)
    mottled = np.array([is_mottled_ellipse(each) for each in weighed], bool)
    others = [each for each, odd in zip(weighed, soft | mottled, strict=True) if not odd]
    shelled = [each for each in others if is_shelled(each)]
    if len(shelled) >= FEWEST_SHELLED:
        rims = np.array([abs(each.traits.rim) for each in weighed])
        mottled &= rims < usual_of(shelled).rim
    return np.asarray(soft | (mottled & ~np.array(are_blurred, bool)))


def is_soft_bodied(each: Weighed) -> bool:
    """Whether a candidate is dark and oblong, with a sharp edge where its own grainy and formless
    substance ends, and the closer look is not convinced."""
    seen = each.traits
    return (
        not each.cut
        and each.closer is not None
        and each.closer < UNLIKE
        and each.edge_px < SOFT_EDGE_PX
        and seen.length_px > LEAST_PX
        and seen.core < 0
        and seen.symmetry < FORMLESS
        and fill_share(each) > EVEN
        and seen.texture > GRAINY * abs(seen.rim)
        and each.measures.width_um < OBLONG * each.measures.length_um
    )


def is_mottled_ellipse(each: Weighed) -> bool:
    """Whether a candidate is dark, elliptic, paler inside than at its edge and mottled, and neither
    the network nor the closer look is sure of it.

    Nothing is to be asked of what is out of focus.
    """
    seen = each.traits
    return (
        not each.cut
        and each.closer is not None
        and each.closer < LIKE
        and float(each.classes[LARVA]) < SURE_LARVA
        and float(each.classes[EMPTY]) < PERHAPS_EMPTY
        and seen.core < 0
        and abs(seen.rim) < THIN
        and abs(seen.core) < PALE * abs(seen.rim)
        and seen.symmetry < ORDER
        and fill_share(each) > FULL
        and seen.texture > GRAINY * abs(seen.rim)
        and each.measures.width_um < NARROW * each.measures.length_um
        and off_ellipse(each.outline) < STRAY
    )
