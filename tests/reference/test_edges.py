"""What a wrong border rule does to a count, against the computed size of the error."""

from __future__ import annotations

import math

import pytest

from counter.domain.edges import EdgeRule, Frame, is_counted

CORNERS = 36

# diameter over width, all that touch, those wholly inside; computed for discs: 1 + 2d/w +
# πd²/(4w²) and (1 - d/w)². The last is the step of the places, of which frame and radius are
# multiples, so that no place lies on a border.
ERRORS = [(0.1, 1.208, 0.810, 0.0125), (0.3, 1.671, 0.490, 0.025)]


@pytest.mark.parametrize(("diameter", "touching", "inside", "step"), ERRORS)
def test_the_two_sided_rule_alone_is_unbiased(
    diameter: float, touching: float, inside: float, step: float
) -> None:
    """A disc is put at evenly spread places over the frame and beyond it: the area of the places
    where it counts is that of the frame, whichever two borders count."""
    radius, frame = diameter / 2, Frame(0.0, 0.0, 1.0, 1.0)
    around = [
        (radius * math.cos(2 * math.pi * k / CORNERS), radius * math.sin(2 * math.pi * k / CORNERS))
        for k in range(CORNERS)
    ]
    places = [step * (k + 0.5) - diameter for k in range(round((1 + 2 * diameter) / step))]
    area = step**2
    counted = dict.fromkeys(EdgeRule, 0.0)
    touched = whole = 0.0
    for x in places:
        for y in places:
            outside = math.hypot(max(0 - x, x - 1, 0), max(0 - y, y - 1, 0))
            touched += area * (outside <= radius)
            whole += area * (radius <= min(x, y, 1 - x, 1 - y))
            outline = [(x + dx, y + dy) for dx, dy in around]
            for rule in EdgeRule:
                counted[rule] += area * is_counted(outline, frame, rule)
    assert touched == pytest.approx(touching, abs=0.002)
    assert whole == pytest.approx(inside, abs=0.001)
    for seen in counted.values():
        assert seen == pytest.approx(1.0, abs=1e-9)
