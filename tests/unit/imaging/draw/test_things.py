"""Things have the length that was asked for."""

from __future__ import annotations

import pytest
from numpy.random import default_rng

from counter.imaging.draw.settings import USUAL_LENGTH_UM, Kind
from counter.imaging.draw.shape import feret
from counter.imaging.draw.things import make
from counter.imaging.draw.truth import truth_of
from counter.imaging.measure import measure


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


@pytest.mark.parametrize("kind", [Kind.D_HINGE, Kind.UMBO, Kind.FOUR_CELLS, Kind.DEBRIS])
def test_truth_and_measuring_agree_though_computed_apart(kind: Kind) -> None:
    """The renderer's size, area and centre of an outline are those that the program measures."""
    outline_px = make(kind, 70.0, default_rng(5)).outline_um / 0.8 + (310.0, 205.0)
    truth = truth_of(kind, outline_px, 0.8, 0.0, 0.0, False)
    measured = measure(outline_px, 0.8)
    assert measured.length_um == pytest.approx(truth.length_um, rel=1e-6)
    assert measured.width_um == pytest.approx(truth.width_um, rel=1e-6)
    assert measured.area_um2 == pytest.approx(truth.area_um2, rel=1e-6)
    assert (measured.x_px, measured.y_px) == pytest.approx((truth.x_px, truth.y_px), abs=1e-3)
