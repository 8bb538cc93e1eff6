"""The demo's technician corrects what the detector got wrong, and nothing else."""

from __future__ import annotations

import numpy as np

from counter.commands.hatchery.reviewing import Corrections, corrections
from counter.domain.mark import Mark
from counter.imaging.draw import Kind, TruthObject
from counter.imaging.draw.shape import THETA
from counter.imaging.draw.truth import truth_of


def circle(
    x_px: float, y_px: float, radius_px: float
) -> np.ndarray[tuple[int, int], np.dtype[np.float64]]:
    """A round outline."""
    return np.stack(
        [x_px + radius_px * np.cos(THETA[::20]), y_px + radius_px * np.sin(THETA[::20])], axis=1
    )


def larva(x_px: float, y_px: float, kind: Kind = Kind.UMBO) -> TruthObject:
    """A larva of 40 px across."""
    return truth_of(kind, circle(x_px, y_px, 20.0), 4.0, 0.0, 0.0, False)


def mark(mark_id: int, x_px: float, y_px: float, radius_px: float = 20.0) -> Mark:
    """A mark with a round outline."""
    outline = tuple((float(x), float(y)) for x, y in circle(x_px, y_px, radius_px))
    return Mark(mark_id, x_px, y_px, outline, 160.0, 160.0, 20000.0, "umbo")


def test_right_marks_stay() -> None:
    """One mark on each larva: nothing to do."""
    found = corrections([mark(1, 101, 99), mark(2, 200, 150)], [larva(100, 100), larva(200, 150)])
    assert found == Corrections((), (), ())


def test_a_mark_on_nothing_goes_and_a_larva_without_one_is_missed() -> None:
    """Debris that was counted is taken away, a larva that was not is added."""
    alone = larva(100, 100)
    found = corrections([mark(7, 300, 300)], [alone])
    assert found.wrong == (7,)
    assert found.missed == (alone,)


def test_a_mark_on_two_larvae_is_taken_apart() -> None:
    """A clump goes, both of its larvae are added."""
    two = [larva(100, 100), larva(138, 100)]
    found = corrections([mark(3, 119, 100, 42.0)], two)
    assert found.wrong == (3,)
    assert found.missed == tuple(two)


def test_a_second_mark_on_a_larva_goes() -> None:
    """The first mark stays, the other is one too many."""
    found = corrections([mark(1, 100, 100), mark(2, 108, 100, 9.0)], [larva(100, 100)])
    assert found.wrong == (2,)
    assert found.missed == ()


def test_empty_shells_are_known() -> None:
    """A right mark on an empty shell is said to be dead."""
    found = corrections([mark(4, 100, 100)], [larva(100, 100, Kind.EMPTY_SHELL)])
    assert found.empty == (4,)
