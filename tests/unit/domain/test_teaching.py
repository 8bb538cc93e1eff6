"""What corrections say of each thing that the finder saw; what they don't say."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable
from dataclasses import replace

from hypothesis import given
from hypothesis import strategies as st

from counter.domain.events import (
    Event,
    FieldReviewed,
    MarkMoved,
    MarksAdded,
    MarksJoined,
    MarkSplit,
    MarksRemoved,
    PictureCounted,
    PictureRecounted,
    SampleStarted,
    Undone,
)
from counter.domain.ledger import Ledger
from counter.domain.lesson import Lesson, Prospect, Survey, Taught
from counter.domain.lookup import picture_of
from counter.domain.mark import Mark
from counter.domain.species import TargetKind
from counter.domain.teaching import Handled, handled, still_taught, taught
from tests.hatchery import CHAMBER, LARVAE, mark, picture

FAR = 100.0
"""In pixels: 125 µm, so that no two bodies meet."""


def prospect(x_px: float, score: float = 0.9, length_um: float = 72.0) -> Prospect:
    return Prospect(x_px, 20.0, length_um, False, score, (0.0,))


def surveyed(*prospects: Prospect) -> Survey:
    return Survey("net/1", TargetKind.LARVAE, 60.0, 350.0, 1.25, prospects)


SEEN = surveyed(*(prospect(FAR * n) for n in range(3)), prospect(3 * FAR, score=0.2))
"""Three bodies that became marks 1 to 3 and one that did not."""


def found() -> tuple[Mark, ...]:
    return tuple(mark(n + 1, x_px=FAR * n) for n in range(3))


def ledger(*later: Event) -> Ledger:
    first = SampleStarted(target=LARVAE, chamber=CHAMBER, name="day 6")
    counted = PictureCounted(1, picture(*found(), field_id=1))
    return Ledger.of(enumerate([first, counted, *later], 1))


def said(*later: Event, survey: Survey = SEEN, after: int = 0) -> dict[int, tuple[bool, bool, int]]:
    """What the events from seq 3 on say: prospect to (is it a body, by hand, which event)."""
    book = ledger(*later)
    by_hand = handled(book.standing, after).get(1, Handled())
    lessons = taught(survey, picture_of(book.sample, 1), by_hand)
    return {each.index: (each.is_body, each.by_hand, each.seq) for each in lessons}


def test_a_field_that_nobody_touched_says_nothing() -> None:
    """Counted is not corrected."""
    assert said() == {}


def test_what_is_removed_is_no_body_and_the_rest_says_nothing_yet() -> None:
    """The field was not looked through."""
    assert said(MarksRemoved(1, (2,))) == {1: (False, True, 3)}


def test_what_is_added_where_something_was_seen_is_a_body() -> None:
    """And what is added where nothing was seen teaches nothing."""
    placed = mark(4, x_px=3 * FAR + 5, origin="placed")
    assert said(MarksAdded(1, (placed,))) == {3: (True, True, 3)}
    elsewhere = mark(4, x_px=7 * FAR, origin="placed")
    assert said(MarksAdded(1, (elsewhere,))) == {}


def test_a_field_looked_through_says_something_of_all_that_was_seen() -> None:
    """Marks that stay are bodies; what was left unmarked is none."""
    yes, no = (True, False, 3), (False, False, 3)
    assert said(FieldReviewed(1)) == {0: yes, 1: yes, 2: yes, 3: no}


def test_a_field_to_be_looked_through_again_says_nothing() -> None:
    """The look was taken back."""
    assert said(FieldReviewed(1), FieldReviewed(1, reviewed=False)) == {}


def test_undo_takes_its_example_back() -> None:
    """Of a removal, an addition, a look."""
    placed = mark(4, x_px=3 * FAR)
    for event in (MarksRemoved(1, (2,)), MarksAdded(1, (placed,)), FieldReviewed(1)):
        assert said(event)
        assert said(event, Undone(3)) == {}


def test_a_double_that_is_removed_says_nothing_of_the_body_beneath() -> None:
    """Another mark still stands on it."""
    double = mark(4, x_px=4.0, length_um=140.0)
    seen = surveyed(prospect(0.0), prospect(4.0, length_um=140.0))
    events = (MarksAdded(1, (double,)), MarksRemoved(1, (1,)))
    assert 0 not in said(*events, survey=seen)


def test_splitting_and_joining_are_no_verdict() -> None:
    """What stands in their place lies on the same bodies."""
    parts = (mark(4, x_px=-12.0, length_um=38.0), mark(5, x_px=12.0, length_um=38.0))
    assert said(MarkSplit(1, 1, parts)) == {}
    both = surveyed(prospect(-15.0, length_um=40.0), prospect(15.0, length_um=40.0))
    joined = MarksJoined(1, (1, 2), mark(4, x_px=0.0, length_um=90.0))
    assert said(joined, FieldReviewed(1), survey=both) == {}


def test_a_mark_that_was_moved_away_says_nothing_of_where_it_was() -> None:
    """Only the place where it stands now is a body."""
    moved = MarkMoved(1, mark(1, x_px=3 * FAR))
    told = said(moved, FieldReviewed(1))
    assert 0 not in told
    assert told[3] == (True, False, 4)


def test_what_the_border_cuts_says_something_only_by_hand() -> None:
    """Whether it counts is the edge rule's matter; nobody looks at it closely."""
    cut = surveyed(*(replace(each, is_cut=True) for each in SEEN.prospects))
    assert said(FieldReviewed(1), survey=cut) == {}
    assert said(MarksRemoved(1, (2,)), survey=cut) == {1: (False, True, 3)}


def test_counting_again_begins_anew() -> None:
    """What was corrected on the old count is gone from the picture, and from what it teaches."""
    again = PictureRecounted(replace(picture(*found()), field_id=1))
    assert said(MarksRemoved(1, (2,)), FieldReviewed(1), again) == {}
    assert said(FieldReviewed(1), again, MarksRemoved(1, (1,))) == {0: (False, True, 5)}


def test_what_was_said_before_counting_again_can_be_kept() -> None:
    """All of it, and nothing of it for a picture that was counted once."""
    before = (Taught(1, False, True, 3), Taught(2, True, False, 4))
    assert still_taught(before, Handled(recounted=5)) == before
    assert still_taught(before, Handled(recounted=4)) == before[:1]
    assert still_taught(before, Handled()) == ()


def test_what_is_forgotten_teaches_no_more_and_what_follows_does() -> None:
    """Forgotten up to event 4: the look before is forgotten, the removal after is not."""
    events = (MarksRemoved(1, (1,)), FieldReviewed(1), MarksRemoved(1, (2,)))
    assert said(*events, after=4) == {1: (False, True, 5)}
    assert said(*events, after=5) == {}


def test_a_long_mark_among_short_ones_is_still_met() -> None:
    """The search by squares of the picture misses no neighbour."""
    wide = mark(4, x_px=FAR + 60.0, length_um=300.0)
    seen = surveyed(prospect(FAR + 130.0, length_um=61.0))
    assert said(MarksAdded(1, (wide,)), FieldReviewed(1), survey=seen) == {}


def orders(events: Iterable[Event]) -> Iterable[tuple[Event, ...]]:
    return itertools.permutations(events)


def test_the_order_of_corrections_changes_nothing() -> None:
    """Apart from the numbers of the events."""
    placed = mark(4, x_px=3 * FAR)
    events = (MarksRemoved(1, (1,)), MarksRemoved(1, (3,)), MarksAdded(1, (placed,)),
              FieldReviewed(1))  # fmt: skip
    told = [{index: each[:2] for index, each in said(*way).items()} for way in orders(events)]
    assert all(one == told[0] for one in told)
    assert told[0] == {
        0: (False, True), 1: (True, False), 2: (False, True), 3: (True, True)
    }  # fmt: skip


GESTURES: tuple[Callable[[int], Event], ...] = (
    lambda n: MarksRemoved(1, (n % 3 + 1,)),
    lambda n: MarksAdded(1, (mark(10 + n, x_px=FAR * (n % 5)),)),
    lambda n: FieldReviewed(1, n % 2 == 0),
)


@given(st.lists(st.tuples(st.sampled_from(GESTURES), st.integers(0, 20)), max_size=6))
def test_undoing_everything_leaves_nothing_taught(
    steps: list[tuple[Callable[[int], Event], int]],
) -> None:
    """Whatever was done: each undo gives what was taught before the gesture."""
    book = ledger()
    before = []
    for make, number in steps:
        marks = picture_of(book.sample, 1).marks
        event = make(number)
        if isinstance(event, MarksRemoved) and event.mark_ids[0] not in marks:
            continue
        before.append(_now(book))
        book.accept(book.last_seq + 1, book.prepared(event))
    for expected in reversed(before):
        assert book.undoable is not None
        book.accept(book.last_seq + 1, book.prepared(Undone(book.undoable)))
        assert _now(book) == expected
    assert _now(book) == ()


def _now(book: Ledger) -> tuple[Taught, ...]:
    return taught(SEEN, picture_of(book.sample, 1), handled(book.standing).get(1, Handled()))


def test_examples_carry_what_was_seen() -> None:
    """A lesson's examples are its prospects with what was said of them."""
    lesson = Lesson(7, 1, "10x", SEEN, (Taught(3, True, True, 9), Taught(0, True, False, 9)))
    first, second = lesson.examples()
    assert (first.where, first.x_px, first.score, first.by_hand) == ((7, 1), 300.0, 0.2, True)
    assert (second.x_px, second.is_body, second.by_hand) == (0.0, True, False)
    assert (first.overrules, second.overrules, lesson.corrections) == (True, False, 1)
