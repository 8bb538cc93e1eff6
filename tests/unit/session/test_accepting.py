"""Accepting what the machine proposes of the state of marks."""

from __future__ import annotations

from dataclasses import replace

import pytest

from counter.domain.proposed import Proposal
from counter.errors import CounterError
from counter.session import Session
from tests.hatchery import mark, picture


@pytest.fixture
def field_id(session: Session) -> int:
    """A picture with marks proposed dead, live (doubtful) and not at all."""
    proposals = (Proposal("dead", 0.92), Proposal("live", 0.7), Proposal(reason="cut"), None)
    marks = [replace(mark(n), proposal=entry) for n, entry in enumerate(proposals, 1)]
    return session.add_picture_fields([picture(*marks)])[0]


def states(session: Session) -> list[str | None]:
    (field,) = session.sample.picture_fields()
    return [entry.state for entry in field.marks.values()]


def test_accepting_says_of_each_what_is_proposed_as_one_gesture(
    session: Session, field_id: int
) -> None:
    """Those without a proposal stay; one undo takes all of it back."""
    assert session.accept_proposals(field_id, (1, 2, 3, 4)) == 2
    assert states(session) == ["dead", "live", None, None]
    assert "accepted the proposed state of 2 larvae" in session.history()[-1].description
    session.undo()
    assert states(session) == [None] * 4
    session.redo()
    assert states(session) == ["dead", "live", None, None]


def test_accepting_twice_or_after_a_persons_word_changes_nothing(
    session: Session, field_id: int
) -> None:
    """What a person said is never overwritten by a proposal."""
    session.set_state(field_id, (1,), "live")
    before = len(session.history())
    assert session.accept_proposals(field_id, (1, 3)) == 0
    assert len(session.history()) == before
    assert states(session)[0] == "live"


def test_accepting_changes_no_stage_and_no_count(session: Session, field_id: int) -> None:
    """The dead stay in their stage and in the total."""
    before = session.estimate.counted, [entry.stage for entry in session.stages]
    session.accept_proposals(field_id, (1, 2))
    assert (session.estimate.counted, [entry.stage for entry in session.stages]) == before


def test_a_mark_that_is_gone_is_named(session: Session, field_id: int) -> None:
    """As with every gesture."""
    with pytest.raises(CounterError, match="Mark 9"):
        session.accept_proposals(field_id, (9,))


def test_the_numbers_follow(session: Session, field_id: int) -> None:
    """The share says who says so; what is doubtful is to be checked until somebody says."""
    assert session.states_to_check == ((field_id, 2),)
    (share,) = session.state_shares
    assert (share.basis, share.counted, share.of) == ("proposed", 1, 2)
    session.accept_proposals(field_id, (2,))
    assert len(session.states_to_check) == 0
    assert session.state_shares[0].basis == "mixed"


def test_a_moved_or_redrawn_mark_loses_what_was_proposed(session: Session, field_id: int) -> None:
    """It was seen at another place; what a person said stays."""
    session.set_state(field_id, (2,), "live")
    session.move_mark(field_id, 1, mark(x_px=50.0))
    session.reshape_mark(field_id, 2, mark(x_px=60.0))
    (field,) = session.sample.picture_fields()
    assert field.marks[1].proposal is None
    assert field.marks[2].proposal is None
    assert field.marks[2].state == "live"
