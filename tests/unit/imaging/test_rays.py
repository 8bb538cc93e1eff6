"""Points at equal steps along outlines."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.imaging.rays import evenly, evenly_all


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
