"""What the network should answer."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from counter.imaging.learn.targets import NOTHING, RAYS, Placed, radii, targets, visible_share

SEEN = np.ones((64, 64), np.uint8)
CLEAN = np.zeros((64, 64), np.uint8)
TURNS = np.arange(90) * 2 * np.pi / 90


def circle(x: float, y: float, radius: float, kind: int = 1, sure: bool = True) -> Placed:
    points = np.column_stack([x + radius * np.cos(TURNS), y + radius * np.sin(TURNS)])
    return Placed(points, kind, sure)


def test_radii_from_the_middle_of_a_circle_are_its_radius() -> None:
    """Along all rays the outline is as far."""
    found = radii(circle(30, 20, 10).outline, np.array([30.0]), np.array([20.0]))
    assert found.shape == (RAYS, 1)
    assert found == pytest.approx(10.0, rel=0.01)


def test_radii_off_the_middle_reach_both_sides() -> None:
    """From 4 right of the middle it is 6 to the right and 14 to the left."""
    found = radii(circle(30, 20, 10).outline, np.array([34.0]), np.array([20.0]))[:, 0]
    assert found[0] == pytest.approx(6.0, abs=0.1)
    assert found[RAYS // 2] == pytest.approx(14.0, abs=0.1)


def test_depth_is_one_in_the_middle_and_nothing_outside() -> None:
    """The deepest cell of a body is 1; water is 0 and has no class."""
    learn = targets([circle(30, 30, 14, kind=2)], CLEAN, SEEN)
    assert learn.near.max() == pytest.approx(1.0, abs=0.01)
    assert learn.near[0, 0] == 0
    assert learn.kind[7, 7] == 2
    assert learn.kind[0, 0] == NOTHING


def pair(small: float, apart: float) -> Placed:
    """The outline of two balls, one of radius 14 and one a share of that, as one body."""
    far = np.array([[-14.0, 0.0, 14.0], [apart - 14, 0.0, 14 * small]])
    ways = np.column_stack([np.cos(TURNS), np.sin(TURNS)])
    along = far[:, :2] @ ways.T
    inner = along**2 - (far[:, 0] ** 2 - far[:, 2] ** 2)[:, None]
    reach = np.where(inner > 0, along + np.sqrt(np.abs(inner)), 1.0).max(axis=0)
    return Placed(ways * reach[:, None] + 32, 0, True)


@pytest.mark.parametrize(("small", "apart"), [(1.0, 26.0), (0.7, 22.0), (0.55, 20.0)])
def test_a_body_of_two_cells_is_deepest_once(small: float, apart: float) -> None:
    """Else each cell would be taken for a body; the deepest place sees the far end of both."""
    learn = targets([pair(small, apart)], CLEAN, SEEN)
    near = learn.near.astype(np.float32)
    highest = cv2.dilate(near, np.ones((3, 3), np.uint8))
    assert int(((near >= highest) & (near > 0.3)).sum()) == 1
    assert near.max() == pytest.approx(1.0, abs=0.01)
    row, column = np.unravel_index(int(near.argmax()), near.shape)
    along = float(learn.radius[0, row, column] + learn.radius[RAYS // 2, row, column])
    assert along == pytest.approx(14 + apart + 14 * small, rel=0.06)


def test_two_overlapping_bodies_keep_their_own_cells_and_whole_radii() -> None:
    """Between them the depth dips; each side's radii reach to its own far side."""
    learn = targets([circle(24, 32, 14), circle(44, 32, 14)], CLEAN, SEEN)
    row = learn.near[8].astype(float)
    assert row[8] < 0.5 * row[6]
    assert row[8] < 0.5 * row[11]
    middle = learn.radius[0, 8, 6]
    assert middle == pytest.approx(38 - 25.5, abs=0.6)


def test_a_cut_body_is_deepest_in_its_visible_part_and_whole_in_its_radii() -> None:
    """Half of it lies outside; its middle is looked for inside, its outline outside too."""
    learn = targets([circle(0, 32, 14)], CLEAN, SEEN)
    assert learn.near[8, 0] == pytest.approx(1.0, abs=0.01)
    assert learn.radius[RAYS // 2, 8, 0] == pytest.approx(15.5, abs=0.6)
    assert visible_share(circle(0, 32, 14), 64, SEEN) == pytest.approx(0.5, abs=0.08)


def test_an_unsure_body_counts_neither_way() -> None:
    """Its cells have no weight; without it they have."""
    learn = targets([circle(30, 30, 12, sure=False)], CLEAN, SEEN)
    assert learn.weight[7, 7] == 0
    assert learn.near.max() == 0
    assert targets([], CLEAN, SEEN).weight[7, 7] == 1


def test_litter_is_learnt_with_more_weight() -> None:
    """Cells on litter count double."""
    assert targets([], SEEN, SEEN).weight[3, 3] == 2
