"""Each body belongs to one square of the rulings, however the rulings are turned."""

from __future__ import annotations

import math
from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.domain.edges import EdgeRule
from counter.domain.mark import Point
from counter.domain.ruled import RuledGrid, square_words

PLAIN = RuledGrid(700, 500, 0.0, 200.0, 0.1, 6, upright_px=150.0, level_px=100.0)
TURNED = replace(PLAIN, angle_deg=23.0)
STRIPS = replace(PLAIN, level_px=None)


def body(x: float, y: float, radius: float = 8.0) -> tuple[Point, ...]:
    """A round body."""
    turns = [2 * math.pi * step / 24 for step in range(24)]
    return tuple((x + radius * math.cos(t), y + radius * math.sin(t)) for t in turns)


@pytest.mark.parametrize(
    ("x", "y", "square"),
    [
        (100, 50, (1, 1)),
        (250, 50, (1, 2)),
        (250, 200, (2, 2)),
        (450, 400, (3, 3)),
        (690, 480, (3, 4)),
    ],
)
def test_squares_are_numbered_from_the_top_left_of_the_picture(
    x: float, y: float, square: tuple[int, int]
) -> None:
    """Row first, from 1; the first row and column may be seen in part only."""
    assert PLAIN.square_of(body(x, y), EdgeRule.TOP_LEFT) == square


@pytest.mark.parametrize(
    ("rule", "on_upright", "on_level", "on_both"),
    [
        (EdgeRule.TOP_LEFT, (2, 3), (3, 2), (3, 3)),
        (EdgeRule.TOP_RIGHT, (2, 2), (3, 2), (3, 2)),
        (EdgeRule.BOTTOM_LEFT, (2, 3), (2, 2), (2, 3)),
        (EdgeRule.BOTTOM_RIGHT, (2, 2), (2, 2), (2, 2)),
    ],
)
def test_a_body_on_a_line_belongs_to_one_square_by_the_edge_rule(
    rule: EdgeRule,
    on_upright: tuple[int, int],
    on_level: tuple[int, int],
    on_both: tuple[int, int],
) -> None:
    """With top and left counting: the square below, the one to the right."""
    assert PLAIN.square_of(body(351, 200), rule) == on_upright
    assert PLAIN.square_of(body(250, 301), rule) == on_level
    assert PLAIN.square_of(body(352, 303), rule) == on_both


@given(
    x=st.floats(20, 680),
    y=st.floats(20, 480),
    angle=st.floats(-45, 45),
    radius=st.floats(1, 130),
    rule=st.sampled_from(EdgeRule),
)
def test_the_square_of_a_body_is_one_that_it_reaches(
    x: float, y: float, angle: float, radius: float, rule: EdgeRule
) -> None:
    """A body lies within its own length of the middle of its square."""
    grid = replace(PLAIN, angle_deg=angle)
    square = grid.square_of(body(x, y, radius), rule)
    assert square is not None
    middle = grid.middle_of(square)
    assert math.dist(middle, (x, y)) <= radius + grid.period_px / math.sqrt(2) + 1e-6


def test_bodies_that_fill_a_plane_fall_evenly_into_the_squares() -> None:
    """On a lattice of bodies larger than its step every whole square gets its share, no more."""
    step, grid = 10.0, TURNED
    counts: Counter[tuple[int, int] | None] = Counter()
    for column in range(-20, 90):
        for row in range(-20, 70):
            outline = body(column * step + 0.3, row * step + 0.7, 17.0)
            counts[grid.square_of(outline, EdgeRule.TOP_LEFT)] += 1
    share = (grid.period_px / step) ** 2
    whole = list(grid.whole_squares())
    assert whole
    for square in whole:
        assert counts[square] == pytest.approx(share, rel=0.03)


def test_whole_squares_are_those_with_all_corners_on_the_picture() -> None:
    """The third row ends on the last line of pixels; turned, those that still fit."""
    assert list(PLAIN.whole_squares()) == [(2, 2), (2, 3)]
    for square in TURNED.whole_squares():
        for x, y in TURNED.corners_of(square):
            assert -0.5 <= x <= 699.5
            assert -0.5 <= y <= 499.5


def test_lines_one_way_make_no_squares() -> None:
    """Strips are no squares; nor is there one for an outline without points."""
    assert not STRIPS.has_squares
    assert STRIPS.square_of(body(100, 50), EdgeRule.TOP_LEFT) is None
    assert list(STRIPS.whole_squares()) == []
    assert PLAIN.square_of((), EdgeRule.TOP_LEFT) is None


def test_the_scale_follows_from_the_period() -> None:
    """1000 µm over 200 pixels."""
    assert PLAIN.um_per_px(1000.0) == 5.0
    assert square_words((2, 3)) == "2·3"
    assert square_words(None) == ""


@given(
    x=st.floats(20, 680),
    y=st.floats(20, 480),
    angle=st.floats(-45, 45),
    right=st.integers(0, 300),
    down=st.integers(0, 300),
)
def test_rulings_of_a_part_of_a_picture_lie_where_they_are_seen(
    x: float, y: float, angle: float, right: int, down: int
) -> None:
    """A place is as far from the lines on the whole picture as on the part that it is on."""
    part = replace(PLAIN, angle_deg=angle)
    whole = part.moved(right, down, 700 + right, 500 + down)
    for here, there in zip(part._along((x, y)), whole._along((x + right, y + down)), strict=True):
        assert there == pytest.approx(here, abs=1e-9)
    assert (whole.width_px, whole.height_px) == (700 + right, 500 + down)
    assert replace(STRIPS, angle_deg=angle).moved(right, down, 900, 900).level_px is None
