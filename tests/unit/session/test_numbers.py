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


def test_pictures_to_look_through_are_drawn_until_all_were(session: Session) -> None:
    """The machine's count of each picture is kept beside what a person makes of it, also after a
    restart, so that what was learnt on one holds for the others."""
    marks = [mark(number) for number in range(1, 31)]
    ids = session.add_picture_fields([picture(*marks) for _ in range(4)])
    drawn = session.to_check
    assert len(drawn) == 3
    first = drawn[0]
    session.remove_marks(first, [1, 2, 3])
    session.set_reviewed(first)
    assert session.estimate.counted == 117
    assert session.estimate.count == pytest.approx(27 + 90 * 27 / 30)
    again = Session(session.store, session.sample_id)
    assert again.estimate == session.estimate
    for field_id in ids:
        session.set_reviewed(field_id)
    assert session.to_check == ()
    assert session.estimate.count == 117
