"""Scores as chances."""

from __future__ import annotations

import numpy as np

from counter.imaging.calibrated import CHANCES, DEPTHS, chance_of


def test_a_deeper_answer_is_never_less_sure() -> None:
    """From 0 to 1 the chance rises and stays a chance."""
    chances = [chance_of(depth) for depth in np.linspace(0, 1, 101)]
    assert chances == sorted(chances)
    assert 0 <= chances[0] < 0.2
    assert 0.9 < chances[-1] <= 1


def test_the_table_is_one_to_one() -> None:
    """Depths rise strictly from 0 to 1; each has its chance."""
    assert len(DEPTHS) == len(CHANCES)
    assert (np.diff(DEPTHS) > 0).all()
    assert (DEPTHS[0], DEPTHS[-1]) == (0.0, 1.0)
