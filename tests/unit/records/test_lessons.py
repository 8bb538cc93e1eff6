"""What lenses are taught: kept with sample and lens, switched, forgotten to the last trace."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from counter.domain.lesson import Lesson, Prospect, Survey, Taught
from counter.domain.species import TargetKind
from counter.errors import CounterError
from counter.records.store import Store
from tests.hatchery import started

PROSPECTS = (
    Prospect(75.5, 20.25, 72.1, False, 0.97, (0.5, -1.25)),
    Prospect(90.0, 33.0, 61.0, True, 0.2, (-3.0, 3.0)),
)
SURVEY = Survey("0123/1", TargetKind.LARVAE, 60.0, 350.0, 1.2402, PROSPECTS)
TAUGHT = (Taught(0, False, True, 4), Taught(1, True, False, 6))


@pytest.fixture
def store() -> Iterator[Store]:
    kept = Store(":memory:")
    yield kept
    kept.close()


def lesson(store: Store, field_id: int = 1, lens: str = "10x") -> Lesson:
    """A lesson of a sample of its own."""
    return Lesson(store.new_sample(started()), field_id, lens, SURVEY, TAUGHT)


def test_a_lesson_comes_back_as_it_was(store: Store) -> None:
    """Every prospect to the last digit, and what was said of it."""
    one = lesson(store)
    store.save_lessons([one])
    assert store.lessons_of(one.sample_id) == (one,)
    assert store.lessons_with("10x", "0123/1", TargetKind.LARVAE) == (one,)
    (counted,) = store.lesson_counts("10x")
    assert (counted.network, counted.kind, counted.corrections) == ("0123/1", SURVEY.kind, 2)


@pytest.fixture(scope="module")
def shared() -> Iterator[Store]:
    kept = Store(":memory:")
    yield kept
    kept.close()


@settings(max_examples=25)
@given(
    prospects=st.lists(
        st.builds(
            Prospect,
            st.floats(-1e4, 1e5), st.floats(-1e4, 1e5), st.floats(1e-3, 1e4), st.booleans(),
            st.floats(0, 1), st.lists(st.floats(-3, 3), max_size=4).map(tuple),
        ),
        max_size=5,
    )
)  # fmt: skip
def test_any_survey_makes_the_round_trip(shared: Store, prospects: list[Prospect]) -> None:
    """Whatever the numbers are, also with nothing seen or said."""
    survey = replace(SURVEY, prospects=tuple(prospects))
    said = tuple(Taught(n, n % 2 == 0, n % 3 == 0, n) for n in range(len(prospects)))
    one = Lesson(shared.new_sample(started()), 3, "µ “10x”", survey, said)
    shared.save_lessons([one])
    assert shared.lessons_of(one.sample_id) == (one,)


def test_a_new_lesson_takes_the_place_of_the_old(store: Store) -> None:
    """One a picture, also when it goes over to another lens."""
    one = lesson(store)
    store.save_lessons([one])
    other = replace(one, lens="4x", taught=())
    store.save_lessons([other])
    assert store.lessons_of(one.sample_id) == (other,)
    store.drop_lessons([other])
    assert store.lessons_of(one.sample_id) == ()


def test_only_lessons_of_the_lens_network_and_target_that_teach_are_given(store: Store) -> None:
    """Not those of others, nor those without an example."""
    kept = lesson(store, 1)
    store.save_lessons(
        [
            kept,
            lesson(store, 2, lens="4x"),
            replace(lesson(store, 3), survey=replace(SURVEY, network="other/1")),
            replace(lesson(store, 4), survey=replace(SURVEY, kind=TargetKind.EGGS)),
            replace(lesson(store, 5), taught=()),
        ]
    )
    assert store.lessons_with("10x", "0123/1", TargetKind.LARVAE) == (kept,)
    assert len(store.lesson_counts("10x")) == 3


def test_a_lens_is_used_until_it_is_switched_off(store: Store) -> None:
    """And on again; each lens for itself."""
    assert store.uses_lessons("10x")
    store.use_lessons("10x", False)
    assert (store.uses_lessons("10x"), store.uses_lessons("4x")) == (False, True)
    store.use_lessons("10x", True)
    assert store.uses_lessons("10x")


def test_forgetting_leaves_no_trace_and_nothing_before_it_teaches(store: Store) -> None:
    """The lessons of this lens are gone, of every sample; those of another stay."""
    one, other = lesson(store), lesson(store, lens="4x")
    store.save_lessons([one, other])
    store.forget_lessons("10x")
    assert store.lessons_of(one.sample_id) == ()
    assert store.lesson_counts("10x") == ()
    assert store.lessons_of(other.sample_id) == (other,)
    assert store.forgotten_up_to("10x", one.sample_id) == 1
    assert store.forgotten_up_to("4x", one.sample_id) == 0
    later = store.new_sample(started())
    assert store.forgotten_up_to("10x", later) == 0
    store.forget_lessons("10x")
    assert store.forgotten_up_to("10x", later) == 1


@pytest.mark.parametrize(
    ("column", "value"),
    [("prospects", "[[1,2]]"), ("prospects", "{"), ("taught", "[[9,true,true,1]]"),
     ("kind", "spat")],
)  # fmt: skip
def test_a_damaged_lesson_is_named(tmp_path: Path, column: str, value: str) -> None:
    """The sentence says which lens and what to do; forgetting helps."""
    path = tmp_path / "log.sqlite"
    store = Store(path)
    one = lesson(store)
    store.save_lessons([one])
    with closing(sqlite3.connect(path)) as connection:
        connection.execute(f"UPDATE lesson SET {column} = ?", (value,))
        connection.commit()
    with pytest.raises(CounterError, match="“10x” was taught cannot be read"):
        store.lessons_of(one.sample_id)
    store.forget_lessons("10x")
    assert store.lessons_of(one.sample_id) == ()
    store.close()
