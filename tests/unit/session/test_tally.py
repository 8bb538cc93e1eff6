"""Gestures of the tally pad."""

from __future__ import annotations

import math

import pytest

from counter.domain.tally_field import TallyField
from counter.errors import CounterError, UsageError
from counter.session import Session
from tests.hatchery import picture


def tally_field(session: Session) -> TallyField:
    entry = session.sample.fillings[0].fields[0]
    assert isinstance(entry, TallyField)
    return entry


def test_squares_are_counted_key_by_key(session: Session) -> None:
    """Only squares that are done count; each key can be taken back."""
    field_id = session.start_tally("1 mm square", 1.0)
    for key in ("d-hinge", "umbo", "d-hinge"):
        session.tally(field_id, key)
    assert session.estimate.counted == 0
    assert session.undo() == "tallied d-hinge in tally 1"
    session.square_done(field_id)
    assert session.estimate.counted == 2
    assert session.estimate.volume_counted_ml == pytest.approx(0.001)
    session.tally(field_id, "umbo")
    session.finish_tally(field_id)
    assert session.estimate.counted == 3
    assert tally_field(session).area_mm2 == 2.0
    assert session.undo() == "finished tally 1"


def test_an_empty_square_just_opened_is_not_a_count(session: Session) -> None:
    """Unless the person says that it was looked through."""
    field_id = session.start_tally("1 mm square", 1.0)
    session.tally(field_id, "umbo")
    session.square_done(field_id)
    session.finish_tally(field_id)
    assert tally_field(session).area_mm2 == 1.0
    session.undo()
    session.finish_tally(field_id, last_square_done=True)
    assert tally_field(session).area_mm2 == 2.0


def test_a_single_empty_square_is_a_count_of_none(session: Session) -> None:
    """Zero is a count; a blank is not one."""
    field_id = session.start_tally("1 mm square", 1.0)
    session.finish_tally(field_id)
    assert (session.estimate.counted, tally_field(session).area_mm2) == (0, 1.0)
    session.undo()
    session.finish_tally(field_id, last_square_done=False)
    assert tally_field(session).area_mm2 == 0.0


def test_counts_are_never_dropped_with_their_square(session: Session) -> None:
    """An open square that holds counts can't be called unseen."""
    field_id = session.start_tally("1 mm square", 1.0)
    session.tally(field_id, "umbo")
    with pytest.raises(CounterError, match="Square 1 of the tally already holds counts"):
        session.finish_tally(field_id, last_square_done=False)


def test_a_finished_tally_takes_no_more_keys(session: Session) -> None:
    """Neither keys nor squares nor another end."""
    field_id = session.start_tally("1 mm square", 1.0)
    session.finish_tally(field_id)
    before = session.sample
    with pytest.raises(CounterError, match="finished"):
        session.tally(field_id, "umbo")
    with pytest.raises(CounterError, match="finished"):
        session.square_done(field_id)
    with pytest.raises(CounterError, match="finished"):
        session.finish_tally(field_id)
    assert session.sample is before


def test_pictures_and_tallies_are_told_apart(session: Session) -> None:
    """A key on a picture, a mark on a tally: each says what it is."""
    field_id = session.start_tally("1 mm square", 1.0)
    (shown,) = session.add_picture_fields([picture()])
    with pytest.raises(CounterError, match=r"“field-01\.png” is a picture"):
        session.tally(shown, "umbo")
    with pytest.raises(CounterError, match="is a tally by eye"):
        session.remove_marks(field_id, [1])


def test_impossible_tallies_are_refused(session: Session) -> None:
    """An area that cannot be, a key without class, a filling that is not there."""
    for wrong in (0.0, -1.0, math.inf, math.nan):
        with pytest.raises(UsageError, match="above 0"):
            session.start_tally("1 mm square", wrong)
    field_id = session.start_tally("1 mm square", 1.0)
    with pytest.raises(UsageError, match="no class"):
        session.tally(field_id, " ")
    with pytest.raises(CounterError, match="Filling 4"):
        session.start_tally("1 mm square", 1.0, filling_id=4)
