"""Bubbles that the border cuts, on pictures drawn for it; what differs in one way is none."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from counter.domain.catalogue import species
from counter.domain.progress import Silent
from counter.domain.species import TargetKind, target_of
from counter.imaging.cut_bubbles import is_cut_bubble
from counter.imaging.judge import Traits
from counter.imaging.measure import Measures
from counter.imaging.photo import Photo
from counter.imaging.scene import prepare
from counter.imaging.weighed import Weighed

Floats = NDArray[np.float64]

LARVAE = target_of(species("eastern-oyster"), TargetKind.LARVAE)
WIDTH_PX, HEIGHT_PX, UM_PER_PX = 640, 420, 1.24
RADIUS_PX, RING_PX = 38.0, 9.0
NOTHING_SEEN = Traits(60.0, 0.7, 0.6, 1.0, 0.05, 0.2, 0.2, 0.4, 0.0, 0.0, 1.0)


def _is_one(
    x: float,
    y: float,
    middle: float = 1.03,
    oblong: float = 1.0,
    gap: float = 0.0,
    cut: bool = True,
) -> bool:
    """Draw a dark ring about (x, y), ``middle`` times as bright inside as the water; is it one?

    The ring is ``oblong`` times as wide as high, and missing along ``gap`` radians.
    """
    row, column = np.mgrid[:HEIGHT_PX, :WIDTH_PX]
    away = np.hypot((column - x) / oblong, row - y)
    turn = np.arctan2(row - y, column - x)
    light = np.where(away < RADIUS_PX - RING_PX, middle, 1.0)
    on_ring = (away < RADIUS_PX) & (away >= RADIUS_PX - RING_PX)
    light[on_ring & (np.abs(np.abs(turn) - np.pi / 2) >= gap / 2)] = 0.2
    noisy = 190 * light + np.random.default_rng(5).normal(0, 1.5, light.shape)
    grey = cv2.GaussianBlur(np.clip(noisy, 0, 255), (0, 0), 0.8).astype(np.uint8)
    scene = prepare(Photo(np.dstack([grey] * 3)).with_scale(UM_PER_PX), LARVAE, Silent())
    each = Weighed(
        outline=_outline(x, y, oblong),
        cut=cut,
        edge_px=2.0,
        measures=Measures(90.0, 60.0, 5000.0, x, y),
        traits=NOTHING_SEEN,
        depth=0.8,
        classes=np.full(4, 0.25),
        judged=0.5,
        score=0.7,
    )
    return is_cut_bubble(each, scene)


def _outline(x: float, y: float, oblong: float) -> Floats:
    turn = np.linspace(0, 2 * np.pi, 128, endpoint=False)
    ring = np.column_stack([x + oblong * RADIUS_PX * np.cos(turn), y + RADIUS_PX * np.sin(turn)])
    return np.clip(ring, -0.5, np.array([WIDTH_PX, HEIGHT_PX]) - 0.5)


@pytest.mark.parametrize(
    ("x", "y"),
    [(WIDTH_PX - 15, 200), (12, 210), (300, 8), (310, HEIGHT_PX - 18), (WIDTH_PX - 30, 28)],
    ids=["right", "left", "top", "bottom", "corner"],
)
def test_a_clear_middle_in_a_dark_arc_is_a_bubble_at_every_border(x: float, y: float) -> None:
    assert _is_one(x, y)


def test_a_body_that_the_border_does_not_cut_is_left_to_the_other_rule() -> None:
    assert not _is_one(300, 200, cut=False)


def test_dark_inside_like_an_egg_is_none() -> None:
    assert not _is_one(WIDTH_PX - 15, 200, middle=0.6)


def test_as_dark_inside_as_an_empty_shell_is_none() -> None:
    assert not _is_one(WIDTH_PX - 15, 200, middle=0.95)


def test_an_oval_is_none() -> None:
    assert not _is_one(WIDTH_PX - 15, 200, oblong=1.25)


def test_a_ring_with_gaps_is_none() -> None:
    assert not _is_one(WIDTH_PX - 15, 200, gap=0.7)


def test_of_less_than_half_a_ring_nothing_is_said() -> None:
    assert not _is_one(WIDTH_PX + 18, 200)
