"""On the rim of a round view each body is counted as often as its place on the slide says."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from counter.domain.edges import EdgeRule, Frame, picture_frame
from counter.domain.rim import Rim

Floats = NDArray[np.float64]

RADIUS = 100.0
SOFT = 1.5
"""More than the steps in which the rim is drawn here; an end so near the rim is on it."""

WIDE = Rim(140.0, 135.0, RADIUS, SOFT)
FRAME = picture_frame(280, 270)
FLAT = picture_frame(280, 200)
"""A picture that cuts the circle at its foot."""


def ellipse(long: float, short: float, turn: float) -> Floats:
    """Return the outline of a body about (0, 0)."""
    t = np.arange(60) * math.pi / 30
    x, y = long * np.cos(t), short * np.sin(t)
    cos, sin = math.cos(turn), math.sin(turn)
    return np.column_stack([x * cos - y * sin, x * sin + y * cos])


def moved(body: Floats, x: float, y: float) -> Floats:
    """Return the body about (x, y)."""
    return np.asarray(body + np.array([x, y]))


def ends_of_view(frame: Frame) -> Floats:
    """Return points along the edge of the field: the circle, and the border that cuts it."""
    turns = np.arange(480) * math.pi / 240
    rim = moved(RADIUS * np.column_stack([np.cos(turns), np.sin(turns)]), WIDE.x_px, WIDE.y_px)
    across = np.arange(frame.left, frame.right, 1.0)
    foot = np.column_stack([across, np.full(len(across), frame.bottom)])
    ends = np.vstack([rim, foot])
    return ends[_is_seen(ends, frame, 1e-6)]


def seen(outline: Floats, frame: Frame, ends: Floats) -> list[tuple[float, float]]:
    """Return points of what is seen of a convex body: its own, and those at which it is cut."""
    (x0, y0), (x1, y1) = outline.min(axis=0), outline.max(axis=0)
    x, y = ends.T
    near = ends[(x >= x0) & (x <= x1) & (y >= y0) & (y <= y1)]
    part = np.vstack([outline[_is_seen(outline, frame)], near[_is_in(near, outline)]])
    return [(float(a), float(b)) for a, b in part]


def _is_seen(points: Floats, frame: Frame, slack: float = 0.0) -> NDArray[np.bool_]:
    x, y = points.T
    near = np.hypot(x - WIDE.x_px, y - WIDE.y_px) <= RADIUS + slack
    return np.asarray(near & (y <= frame.bottom + slack))


def _is_in(points: Floats, outline: Floats) -> NDArray[np.bool_]:
    """Which points lie in a convex outline that runs from x towards y."""
    side = np.roll(outline, -1, axis=0) - outline
    away = points[:, None, :] - outline[None, :, :]
    return np.asarray((side[:, 0] * away[..., 1] - side[:, 1] * away[..., 0] >= 0).all(axis=1))


def areas(body: Floats, frame: Frame, rule: EdgeRule) -> tuple[float, float, float]:
    """Return the area of the places at which a body is counted, touches, and lies wholly inside."""
    counted = touching = whole = 0
    reach, step, ends = float(np.hypot(*body.T).max()), 4.7, ends_of_view(frame)
    for x in np.arange(-reach, 280 + reach, step):
        for y in np.arange(-reach, 270 + reach, step):
            away = math.hypot(x - WIDE.x_px, y - WIDE.y_px)
            if away > RADIUS + reach:
                continue
            if away < RADIUS - reach - SOFT and y + reach < frame.bottom:
                counted, touching, whole = counted + 1, touching + 1, whole + 1
                continue
            outline = moved(body, float(x), float(y))
            part = seen(outline, frame, ends)
            touching += bool(part)
            whole += bool(_is_seen(outline, frame).all())
            counted += WIDE.is_counted(part, frame, rule)
    return counted * step**2, touching * step**2, whole * step**2


AREA = math.pi * RADIUS**2
ENDS = math.pi * (RADIUS - SOFT) ** 2
"""The area in which the end that stands for a body must lie."""


@pytest.mark.parametrize("rule", EdgeRule)
def test_the_rule_is_unbiased_on_a_round_view(rule: EdgeRule) -> None:
    """Counting what touches finds a third too much, what lies inside a third too little."""
    body = ellipse(19.0, 12.0, 0.6)
    counted, touching, whole = areas(body, FRAME, rule)
    assert counted == pytest.approx(ENDS, rel=0.02)
    assert touching > 1.25 * AREA
    assert whole < 0.78 * AREA


def test_the_mean_of_touching_and_inside_is_off_by_the_bodys_own_area() -> None:
    """Steiner: π(R + r)² and π(R - r)² have the mean π(R² + r²)."""
    counted, touching, whole = areas(ellipse(16.0, 16.0, 0.0), FRAME, EdgeRule.TOP_LEFT)
    assert (touching + whole) / 2 == pytest.approx(AREA + math.pi * 16.0**2, rel=0.01)
    assert counted == pytest.approx(ENDS, rel=0.02)


def test_the_rule_is_unbiased_where_the_picture_cuts_the_circle() -> None:
    """A circle larger than the picture is high: the straight border follows the same rule."""
    depth, radius = FLAT.bottom - SOFT - WIDE.y_px, RADIUS - SOFT
    segment = radius**2 * math.acos(depth / radius) - depth * math.sqrt(radius**2 - depth**2)
    for rule in (EdgeRule.TOP_LEFT, EdgeRule.BOTTOM_RIGHT):
        counted, _, _ = areas(ellipse(17.0, 13.0, 2.0), FLAT, rule)
        assert counted == pytest.approx(ENDS - segment, rel=0.02)


@pytest.mark.parametrize(
    ("rule", "counting"),
    [
        (EdgeRule.TOP_LEFT, (-1, -1)),
        (EdgeRule.TOP_RIGHT, (1, -1)),
        (EdgeRule.BOTTOM_LEFT, (-1, 1)),
        (EdgeRule.BOTTOM_RIGHT, (1, 1)),
    ],
)
def test_the_half_of_the_rim_that_counts_follows_the_edge_rule(
    rule: EdgeRule, counting: tuple[int, int]
) -> None:
    """Small bodies on the rim: those towards the two borders that count."""
    body, ends = ellipse(3.0, 3.0, 0.0), ends_of_view(FRAME)
    for over, down in ((-1, -1), (1, -1), (-1, 1), (1, 1)):
        away = RADIUS / math.sqrt(2)
        outline = moved(body, WIDE.x_px + over * away, WIDE.y_px + down * away)
        part = seen(outline, FRAME, ends)
        assert WIDE.cuts(part)
        if (over, down) == counting:
            assert WIDE.is_counted(part, FRAME, rule)
        if (-over, -down) == counting:
            assert not WIDE.is_counted(part, FRAME, rule)


def test_what_the_rim_does_not_reach_is_counted_and_whole() -> None:
    """In the middle, whatever the rule; nothing at all is not counted."""
    points = seen(moved(ellipse(20.0, 14.0, 1.0), 140.0, 130.0), FRAME, np.empty((0, 2)))
    assert not WIDE.cuts(points)
    assert all(WIDE.is_counted(points, FRAME, rule) for rule in EdgeRule)
    assert not WIDE.is_counted([], FRAME, EdgeRule.TOP_LEFT)
    assert WIDE.contains((140.0, 40.0))
    assert not WIDE.contains((140.0, 30.0))


def test_a_rim_moves_with_its_picture() -> None:
    there = WIDE.moved(30, 50)
    assert (there.x_px, there.y_px) == (WIDE.x_px + 30, WIDE.y_px + 50)
    assert (there.radius_px, there.soft_px) == (WIDE.radius_px, WIDE.soft_px)
