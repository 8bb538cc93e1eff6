"""Gestures on marks."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

from counter.domain.edges import Frame
from counter.domain.mark import PLACED, Mark
from counter.domain.rim import Rim
from counter.errors import CounterError, UsageError
from counter.records.store import Store
from counter.session import Session
from tests.hatchery import mark, picture


@pytest.fixture
def field_id(session: Session) -> int:
    """The field of a picture with three larvae."""
    marks = (mark(1), mark(2, x_px=60.0), mark(3, x_px=90.0, length_um=150.0, stage="umbo"))
    return session.add_picture_fields([picture(*marks)])[0]


def marks(session: Session) -> dict[int, Mark]:
    return dict(next(session.sample.picture_fields()).marks)


def test_an_added_mark_gets_an_id_of_its_own(session: Session, field_id: int) -> None:
    """Also after the last one was taken back."""
    assert session.add_mark(field_id, mark(origin=PLACED)) == 4
    session.undo()
    assert session.add_marks(field_id, [mark(), mark()]) == (5, 6)
    assert list(marks(session)) == [1, 2, 3, 5, 6]
    assert session.undo() == "added 2 larvae on field-01.png"


def test_nothing_chosen_writes_nothing(session: Session, field_id: int, store: Store) -> None:
    """Empty choices are no gestures."""
    written = len(store.events(session.sample_id))
    assert session.add_marks(field_id, []) == ()
    session.remove_marks(field_id, [])
    session.stage_marks(field_id, [], "umbo")
    session.set_state(field_id, [], "dead")
    session.set_state(field_id, [1], None)
    session.move_mark(field_id, 1, marks(session)[1])
    session.reshape_mark(field_id, 1, marks(session)[1])
    assert len(store.events(session.sample_id)) == written


def test_marks_are_removed_in_one_gesture(session: Session, field_id: int) -> None:
    """An id named twice is one mark; undo puts them back in their order."""
    session.remove_marks(field_id, [3, 1, 3])
    assert list(marks(session)) == [2]
    assert session.undo() == "removed 2 larvae on field-01.png"
    assert list(marks(session)) == [1, 2, 3]


def test_a_moved_mark_keeps_its_id_stage_and_state(session: Session, field_id: int) -> None:
    """Only its place changes."""
    session.set_state(field_id, [3], "dead")
    moved = mark(x_px=120.0, length_um=150.0, origin=PLACED)
    session.move_mark(field_id, 3, moved)
    assert marks(session)[3] == replace(moved, mark_id=3, stage="umbo", state="dead")
    assert session.undo() == "moved a larva on field-01.png"


def test_a_redrawn_mark_keeps_what_a_person_said(session: Session, field_id: int) -> None:
    """Its stage follows its new length unless a person had staged it."""
    session.reshape_mark(field_id, 1, mark(length_um=130.0, stage="umbo"))
    assert marks(session)[1].stage == "umbo"
    session.stage_marks(field_id, [2], "eyed")
    session.set_state(field_id, [2], "dead")
    session.reshape_mark(field_id, 2, mark(length_um=130.0, stage="umbo"))
    redrawn = marks(session)[2]
    assert (redrawn.length_um, redrawn.stage, redrawn.state) == (130.0, "eyed", "dead")
    assert session.undo() == "redrew a larva on field-01.png"


def test_a_mark_is_split_into_parts(session: Session, field_id: int) -> None:
    """The parts have new ids and the state of the whole."""
    session.set_state(field_id, [2], "dead")
    parts = (mark(x_px=55.0), replace(mark(x_px=65.0), state="live"))
    assert session.split_mark(field_id, 2, parts) == (4, 5)
    now = marks(session)
    assert list(now) == [1, 3, 4, 5]
    assert (now[4].state, now[5].state) == ("dead", "live")
    assert session.undo() == "split a larva into 2 on field-01.png"
    assert list(marks(session)) == [1, 2, 3]
    with pytest.raises(UsageError, match="one piece"):
        session.split_mark(field_id, 2, parts[:1])


def test_marks_are_joined(session: Session, field_id: int) -> None:
    """The whole has the state of its parts where they agree."""
    session.set_state(field_id, [1, 2], "dead")
    assert session.join_marks(field_id, [1, 2], mark(x_px=45.0)) == 4
    assert marks(session)[4].state == "dead"
    assert session.undo() == "joined 2 parts on field-01.png"
    assert session.join_marks(field_id, [2, 3], mark(x_px=75.0)) == 5
    assert marks(session)[5].state is None
    with pytest.raises(UsageError, match="two marks or more"):
        session.join_marks(field_id, [1, 1], mark())


def test_stages_and_states_are_set(session: Session, field_id: int) -> None:
    """A stage that the species does not have is refused by name."""
    session.stage_marks(field_id, [1, 2], "umbo")
    session.set_state(field_id, [1], "dead")
    session.set_state(field_id, [1, 2], "dead")
    assert [entry.stage for entry in marks(session).values()] == ["umbo"] * 3
    assert [entry.state for entry in marks(session).values()] == ["dead", "dead", None]
    assert session.undo() == "marked a larva as dead on field-01.png"
    with pytest.raises(UsageError, match="“egg” is not a stage of larvae of test oyster"):
        session.stage_marks(field_id, [1], "egg")


@pytest.mark.parametrize(
    "gesture",
    [
        lambda s, f: s.remove_marks(f, [2, 99]),
        lambda s, f: s.move_mark(f, 99, mark()),
        lambda s, f: s.reshape_mark(f, 99, mark()),
        lambda s, f: s.split_mark(f, 99, (mark(), mark())),
        lambda s, f: s.join_marks(f, [1, 99], mark()),
        lambda s, f: s.stage_marks(f, [99], "umbo"),
        lambda s, f: s.set_state(f, [99], "dead"),
    ],
)
def test_a_mark_that_is_gone_is_named(
    session: Session, field_id: int, gesture: Callable[[Session, int], object]
) -> None:
    """Whatever was to be done with it; nothing changes."""
    before = session.sample
    with pytest.raises(CounterError, match=r"Mark 99 is no longer on field-01\.png"):
        gesture(session, field_id)
    with pytest.raises(CounterError, match="Field 7 is no longer in the sample “tank 3”"):
        gesture(session, 7)
    assert session.sample is before


def test_what_a_person_places_on_the_rim_of_a_round_view_is_cut(
    session: Session,
) -> None:
    """Added or moved there: its size is not used, and its end decides whether it counts."""
    shown = picture(mark(1), mark(2, x_px=60.0))
    rim = Rim(60.0, 45.0, 45.0, 0.6)
    shown = replace(shown, picture=replace(shown.picture, rim=rim))
    (field_id,) = session.add_picture_fields([shown])
    added = session.add_mark(field_id, mark(x_px=99.0, y_px=61.0, origin=PLACED))
    session.move_mark(field_id, 2, mark(x_px=60.0, y_px=85.0))
    assert [key for key, each in marks(session).items() if each.is_cut] == [2, added]
    assert session.estimate.counted == 1


def test_what_a_person_places_on_a_band_is_cut_by_it(session: Session) -> None:
    """A strip of data below: what reaches into it is cut, and left out where the top counts."""
    shown = picture(mark(1), mark(2, x_px=60.0))
    frame = Frame(-0.5, -0.5, 159.5, 69.5)
    shown = replace(shown, picture=replace(shown.picture, shown=frame))
    (field_id,) = session.add_picture_fields([shown])
    added = session.add_mark(field_id, mark(x_px=99.0, y_px=66.0, origin=PLACED))
    session.add_mark(field_id, mark(x_px=99.0, y_px=40.0, origin=PLACED))
    assert [key for key, each in marks(session).items() if each.is_cut] == [added]
    assert session.estimate.counted == 3
