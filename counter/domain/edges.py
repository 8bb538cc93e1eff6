"""Which objects on the border of a frame are counted: Gundersen's unbiased frame.

Gundersen HJG (1977), Notes on the estimation of the numerical density of arbitrary profiles: the
edge effect. J. Microsc. 111:219-223. Two adjacent borders count; the other two, and the lines
that prolong them past the corners, are forbidden: an object that touches them is left out. Frames
that tile a plane then count every object once. Published practice differs on which two borders
count, so it is a setting, printed on every result.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from itertools import pairwise

from counter.domain.mark import Point


class EdgeRule(StrEnum):
    """The two adjacent borders whose crossing objects are counted."""

    TOP_LEFT = "top-left"
    TOP_RIGHT = "top-right"
    BOTTOM_LEFT = "bottom-left"
    BOTTOM_RIGHT = "bottom-right"


@dataclass(frozen=True, slots=True)
class Frame:
    """A counting frame: borders in pixel coordinates (y down); ``left < right, top < bottom``."""

    left: float
    top: float
    right: float
    bottom: float

    def contains(self, point: Point) -> bool:
        """Whether a place lies in the frame or on its border."""
        return self.left <= point[0] <= self.right and self.top <= point[1] <= self.bottom

    def holds(self, point: Point) -> bool:
        """Whether a place lies in the frame and not on its border."""
        return self.left < point[0] < self.right and self.top < point[1] < self.bottom

    @property
    def width(self) -> float:
        """From the left to the right border."""
        return self.right - self.left

    @property
    def height(self) -> float:
        """From the top to the bottom border."""
        return self.bottom - self.top


@lru_cache(maxsize=64)
def picture_frame(width_px: int, height_px: int) -> Frame:
    """Return the frame that is the border of a picture: half a pixel outside its outer centres."""
    return Frame(-0.5, -0.5, width_px - 0.5, height_px - 0.5)


def is_counted(outline: Sequence[Point], frame: Frame, rule: EdgeRule) -> bool:
    """Say whether the object with this closed outline is counted in ``frame``.

    ``outline`` holds (x, y) points, the last joined to the first. An object is counted when it
    reaches into the frame and touches no forbidden line. An empty outline is not counted.
    """
    turned = _to_top_left(outline, frame, rule)
    width, height = frame.width, frame.height
    if not turned or not _reaches(turned, width, height):
        return False
    if all(x < width and y < height for x, y in turned):
        return True  # it does not come near a forbidden line: most objects, quickly
    return not any(_is_forbidden(a, b, width, height) for a, b in _sides(turned))


def _to_top_left(outline: Sequence[Point], frame: Frame, rule: EdgeRule) -> list[Point]:
    """Mirror ``outline`` so that top and left count and the frame's corner is (0, 0)."""
    x0, x_sign = (frame.right, -1.0) if rule.value.endswith("right") else (frame.left, 1.0)
    y0, y_sign = (frame.bottom, -1.0) if rule.value.startswith("bottom") else (frame.top, 1.0)
    return [(x_sign * (x - x0), y_sign * (y - y0)) for x, y in outline]


def _sides(outline: Sequence[Point]) -> Iterator[tuple[Point, Point]]:
    yield from pairwise(outline)
    yield outline[-1], outline[0]


def _is_forbidden(a: Point, b: Point, width: float, height: float) -> bool:
    """Whether side a-b touches the forbidden line of a top-left frame.

    The line comes down from infinity along x = width, follows the bottom y = height to x = 0 and
    goes down to infinity along x = 0.
    """
    for end in _crossings(a, b, 0, width):
        if end <= height:
            return True
    for end in _crossings(a, b, 0, 0.0):
        if end >= height:
            return True
    return any(0.0 <= end <= width for end in _crossings(a, b, 1, height))


def _crossings(a: Point, b: Point, axis: int, at: float) -> tuple[float, ...]:
    """Where side a-b meets the line ``axis = at``: values of the other coordinate."""
    other = 1 - axis
    low, high = sorted((a[axis], b[axis]))
    if not low <= at <= high:
        return ()
    if low == high:
        return a[other], b[other]
    share = (at - a[axis]) / (b[axis] - a[axis])
    return (a[other] + share * (b[other] - a[other]),)


def _reaches(outline: Sequence[Point], width: float, height: float) -> bool:
    """Whether the outline's area meets the inside of the frame."""
    if any(0.0 <= x < width and 0.0 <= y < height for x, y in outline):
        return True
    edges = ((0, 0.0, height), (0, width, height), (1, 0.0, width), (1, height, width))
    for a, b in _sides(outline):
        for axis, at, most in edges:
            if any(0.0 <= end <= most for end in _crossings(a, b, axis, at)):
                return True
    return _contains(outline, (width / 2, height / 2))


def _contains(outline: Sequence[Point], point: Point) -> bool:
    """Whether ``point`` lies inside the outline, by the even-odd rule."""
    inside = False
    for (ax, ay), (bx, by) in _sides(outline):
        if (ay > point[1]) != (by > point[1]):
            inside ^= point[0] < ax + (point[1] - ay) / (by - ay) * (bx - ax)
    return inside
