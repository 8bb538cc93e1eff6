"""The counting frame after Gundersen (1977), J. Microsc. 111:219-223."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from counter.domain.edges import EdgeRule, Frame, is_counted, picture_frame
from counter.domain.mark import Point

WIDTH, HEIGHT = 100.0, 70.0


def ellipse(x: float, y: float, long: float, short: float, turn: float) -> list[Point]:
    """An ellipse with half axes ``long`` and ``short``, turned by ``turn`` radians."""
    points = []
    for step in range(24):
        a, b = long * math.cos(step * math.pi / 12), short * math.sin(step * math.pi / 12)
        points.append(
            (
                x + a * math.cos(turn) - b * math.sin(turn),
                y + a * math.sin(turn) + b * math.cos(turn),
            )
        )
    return points


@pytest.mark.parametrize("rule", list(EdgeRule))
@given(
    x=st.floats(0.0, WIDTH),
    y=st.floats(0.0, HEIGHT),
    long=st.floats(0.5, 30.0),
    share=st.floats(0.05, 1.0),
    turn=st.floats(0.0, math.pi),
)
def test_tiles_of_a_plane_count_every_object_exactly_once(
    rule: EdgeRule, x: float, y: float, long: float, share: float, turn: float
) -> None:
    """Frames that tile the plane sum to the true number, for any object smaller than a frame.

    An outline that meets a border in a single point (to within rounding) is left aside.
    """
    outline = ellipse(x, y, long, long * share, turn)
    for axis, size in ((0, WIDTH), (1, HEIGHT)):
        ends = [point[axis] for point in outline]
        assume(all(abs(end - size * round(end / size)) > 1e-6 for end in (min(ends), max(ends))))
    tiles = [
        Frame(i * WIDTH, j * HEIGHT, (i + 1) * WIDTH, (j + 1) * HEIGHT)
        for i in range(-2, 3)
        for j in range(-2, 3)
    ]
    assert sum(is_counted(outline, tile, rule) for tile in tiles) == 1


@pytest.mark.parametrize(
    ("rule", "expected"),
    [
        (EdgeRule.TOP_LEFT, {"top", "left"}),
        (EdgeRule.TOP_RIGHT, {"top", "right"}),
        (EdgeRule.BOTTOM_LEFT, {"bottom", "left"}),
        (EdgeRule.BOTTOM_RIGHT, {"bottom", "right"}),
    ],
)
def test_the_two_named_borders_count_and_the_others_do_not(
    rule: EdgeRule, expected: set[str]
) -> None:
    """An object on the middle of a border is counted on the two borders that the rule names."""
    middles = {"top": (50, 0), "bottom": (50, 70), "left": (0, 35), "right": (100, 35)}
    frame = Frame(0.0, 0.0, WIDTH, HEIGHT)
    counted = {
        side
        for side, (x, y) in middles.items()
        if is_counted(ellipse(x, y, 5, 4, 0.3), frame, rule)
    }
    assert counted == expected


def test_an_object_on_the_prolonged_line_is_left_out() -> None:
    """A long object beyond the corner that touches the forbidden line's prolongation is out."""
    frame = Frame(0.0, 0.0, WIDTH, HEIGHT)
    over_the_corner = [(90.0, 5.0), (90.0, -20.0), (110.0, -20.0)]
    assert not is_counted(over_the_corner, frame, EdgeRule.TOP_LEFT)


def test_an_object_outside_or_without_outline_is_not_counted() -> None:
    """What does not reach into the frame is not counted; nor is an empty outline."""
    frame = picture_frame(101, 71)
    assert not is_counted(ellipse(-40, 30, 5, 5, 0), frame, EdgeRule.TOP_LEFT)
    assert not is_counted([], frame, EdgeRule.TOP_LEFT)
    assert is_counted(ellipse(50, 30, 5, 5, 0), frame, EdgeRule.TOP_LEFT)
