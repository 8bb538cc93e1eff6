"""Points at equal steps along outlines, places on rays across them, and blurs round them."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.imaging.rays import (
    along_rays,
    evenly,
    evenly_all,
    median_where,
    normals,
    over_gaps,
    smoothed,
)


@given(st.integers(0, 2**32 - 1), st.integers(1, 5), st.integers(3, 30), st.integers(1, 80))
def test_many_at_once_are_divided_like_each_alone(
    seed: int, count: int, corners: int, points: int
) -> None:
    """The points are those of linear interpolation along each outline's own length."""
    outlines = np.random.default_rng(seed).uniform(-50, 50, (count, corners, 2))
    for even, outline in zip(evenly_all(outlines, points), outlines, strict=True):
        closed = np.vstack([outline, outline[:1]])
        along = np.concatenate([[0], np.cumsum(np.hypot(*np.diff(closed, axis=0).T))])
        wanted = np.arange(points) * along[-1] / points
        alone = np.column_stack([np.interp(wanted, along, closed[:, k]) for k in (0, 1)])
        assert even == pytest.approx(alone, abs=1e-9)


def test_doubled_points_and_points_all_alike_are_no_trouble() -> None:
    """A square with a doubled corner is divided as without; one place stays where it is."""
    square = np.array([(0, 0), (4, 0), (4, 0), (4, 4), (0, 4)])
    assert evenly(square, 8).tolist() == [
        [0, 0], [2, 0], [4, 0], [4, 2], [4, 4], [2, 4], [0, 4], [0, 2],
    ]  # fmt: skip
    assert evenly(np.full((6, 2), 3.0), 5).tolist() == [[3, 3]] * 5


def test_places_on_rays_lie_so_far_outward() -> None:
    """Each point of each outline moved along its own normal, objects by their own offsets."""
    rng = np.random.default_rng(5)
    outlines = rng.normal(0, 40, (3, 7, 2))
    outward = normals(outlines)
    offsets = rng.normal(0, 3, (3, 4))
    x, y = along_rays(outlines, outward, offsets)
    for body, point, step in np.ndindex(3, 7, 4):
        wanted = outlines[body, point] + offsets[body, step] * outward[body, point]
        assert (x[body, point, step], y[body, point, step]) == pytest.approx(wanted.tolist())


@given(st.integers(0, 2**32 - 1), st.floats(0.3, 4), st.integers(1, 40))
def test_a_blur_runs_on_over_the_seam(seed: int, sigma: float, points: int) -> None:
    """A sum over neighbours counted round and round, also of fewer points than it reaches over."""
    values = np.random.default_rng(seed).normal(size=(2, points, 3))
    reach = max(1, int(np.ceil(3 * sigma)))
    weight = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma) ** 2)
    weight /= weight.sum()
    wanted = sum(
        w * np.roll(values, k, axis=1)
        for w, k in zip(weight, range(-reach, reach + 1), strict=True)
    )
    assert smoothed(values, sigma) == pytest.approx(np.asarray(wanted), abs=1e-12)


@given(st.integers(0, 2**32 - 1), st.integers(1, 6), st.integers(1, 30))
def test_the_median_of_what_is_counted(seed: int, rows: int, points: int) -> None:
    """As numpy's median of the counted values alone; what is not counted may be anything."""
    rng = np.random.default_rng(seed)
    values, counted = rng.normal(size=(rows, points)), rng.random((rows, points)) < 0.6
    counted[:, rng.integers(points)] = True
    values[~counted] = np.nan
    alone = [np.median(row[good]) for row, good in zip(values, counted, strict=True)]
    assert median_where(values, counted)[:, 0] == pytest.approx(alone, abs=1e-12)


def test_gaps_are_bridged_around_the_closed_outline() -> None:
    """Straight from the last known value to the next, also over the outline's first point."""
    known = np.array([[False, True, False, True, True, False], [False] * 6, [True] * 6])
    values = np.array([[99.0, 2, 99, 4, 8, 99], [5] * 6, [1, 2, 3, 4, 5, 6]])
    bridged = over_gaps(values, known)
    assert bridged[0] == pytest.approx([4, 2, 3, 4, 8, 6])
    assert bridged[1].tolist() == [0] * 6
    assert bridged[2].tolist() == [1, 2, 3, 4, 5, 6]
