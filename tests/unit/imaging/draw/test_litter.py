"""Litter looks like what it is, where a number can tell."""

from __future__ import annotations

import numpy as np

from counter.imaging.draw import Kind
from tests.unit.imaging.draw.portrait import portrait


def test_a_bubble_is_a_black_ring_around_a_bright_middle() -> None:
    """Black towards the edge, as bright as the slide in the middle."""
    picture, reach, _ = portrait(Kind.BUBBLE, 150.0, 0.8)
    grey = picture.mean(axis=2)
    assert grey[(reach > 0.76) & (reach < 0.84)].mean() < 60
    assert grey[reach < 0.3].mean() > np.median(grey) - 10


def test_an_alga_is_green_or_ochre() -> None:
    """Never grey: one colour is missing more than another."""
    for seed in range(4):
        picture, reach, _ = portrait(Kind.ALGA, 12.0, 0.15, seed)
        tint = picture[reach < 0.6].mean(axis=0)
        assert np.ptp(tint) > 20
