"""The numbers follow the sample, each computed once a state."""

from __future__ import annotations

import pytest

from counter.session import Session
from counter.statistics.estimate import estimate
from tests.hatchery import mark, picture


def test_the_numbers_are_those_of_the_sample_as_it_stands(session: Session) -> None:
    """After a gesture, after undo, after redo."""
    assert session.estimate.counted == 0
    (field_id,) = session.add_picture_fields([picture(mark(1), mark(2, stage="umbo"))])
    assert session.estimate == estimate(session.sample)
    assert session.estimate.total is not None
    assert [entry.stage for entry in session.stages] == ["d-hinge", "umbo"]
    assert session.sizes is not None
    assert session.sizes.measured == 2
    before = session.working
    session.remove_marks(field_id, [1])
    assert session.estimate.counted == 1
    assert session.working != before
    session.undo()
    assert session.estimate.counted == 2
    assert session.working == before
    session.redo()
    assert session.sizes.measured == 1


def test_a_number_is_computed_once_a_state(session: Session) -> None:
    """Asking twice gives the very same object; a gesture makes a new one."""
    first = session.estimate
    assert session.estimate is first
    session.set_vessel_ml(10_000.0)
    assert session.estimate is not first
    assert session.estimate.vessel_ml == pytest.approx(10_000.0)


def test_the_dead_are_told_apart_when_somebody_said_so(session: Session) -> None:
    """No states until one is set; then live and dead have limits of their own."""
    (field_id,) = session.add_picture_fields([picture(mark(1), mark(2))])
    before = session.states
    assert before == ()
    session.set_state(field_id, [1], "dead")
    assert [(entry.state, entry.counted) for entry in session.states] == [(None, 1), ("dead", 1)]
    assert any("dead; the total includes them" in said for said in session.estimate.warnings)
