"""A mask as a few balls: discs drawn at random are found again."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.imaging.balls import away_from, balls_of

SHAPE = (90, 140)


def mask_of(*discs: tuple[int, int, int]) -> np.ndarray:
    """255 on discs given as x, y, radius."""
    mask = np.zeros(SHAPE, np.uint8)
    for x, y, radius in discs:
        cv2.circle(mask, (x, y), radius, 255, -1)
    return mask


@given(large=st.integers(10, 20), share=st.floats(0.55, 1.0), apart=st.floats(0.9, 1.2))
def test_two_discs_are_two_balls(large: int, share: float, apart: float) -> None:
    """Touching ones and others, to a pixel and a half, the larger first."""
    small = round(share * large)
    right = 40 + round(apart * (large + small))
    found = balls_of(mask_of((40, 45, large), (right, 45, small)))
    assert len(found) == 2
    wanted = [(40, 45, large), (right, 45, small)]
    if abs(found[0, 0] - 40) > 2:
        wanted = wanted[::-1]  # of equal ones either may come first
    assert found == pytest.approx(np.array(wanted), abs=1.5)


@pytest.mark.parametrize(("radius", "number"), [(6, 1), (8, 1), (11, 2), (20, 2)])
def test_what_is_small_beside_a_disc_is_no_ball(radius: int, number: int) -> None:
    """As a polar body: under 0.45 of it."""
    assert len(balls_of(mask_of((40, 45, 20), (60 + radius, 45, radius)))) == number


def test_one_disc_is_one_ball_and_nothing_none() -> None:
    """An egg, and water."""
    assert balls_of(mask_of((50, 40, 20))) == pytest.approx(np.array([[50, 40, 20.5]]), abs=1)
    assert balls_of(mask_of()).shape == (0, 3)


def test_away_is_0_on_the_rim_and_negative_within() -> None:
    """The way to a circle from its middle, its rim and beyond."""
    away = away_from(np.array([[50.0, 40.0, 20.0], [100.0, 40.0, 10.0]]), SHAPE)
    assert away.shape == (*SHAPE, 2)
    assert away[40, [50, 70, 80], 0] == pytest.approx([-20, 0, 10])
    assert away[40, [100, 50], 1] == pytest.approx([-10, 40])
