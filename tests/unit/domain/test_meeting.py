"""Strokes and outlines: right through a body, only into it, on it, beside it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from counter.domain.mark import Mark, Point
from counter.domain.meeting import crosses, lies_on
from tests.hatchery import mark


def square(left_px: float, top_px: float, side_px: float = 10.0) -> Mark:
    """A mark with a square outline."""
    right_px, bottom_px = left_px + side_px, top_px + side_px
    corners = ((left_px, top_px), (right_px, top_px), (right_px, bottom_px), (left_px, bottom_px))
    return replace(mark(1), outline_px=corners)


@pytest.mark.parametrize(
    ("a", "b", "is_through"),
    [
        ((-5.0, 4.0), (15.0, 6.0), True),
        ((4.0, 15.0), (6.0, -5.0), True),
        ((-5.0, 4.0), (5.0, 6.0), False),
        ((3.0, 3.0), (7.0, 7.0), False),
        ((-5.0, 14.0), (15.0, 16.0), False),
        ((-5.0, -5.0), (15.0, 15.0), True),
    ],
)
def test_a_cut_goes_right_through(a: Point, b: Point, is_through: bool) -> None:
    """In at one side and out at another, also through corners; either way round."""
    assert crosses(square(0, 0), a, b) is is_through
    assert crosses(square(0, 0), b, a) is is_through


@pytest.mark.parametrize(("left_px", "is_on"), [(5.0, True), (10.0, True), (10.5, False)])
def test_a_drawn_outline_lies_on_a_body_where_their_boxes_overlap(
    left_px: float, is_on: bool
) -> None:
    """Whichever of both is asked."""
    assert lies_on(square(0, 0), square(left_px, 3)) is is_on
    assert lies_on(square(left_px, 3), square(0, 0)) is is_on
