"""Things have the length that was asked for."""

from __future__ import annotations

import pytest
from numpy.random import default_rng

from counter.imaging.draw.settings import USUAL_LENGTH_UM, Kind
from counter.imaging.draw.shape import feret
from counter.imaging.draw.things import make


@pytest.mark.parametrize("kind", list(Kind))
@pytest.mark.parametrize("seed", [1, 2])
def test_a_thing_has_the_length_asked_for(kind: Kind, seed: int) -> None:
    """Its outline's maximum Feret diameter is the length (a fibre's within 3 %)."""
    length_um = sum(USUAL_LENGTH_UM[kind]) / 2
    thing = make(kind, length_um, default_rng(seed))
    loose = 0.03 if kind is Kind.FIBRE else 1e-6
    assert feret(thing.outline_um)[0] == pytest.approx(length_um, rel=loose)
    assert thing.radius_um >= 0.45 * length_um


def test_an_empty_shell_is_that_of_its_length() -> None:
    """A short one is a D, a long one has an umbo: its valves are rounder."""
    short, long = (make(Kind.EMPTY_SHELL, size, default_rng(3)) for size in (70.0, 220.0))
    assert feret(short.outline_um)[0] < feret(long.outline_um)[0]
