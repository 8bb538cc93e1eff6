"""On a rim, sure bodies of the plain picture stand; the mirrored one adds what only it shows."""

from __future__ import annotations

import numpy as np

from counter.imaging.round_stars import with_rim
from counter.imaging.round_view import Circle
from counter.imaging.stars import RAY, Star

CIRCLE = Circle(100.0, 80.0, 60.0, 0.1)
LARVA = np.array([0.0, 1.0, 0.0, 0.0])


def star(x: float, y: float, depth: float, radius: float = 12.0) -> Star:
    """A round candidate."""
    return Star(RAY * radius + (x, y), depth, LARVA)


def test_a_sure_body_stands_against_its_mirrored_piece() -> None:
    """Most of it lies in the field."""
    body, piece = star(154.0, 80.0, 0.95), star(159.0, 80.0, 0.9)
    assert with_rim([body], [piece], CIRCLE) == [body]


def test_an_unsure_one_gives_way_and_is_not_counted_twice() -> None:
    """The mirrored one is the better reading of a small piece."""
    guess, piece = star(163.0, 80.0, 0.4), star(160.0, 80.0, 0.9)
    elsewhere = star(100.0, 80.0, 0.4)
    assert with_rim([guess, elsewhere], [piece], CIRCLE) == [elsewhere, piece]


def test_only_what_the_rim_cuts_is_added() -> None:
    """What lies wholly inside is the plain picture's; what lies outside is but a reflection."""
    inside, outside = star(90.0, 80.0, 0.9), star(185.0, 80.0, 0.9)
    assert with_rim([], [inside, outside], CIRCLE) == []
