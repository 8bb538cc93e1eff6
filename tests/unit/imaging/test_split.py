"""Touching bodies come apart; one body stays one."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from counter.imaging.blobs import filled
from counter.imaging.shape import Sizes, contour_of, likeness, shape_of
from counter.imaging.split import as_one, split, without_thin_parts

SIZES = Sizes(low_px=16, high_px=90)


def _mask(*discs: tuple[int, int, int]) -> NDArray[np.uint8]:
    mask = np.zeros((120, 170), np.uint8)
    for x, y, radius in discs:
        cv2.circle(mask, (x, y), radius, 255, -1)
    return mask


@pytest.mark.parametrize("apart", [40, 36, 32, 30])
def test_two_discs_come_apart(apart: int) -> None:
    """Touching, and overlapping by up to a quarter of their diameter."""
    parts = split(_mask((50, 60, 20), (50 + apart, 60, 20)), SIZES)
    assert len(parts) == 2
    areas = [np.count_nonzero(part.mask) for part in parts]
    assert max(areas) < 1.15 * min(areas)


def test_a_small_one_on_a_large_one_comes_apart() -> None:
    """Sizes may differ by a factor of two."""
    assert len(split(_mask((50, 60, 32), (94, 60, 15)), SIZES)) == 2


@pytest.mark.parametrize("axes", [(20, 20), (30, 20), (40, 24)])
def test_one_oval_stays_one(axes: tuple[int, int]) -> None:
    """A smooth convex body is not cut, whatever its size within the limits."""
    mask = np.zeros((120, 170), np.uint8)
    cv2.ellipse(mask, (80, 60), axes, 30, 0, 360, 255, -1)
    assert len(split(mask, SIZES)) == 1


def test_a_bent_stick_of_even_width_is_not_cut() -> None:
    """A fibre has no necks: it stays whole, and looks like no body."""
    mask = np.zeros((120, 170), np.uint8)
    cv2.polylines(mask, [np.array([[10, 20], [70, 60], [150, 80]])], False, 255, 9)
    parts = split(mask, SIZES)
    assert max(part.likeness for part in parts) < 0.5


def test_nothing_has_no_parts() -> None:
    """An empty blob has no bodies."""
    assert split(np.zeros((40, 50), np.uint8), SIZES) == ()


def test_a_foot_is_left_off_and_a_corner_is_kept() -> None:
    """What sticks out thinly goes; the corners of a D stay."""
    disc = _mask((80, 60, 30))
    foot = disc.copy()
    cv2.rectangle(foot, (105, 54), (130, 64), 255, -1)
    bare, whole = as_one(disc, SIZES), as_one(foot, SIZES)
    assert bare is not None
    assert whole is not None
    kept = without_thin_parts(whole, SIZES)
    assert kept.shape.length_px == pytest.approx(bare.shape.length_px, abs=3)
    half = disc.copy()
    half[:48] = 0
    letter = as_one(half, SIZES)
    assert letter is not None
    assert without_thin_parts(letter, SIZES).shape.length_px == letter.shape.length_px


def test_a_closed_rim_is_filled_and_water_in_a_ring_of_bodies_is_not() -> None:
    """The inside of a transparent body is body; what four touching discs enclose is water."""
    rim = np.zeros((120, 170), np.uint8)
    cv2.ellipse(rim, (80, 60), (36, 28), 20, 0, 360, 255, 3)
    assert filled(rim, SIZES)[60, 80] == 255
    ring = _mask((60, 40, 20), (100, 40, 20), (60, 80, 20), (100, 80, 20))
    assert filled(ring, SIZES)[60, 80] == 0


def test_shapes_measure_as_drawn() -> None:
    """A disc: solid, elliptic, no bays; two discs: two bays; the size limits fall off softly."""
    contour = contour_of(_mask((80, 60, 30)))
    assert contour is not None
    disc = shape_of(contour)
    assert disc is not None
    assert disc.length_px == pytest.approx(61, abs=1)
    assert disc.solidity > 0.97
    assert disc.second_notch == 0
    assert likeness(disc, SIZES) > 0.95
    assert likeness(disc, Sizes(100, 200)) < 0.2
    pair = contour_of(_mask((60, 60, 22), (100, 60, 22)))
    assert pair is not None
    dumbbell = shape_of(pair)
    assert dumbbell is not None
    assert dumbbell.second_notch > 0.2
