"""Which points of an outline are laid on the picture's border."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from counter.imaging.contact import laid_on_border
from counter.imaging.rays import normals

SIZE = (301, 220)
POINTS = 72


def _disc(x: float, y: float, radius: float = 40.0) -> NDArray[np.float64]:
    turn = np.arange(POINTS) * 2 * np.pi / POINTS
    return np.column_stack([x + radius * np.cos(turn), y + radius * np.sin(turn)])[None]


def _laid(
    outline: NDArray[np.float64],
    strength: NDArray[np.float64],
    moving: NDArray[np.bool_] | None = None,
) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    free = np.ones(strength.shape, bool) if moving is None else moving
    reach = np.full((len(outline), 1), 3.0)
    return laid_on_border(outline, normals(outline), strength, free, reach, SIZE)


@pytest.mark.parametrize(
    ("x", "y", "axis", "border"),
    [(42, 90, 0, -0.5), (258, 90, 0, 300.5), (150, 42, 1, -0.5), (150, 177, 1, 219.5)],
    ids=["left", "right", "top", "bottom"],
)
def test_points_without_a_rim_before_the_border_are_laid_on_it(
    x: float, y: float, axis: int, border: float
) -> None:
    """On each of the four sides; the points that have a rim stay where they are."""
    disc = _disc(x, y)
    away = np.abs(disc[..., axis] - border)
    laid, across = _laid(disc, np.where(away < 4, 0.1, 1.0))
    assert across.sum() > 3
    assert (laid[across][:, axis] == border).all()
    assert (laid[~across] == disc[~across]).all()


def test_a_rim_before_the_border_is_the_body_s_end() -> None:
    """As near to the border, but with the usual step all around: nothing moves."""
    laid, across = _laid(_disc(42, 90), np.ones((1, POINTS)))
    assert not across.any()
    assert (laid == _disc(42, 90)).all()


def test_points_beyond_the_border_are_laid_on_it_whatever_is_seen_there() -> None:
    """Off the picture no rim can be seen."""
    disc = _disc(30, 90)
    laid, across = _laid(disc, np.ones((1, POINTS)))
    assert across[disc[..., 0] < -0.5].all()
    assert laid[..., 0].min() == -0.5


def test_one_point_alone_is_the_corner_of_a_shell() -> None:
    """A sharp corner has one weak step; a single step among weak ones is texture."""
    strength = np.ones((1, POINTS))
    strength[0, POINTS // 2] = 0.05
    assert not _laid(_disc(42, 90), strength)[1].any()
    strength[0, POINTS // 2 - 3 : POINTS // 2 + 4] = 0.05
    strength[0, POINTS // 2 + 1] = 1.0
    assert _laid(_disc(42, 90), strength)[1][0, POINTS // 2 - 3 : POINTS // 2 + 4].all()


def test_between_two_places_across_all_that_may_is_across() -> None:
    """Bodies are convex, so steps of the texture between two contacts are no rim."""
    disc = _disc(40.5, 90)
    strength = np.ones((1, POINTS))
    near = np.flatnonzero(disc[0, :, 0] < 2)
    strength[0, near[[0, 1, -2, -1]]] = 0.05
    assert _laid(disc, strength)[1][0, near].all()


def test_a_body_over_the_corner_of_the_picture_meets_both_sides() -> None:
    """The corner itself belongs to it."""
    laid, across = _laid(_disc(20, 20), np.ones((1, POINTS)))
    assert across.any()
    assert laid.min(axis=1).tolist() == [[-0.5, -0.5]]


def test_weak_steps_far_from_the_border_and_points_that_are_held_stay() -> None:
    """Only what was followed, and only near the border."""
    weak = np.full((1, POINTS), 0.01)
    weak[0, :4] = 1.0
    assert not _laid(_disc(150, 100), weak)[1].any()
    held = np.zeros((1, POINTS), bool)
    assert not _laid(_disc(42, 90), np.full((1, POINTS), np.nan), held)[1].any()


def test_each_of_several_is_judged_by_its_own_steps() -> None:
    """A faint body whole beside the border, and a strong one cut by it, on one picture."""
    discs = np.concatenate([_disc(42, 60), _disc(42, 160)])
    strength = np.ones((2, POINTS))
    strength[0] = 0.1
    strength[1] = np.where(discs[1, :, 0] < 4, 0.1, 1.0)
    across = _laid(discs, strength)[1]
    assert across.any(axis=1).tolist() == [False, True]
