"""Eggs look like what they are, where a number can tell."""

from __future__ import annotations

import numpy as np

from counter.imaging.draw import Kind
from tests.unit.imaging.draw.portrait import portrait


def test_an_egg_is_dark_and_granular_all_over() -> None:
    """An egg's inside is much darker than the slide, and rough."""
    picture, reach, _ = portrait(Kind.POLAR_BODY, 50.0, 0.3)
    grey = picture.mean(axis=2)
    inside = grey[reach < 0.8]
    assert inside.mean() < np.median(grey) - 50
    assert inside.std() > 12


def test_a_polar_body_sits_on_the_egg() -> None:
    """A small thing lies just outside a fertilised egg, none outside an unfertilised one."""
    shown = []
    for kind in (Kind.POLAR_BODY, Kind.EGG):
        picture, reach, _ = portrait(kind, 50.0, 0.3)
        grey = picture.mean(axis=2)
        shown.append(int(((reach > 1.05) & (grey < np.median(grey) - 12)).sum()))
    assert shown[0] > 40
    assert shown[1] < 10
