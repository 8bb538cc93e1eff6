"""Air bubbles: they turn nearly all light away in a broad ring and let some through the middle.

Light that meets the side of an air bubble in water is reflected as a whole (the critical angle of
water to air is 49°), so that a thick bubble is black up to a bright middle and the same in all
directions. No larva or egg is black: even dark yolk and pigment let a quarter of the light through.
Smaller ones have a narrow dark ring round a middle that is as bright as the water or brighter, all
of it the same in all directions, which no larva is. Bubbles that are flat under a cover slip have a
thin dark rim only; so have round diatoms and the membranes that eggs left. They are rounder than
any shell, and hardly hold anything.
"""

from __future__ import annotations

from counter.imaging.judge import Traits
from counter.imaging.shape import off_ellipse
from counter.imaging.shelled import fill_share
from counter.imaging.weighed import Weighed

BLACK, BRIGHTER = 0.7, 0.7
"""Mean contrast inside from which a body is black, and the share of the rim's contrast that the
middle stays under. On drawn fields 58 to 61 of each kind no body is as black and as even."""

ROUND, EVEN = 0.93, 0.95
"""How wide a bubble is for its length, and how much of what is seen inside is the same in all
directions, both at least."""

CLEAR, CLEAR_ROUND = 0.3, 0.95
"""A clear middle is brighter than the water by less than this share of the contrast at the rim, in
a ring this round at least. On drawn fields 50 to 57 of each kind by two renderers no body is so."""

RING_ROUND, RING_OFF, RING_FILL = 0.965, 0.01, 0.45
"""A thin ring is at least so wide for its length, strays less than this from an ellipse, and has
less contrast inside than the third share of that at its rim. Of 17,000 larvae and eggs on drawn
fields 50 to 57 of each kind by two renderers, and on pictures of a third, none is so, and nine of
65 wrong marks on those pictures."""

BUBBLE_SHARE = 0.1
"""How much of its score a bubble keeps."""


def is_bubble(each: Weighed) -> bool:
    """Whether a candidate is a thick bubble or a clear one, all of which is seen."""
    return not each.cut and (_is_black(each.traits) or _is_clear(each.traits))


def is_ring(each: Weighed) -> bool:
    """Whether a candidate, all of which is seen, is a thin ring round nearly nothing.

    An egg may be as clear: to be asked where larvae are looked for.
    """
    return (
        not each.cut
        and each.traits.aspect > RING_ROUND
        and fill_share(each) < RING_FILL
        and off_ellipse(each.outline) < RING_OFF
    )


def _is_black(seen: Traits) -> bool:
    return (
        seen.fill > BLACK
        and seen.core < 0
        and abs(seen.core) < BRIGHTER * abs(seen.rim)
        and seen.symmetry > EVEN
        and seen.aspect > ROUND
    )


def _is_clear(seen: Traits) -> bool:
    return (
        0 < seen.core < CLEAR * abs(seen.rim) and seen.symmetry > EVEN and seen.aspect > CLEAR_ROUND
    )
