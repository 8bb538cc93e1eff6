"""The ledger: events in, a sample out; undo and redo are events too."""

from __future__ import annotations

import pytest

from counter.domain import events
from counter.domain.events import Event, Redone, Undone
from counter.domain.ledger import NEAR, SPACING, Ledger
from counter.domain.tally_field import TallyField
from counter.errors import CounterError
from tests.hatchery import mark, picture, started


def ledger(*later: Event) -> Ledger:
    return Ledger.of(enumerate((started(), *later), 1))


def add(to: Ledger, event: Event) -> None:
    to.accept(to.last_seq + 1, to.prepared(event))


def counted(*numbers: int, field_id: int = 1, file: str = "field-01.png") -> Event:
    marks = (mark(number) for number in numbers)
    return events.PictureCounted(1, picture(*marks, field_id=field_id, file=file))


def mark_ids(of: Ledger, field_id: int = 1) -> list[int]:
    return [
        number
        for entry in of.sample.picture_fields()
        if entry.field_id == field_id
        for number in entry.marks
    ]


def test_a_record_without_a_beginning_is_refused() -> None:
    """No events, or a first event that is not a start, make no sample."""
    with pytest.raises(CounterError, match="no beginning"):
        Ledger.of([])
    with pytest.raises(CounterError, match="no beginning"):
        Ledger.of([(1, events.NameSet("x"))])


def test_a_sample_begins_once() -> None:
    """A second start is refused and changes nothing."""
    book = ledger()
    with pytest.raises(CounterError, match="begins twice"):
        book.prepared(started("another"))
    assert book.sample.name == "tank 3, day 6"


def test_preparing_changes_nothing() -> None:
    """Only accepting a step changes the ledger, so that it can be committed in between."""
    book = ledger(counted(1))
    before = book.sample
    book.prepared(events.MarksAdded(1, (mark(2),)))
    assert book.sample is before
    assert book.last_seq == 2


def test_undo_takes_back_the_last_gesture_and_redo_brings_it_again() -> None:
    """Both are events with the seq of the gesture."""
    book = ledger(counted(1), events.MarksAdded(1, (mark(2),)), events.MarksRemoved(1, (1,)))
    assert mark_ids(book) == [2]
    assert book.undoable == 4
    add(book, Undone(4))
    assert mark_ids(book) == [1, 2]
    add(book, Undone(3))
    assert mark_ids(book) == [1]
    assert book.undoable is None
    assert book.redoable == 3
    add(book, Redone(3))
    add(book, Redone(4))
    assert mark_ids(book) == [2]
    assert book.redoable is None


def test_undo_passes_over_pictures_that_arrived_since() -> None:
    """A picture counted in the background is not what a person wants to take back."""
    book = ledger(
        counted(1), events.MarksAdded(1, (mark(2),)), counted(1, field_id=2, file="field-02.png")
    )
    add(book, Undone(3))
    assert mark_ids(book, 1) == [1]
    assert mark_ids(book, 2) == [1]
    assert book.undoable is None


def test_an_arriving_picture_leaves_redo_alone_and_a_gesture_ends_it() -> None:
    """What was undone can be brought back until the person does something else."""
    book = ledger(counted(1), events.MarksRemoved(1, (1,)), Undone(3), counted(1, field_id=2))
    assert book.redoable == 3
    add(book, events.MarksAdded(1, (mark(2),)))
    assert book.redoable is None
    with pytest.raises(CounterError, match="redo"):
        book.prepared(Redone(3))


def test_undoing_anything_but_the_last_gesture_is_refused() -> None:
    """A record in which undo does not follow is not guessed at."""
    book = ledger(counted(1), events.MarksAdded(1, (mark(2),)), events.MarksAdded(1, (mark(3),)))
    for seq in (1, 2, 3, 99):
        with pytest.raises(CounterError, match="undo"):
            book.prepared(Undone(seq))


def test_undo_without_end_over_many_checkpoints() -> None:
    """All states come back one by one, also those that were not kept."""
    number = 3 * SPACING + NEAR + 7
    book = ledger(counted())
    states = [book.sample]
    for mark_id in range(1, number + 1):
        add(book, events.MarksAdded(1, (mark(mark_id),)))
        states.append(book.sample)
    for state in reversed(states[:-1]):
        assert book.undoable is not None
        add(book, Undone(book.undoable))
        assert book.sample == state
    assert book.undoable is None
    for state in states[1:]:
        assert book.redoable is not None
        add(book, Redone(book.redoable))
        assert book.sample == state


def test_ids_are_never_used_twice() -> None:
    """A mark placed after an undo is another mark: the history must not mix the two."""
    book = ledger(counted(1, 7), events.MarksAdded(1, (mark(8),)), Undone(3))
    assert book.free_mark_id(1) == 9
    assert book.free_mark_id(99) == 1
    assert book.free_ids() == (2, 2)
    add(book, events.TallyStarted(5, 4, "1 mm square", 1.0))
    add(book, Undone(book.undoable or 0))
    assert book.free_ids() == (6, 5)


def test_lines_tell_what_stands() -> None:
    """Every event in words; what is undone, or was given up by another gesture, is marked."""
    book = ledger(
        counted(1, 2),
        events.MarksAdded(1, (mark(3),)),
        Undone(3),
        events.MarksRemoved(1, (1, 2)),
        Undone(5),
    )
    assert [(line.description, line.undone) for line in book.lines()] == [
        ("started the sample", False),
        ("found 2 larvae on field-01.png", False),
        ("added a larva on field-01.png", True),
        ("took back: added a larva on field-01.png", False),
        ("removed 2 larvae on field-01.png", True),
        ("took back: removed 2 larvae on field-01.png", False),
    ]


def test_a_filling_taken_back_stays_where_a_picture_has_arrived_in_it() -> None:
    """The picture is not lost with the gesture that made its filling."""
    book = ledger(
        counted(1),
        events.FillingAdded(2, aliquot_ul=500.0),
        events.PictureCounted(2, picture(field_id=2)),
        Undone(3),
    )
    second = book.sample.fillings[1]
    assert (second.filling_id, len(second.fields), second.aliquot_ul) == (2, 1, None)


def test_a_tally_is_folded_square_by_square() -> None:
    """Keys go into the open square; only done squares are counts."""
    book = ledger(
        events.TallyStarted(1, 1, "1 mm square", 1.0),
        events.KeyTallied(1, "d-hinge"),
        events.KeyTallied(1, "d-hinge"),
        events.SquareDone(1),
        events.KeyTallied(1, "umbo"),
    )
    (entry,) = book.sample.fillings[0].fields
    assert isinstance(entry, TallyField)
    assert entry.count_by_stage(book.sample.edges) == {"d-hinge": 2}
    add(book, Undone(book.undoable or 0))
    add(book, events.TallyFinished(1, last_square_done=False))
    (entry,) = book.sample.fillings[0].fields
    assert entry.area_mm2 == 1.0


def test_events_out_of_order_are_refused() -> None:
    """A seq that does not grow is a damaged record."""
    book = ledger(counted(1))
    with pytest.raises(CounterError, match="comes after"):
        book.accept(2, book.prepared(events.NameSet("x")))
