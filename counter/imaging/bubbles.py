"""Air bubbles: they turn nearly all light away in a broad ring and let some through the middle.

Light that meets the side of an air bubble in water is reflected as a whole (the critical angle of
water to air is 49°), so that a thick bubble is black up to a bright middle and the same in all
directions. No larva or egg is black: even dark yolk and pigment let a quarter of the light through.
Bubbles that are flat under a cover slip have a thin dark rim only and are not told by this.
"""

from __future__ import annotations

from counter.imaging.weighed import Weighed

BLACK, BRIGHTER = 0.7, 0.7
"""Mean contrast inside from which a body is black, and the share of the rim's contrast that the
middle stays under. On drawn fields 58 to 61 of each kind no body is as black and as even."""

ROUND, EVEN = 0.93, 0.95
"""How wide a bubble is for its length, and how much of what is seen inside is the same in all
directions, both at least."""

BUBBLE_SHARE = 0.1
"""How much of its score a bubble keeps."""


def is_bubble(each: Weighed) -> bool:
    """Whether a candidate is a thick bubble, all of which is seen."""
    seen = each.traits
    return (
        not each.cut
        and seen.fill > BLACK
        and seen.core < 0
        and abs(seen.core) < BRIGHTER * abs(seen.rim)
        and seen.symmetry > EVEN
        and seen.aspect > ROUND
    )
