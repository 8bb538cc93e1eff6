"""How outlines and lines lie to one another: on a body, or right through it."""

from __future__ import annotations

from counter.domain.mark import Mark, Point


def lies_on(one: Mark, other: Mark) -> bool:
    """Whether the boxes round the two outlines overlap."""
    for axis in (0, 1):
        ones = [point[axis] for point in one.outline_px]
        others = [point[axis] for point in other.outline_px]
        if max(ones) < min(others) or max(others) < min(ones):
            return False
    return True


def crosses(mark: Mark, a: Point, b: Point) -> bool:
    """Whether the stroke from ``a`` to ``b`` runs right across the mark's outline."""
    outline = mark.outline_px
    hits = 0
    for (px, py), (qx, qy) in zip(outline, (*outline[1:], outline[0]), strict=True):
        hits += _meet(a, b, (px, py), (qx, qy))
    return hits >= 2


def _meet(a: Point, b: Point, p: Point, q: Point) -> bool:
    """Whether the strokes a-b and p-q cross; q itself belongs to the next stroke."""

    def side(start: Point, end: Point, point: Point) -> float:
        return (end[0] - start[0]) * (point[1] - start[1]) - (end[1] - start[1]) * (
            point[0] - start[0]
        )

    across_p, across_q = side(a, b, p), side(a, b, q)
    if not (across_p > 0 >= across_q or across_q > 0 >= across_p):
        return False
    return side(p, q, a) * side(p, q, b) <= 0
