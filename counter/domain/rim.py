"""The rim of a round field of view, as through the eyepiece, and which bodies on it are counted.

A frame's rule of two borders says nothing of a circle. Counting all that a rim of radius R touches
finds, for round bodies of radius r, those with a middle within R + r: too many by 2r/R; counting
what lies wholly inside finds those within R - r: too few by as much. (The area of a convex field
grown by a body is A + U·r + π r², U being its circumference: Steiner's formula.) The mean of both
is right but for r²/R², which is why counting the bodies on one half of the rim nearly does.

What is exact is to count each body by one point of it: that end which lies furthest in one fixed
direction, which for top and left counting is the lower right (the associated point rule; Miles RE
(1978), The sampling, by quadrats, of planar aggregates, J. Microsc. 113:257-267, from memory). Each
body has one such end, and the ends lie as densely on the field as the bodies do, whatever the form
of the field. And it can be told from the part that is seen: where the furthest end of that part is
not on the rim, it is, for a convex body, the end of the whole body; where it lies on the rim, the
body's own end is outside. So the upper left half of the rim counts, the lower right one does not.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from counter.domain.edges import EdgeRule, Frame
from counter.domain.mark import Point


@dataclass(frozen=True, slots=True)
class Rim:
    """The circle inside which a picture shows the field: middle and radius in pixels.

    ``soft_px`` is how near the rim, or the picture's border, an outline must come to be cut by it.
    """

    x_px: float
    y_px: float
    radius_px: float
    soft_px: float

    def moved(self, right_px: float, down_px: float) -> Rim:
        """Return the circle on a picture of which this one is a part, so far right and down."""
        return replace(self, x_px=self.x_px + right_px, y_px=self.y_px + down_px)

    def enlarged(self, factor: int) -> Rim:
        """Return the circle on the picture of which this one was reduced by a whole ``factor``."""
        off = (factor - 1) / 2
        x_px, y_px = self.x_px * factor + off, self.y_px * factor + off
        return Rim(x_px, y_px, self.radius_px * factor, self.soft_px * factor)

    def cuts(self, outline: Sequence[Point]) -> bool:
        """Whether the rim cuts the body with this outline (at least one point)."""
        return any(self._is_on(point) for point in outline)

    def is_counted(self, outline: Sequence[Point], frame: Frame, rule: EdgeRule) -> bool:
        """Whether a body is counted; ``outline`` is what is seen of it, ``frame`` the picture's.

        It is when its furthest end away from the borders that count lies in the field: not on the
        rim, nor on one of the picture's borders. An empty outline is not counted.
        """
        if not outline:
            return False
        over, down = towards(rule)
        end = max(outline, key=lambda point: over * point[0] + down * point[1])
        x, y = end
        soft = self.soft_px
        inside = frame.left + soft < x < frame.right - soft
        inside = inside and frame.top + soft < y < frame.bottom - soft
        return inside and not self._is_on(end)

    def contains(self, point: Point) -> bool:
        """Whether a place shows the field."""
        return math.dist(point, (self.x_px, self.y_px)) < self.radius_px

    def _is_on(self, point: Point) -> bool:
        return math.dist(point, (self.x_px, self.y_px)) > self.radius_px - self.soft_px


def towards(rule: EdgeRule) -> tuple[float, float]:
    """Return the direction (x, y), y down, of the end that stands for a body on the rim.

    It points away from the two borders that count.
    """
    over = -1.0 if rule.value.endswith("right") else 1.0
    down = -1.0 if rule.value.startswith("bottom") else 1.0
    return over, down


def rim_words(rule: EdgeRule) -> str:
    """Return which bodies on the rim of a round view are counted, in a sentence."""
    down = "upper" if rule.value.startswith("bottom") else "lower"
    over = "left" if rule.value.endswith("right") else "right"
    return (
        f"Round field of view: of the bodies that its rim cuts, those are counted whose {down} "
        f"{over} end can be seen; their sizes are not used."
    )
