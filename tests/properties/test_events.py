"""Events of every kind, there and back through JSON; any sequence of gestures, folded."""

from __future__ import annotations

import random
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from types import NoneType, UnionType
from typing import Any, get_args, get_origin, get_type_hints

from hypothesis import given, settings
from hypothesis import strategies as st

from counter.domain.events import Event
from counter.domain.field import PictureField
from counter.domain.ledger import Ledger
from counter.domain.mark import Mark
from counter.domain.scale import Scale
from counter.domain.species import Species, Target, TargetKind
from counter.domain.uncertainty import VolumeUncertainty
from counter.records.codec import KINDS, decode, encode
from counter.records.store import Store
from counter.session import Session
from tests.hatchery import CHAMBER, LARVAE
from tests.records.gestures import random_gesture

NUMBERS = st.floats(allow_nan=False, allow_infinity=False)
WORDS = st.text(st.characters(exclude_categories=["Cs"]), max_size=12)


def values(hint: Any) -> st.SearchStrategy[Any]:
    """Return anything of this type that a record may hold."""
    if hint in _SIMPLE:
        return _SIMPLE[hint]
    origin, inside = get_origin(hint), get_args(hint)
    if origin is UnionType or isinstance(hint, UnionType):
        return st.one_of([values(member) for member in inside])
    if origin is tuple and inside[-1] is Ellipsis:
        return st.lists(values(inside[0]), max_size=3).map(tuple)
    if origin is tuple:
        return st.tuples(*map(values, inside))
    if origin is frozenset:
        return st.frozensets(values(inside[0]), max_size=3)
    if isinstance(hint, type) and issubclass(hint, Enum):
        return st.sampled_from(list(hint))
    assert is_dataclass(hint), hint
    return built(hint)


def built(kind: Any) -> st.SearchStrategy[Any]:
    """Return values of a dataclass with anything in its fields."""
    hints = get_type_hints(kind)
    return st.builds(kind, **{field.name: values(hints[field.name]) for field in fields(kind)})


def pictures(entries: tuple[Any, list[Mark], bool, int]) -> PictureField:
    picture, marks, reviewed, field_id = entries
    return PictureField(field_id, picture, {mark.mark_id: mark for mark in marks}, reviewed)


def targets(entries: tuple[TargetKind, Species, float, float]) -> Target:
    kind, species, low, more = entries
    return Target(kind, species, low, low + more)


_SIMPLE: dict[Any, st.SearchStrategy[Any]] = {
    int: st.integers(),
    float: NUMBERS,
    str: WORDS,
    bool: st.booleans(),
    NoneType: st.none(),
}
_SIMPLE[Scale] = st.builds(Scale, st.floats(0.02, 50.0), WORDS, st.none() | NUMBERS)
_SIMPLE[VolumeUncertainty] = st.builds(
    VolumeUncertainty, *[st.floats(0.0, 0.5)] * 5, st.lists(WORDS, max_size=3).map(tuple)
)
_SIMPLE[Target] = st.tuples(
    st.sampled_from(TargetKind), built(Species), st.floats(0.5, 500.0), st.floats(0.5, 500.0)
).map(targets)
_SIMPLE[PictureField] = st.deferred(
    lambda: st.tuples(
        built(get_type_hints(PictureField)["picture"]),
        st.lists(built(Mark), max_size=3),
        st.booleans(),
        st.integers(),
    ).map(pictures)
)
EVENTS: Mapping[str, st.SearchStrategy[Event]] = {kind: built(made) for kind, made in KINDS.items()}


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(sorted(EVENTS)).flatmap(lambda kind: EVENTS[kind]))
def test_any_event_comes_back_from_json_as_it_was(event: Event) -> None:
    """To the last digit, whatever is in its fields."""
    kind, body = encode(event)
    again = decode(kind, body)
    assert again == event
    assert type(again) is type(event)
    assert encode(again) == (kind, body)


@settings(max_examples=25, deadline=None)
@given(seed=st.integers(0, 2**32), number=st.integers(1, 60))
def test_any_sequence_of_gestures_stands_when_opened_again(seed: int, number: int) -> None:
    """The sample in the window, the one folded from the store, and every state undone and redone
    are the same."""
    store = Store(":memory:")
    session = Session.start(store, target=LARVAE, chamber=CHAMBER, name="t", who="ida")
    dice = random.Random(seed)
    for _ in range(number):
        random_gesture(session, dice)
    opened = Session(store, session.sample_id, who="ida")
    assert opened.sample == session.sample
    assert opened.history() == session.history()
    assert (opened.undo_description, opened.redo_description) == (
        session.undo_description,
        session.redo_description,
    )
    states = [opened.sample]
    while opened.undo() is not None:
        states.append(opened.sample)
    for state in reversed(states[:-1]):
        assert opened.redo() is not None
        assert opened.sample == state
    assert Session(store, session.sample_id).sample == states[0]
    store.close()


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 2**32))
def test_the_record_up_to_any_event_is_a_sample(seed: int) -> None:
    """A crash may end the record anywhere: it folds to what stood then."""
    store = Store(":memory:")
    session = Session.start(store, target=LARVAE, chamber=CHAMBER, name="t")
    stood = {session.last_seq: session.sample}
    session.add_listener(lambda: stood.update({session.last_seq: session.sample}))
    dice = random.Random(seed)
    for _ in range(40):
        random_gesture(session, dice)
    entries = [(recorded.seq, recorded.event) for recorded in store.events(session.sample_id)]
    for end in dice.sample(range(1, len(entries) + 1), min(5, len(entries))):
        assert Ledger.of(entries[:end]).sample == stood[entries[end - 1][0]]
    store.close()
