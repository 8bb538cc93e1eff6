"""From the network's answer to candidates."""

from __future__ import annotations

import numpy as np
import pytest

from counter.imaging.learn.targets import Placed, targets
from counter.imaging.net import Answer
from counter.imaging.stars import stars

TURNS = np.arange(120) * 2 * np.pi / 120


def disc(x: float, y: float, radius: float, kind: int = 1) -> Placed:
    points = np.column_stack([x + radius * np.cos(TURNS), y + radius * np.sin(TURNS)])
    return Placed(points, kind, True)


def perfect(*bodies: Placed, size: int = 160) -> Answer:
    """What a network that makes no mistake would answer."""
    learn = targets(list(bodies), np.zeros((size, size), np.uint8), np.ones((size, size), np.uint8))
    classes = np.full((4, *learn.near.shape), -5, np.float32)
    for kind in range(4):
        classes[kind][learn.kind == kind] = 5
    return Answer(learn.near.astype(np.float32), classes, np.log(learn.radius.astype(np.float32)))


def test_water_has_no_candidates() -> None:
    """Nothing there, nothing found."""
    assert stars(perfect()) == []


def test_a_disc_comes_back_where_and_as_large_as_it_was() -> None:
    """Centre within half a pixel, radius within 3 %, class as taught."""
    (found,) = stars(perfect(disc(70.3, 81.6, 22, kind=2)))
    assert found.outline.mean(axis=0) == pytest.approx((70.3, 81.6), abs=0.5)
    far = np.hypot(*(found.outline - (70.3, 81.6)).T)
    assert far == pytest.approx(22.0, rel=0.03)
    assert int(found.classes.argmax()) == 2


@pytest.mark.parametrize("apart", [46, 40, 34])
def test_overlapping_discs_come_apart_and_stay_whole(apart: float) -> None:
    """Two discs of 44 across, overlapping by up to a quarter, are two with whole outlines."""
    found = stars(perfect(disc(55, 80, 22), disc(55 + apart, 80, 22)))
    assert len(found) == 2
    for star in found:
        across = np.ptp(star.outline, axis=0)
        assert across == pytest.approx((44.0, 44.0), rel=0.06)


def test_a_crowd_is_counted_to_the_last() -> None:
    """Sixteen touching discs are sixteen."""
    crowd = [disc(26 + 36 * (k % 4), 26 + 36 * (k // 4), 17.5) for k in range(16)]
    assert len(stars(perfect(*crowd))) == 16


def test_a_disc_cut_by_the_border_is_found_once() -> None:
    """Half of it is outside."""
    (found,) = stars(perfect(disc(0, 80, 24)))
    assert found.outline[:, 0].max() == pytest.approx(24.0, abs=1.5)


def test_the_place_where_four_discs_meet_is_no_fifth() -> None:
    """A doubtful candidate in the middle of a ring lies on all four; water enough lies in none."""
    ring = [(44.0, 80.0), (116.0, 80.0), (80.0, 44.0), (80.0, 116.0)]
    answer = perfect(*(disc(x, y, 25.4) for x, y in ring))
    around = np.hypot(*(np.mgrid[0:40, 0:40] * 4 + 1.5 - 80))
    middle = around < 12
    answer.depth[middle] = np.maximum(answer.depth[middle], 0.5 - around[middle] / 60)
    answer.log_radius[:, middle] = np.log(34.0)
    assert len(stars(answer)) == 4

    alone = perfect()
    alone.depth[middle] = 0.5 - around[middle] / 60
    alone.log_radius[:, middle] = np.log(34.0)
    assert len(stars(alone)) == 1
