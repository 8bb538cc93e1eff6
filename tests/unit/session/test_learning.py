"""Lenses learn from corrections, follow undo, forget everything, and never claim too much."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from counter.domain.field import PictureField
from counter.domain.lesson import Prospect, Survey
from counter.domain.mark import Mark
from counter.domain.scale import Scale
from counter.domain.species import TargetKind
from counter.imaging.looks import STANDARD
from counter.imaging.net import NoNetworkError
from counter.imaging.rescore import network_version
from counter.records.store import Store
from counter.session import Session
from counter.session.learning import Learning
from tests.hatchery import CHAMBER, EGGS, LARVAE, mark, picture

DARK = list(STANDARD).index("dark")
LARVAE_HERE, ALGAE_HERE = 5, 3
APART_PX = 100.0


def found() -> tuple[Mark, ...]:
    """Five larvae, then three algae that the finder took for larvae."""
    return tuple(mark(n + 1, x_px=APART_PX * n) for n in range(LARVAE_HERE + ALGAE_HERE))


ALGAE = range(LARVAE_HERE + 1, LARVAE_HERE + ALGAE_HERE + 1)


def surveyed(entry: PictureField, network: str = "") -> Survey:
    """What the finder saw: every mark, and something small that it refused."""
    rng = np.random.default_rng(entry.field_id)
    prospects = []
    for number in range(LARVAE_HERE + ALGAE_HERE + 1):
        looks = [0.0] * len(STANDARD)
        looks[DARK] = float(rng.normal(0 if number < LARVAE_HERE else -2, 0.2))
        score = 0.9 if number < LARVAE_HERE + ALGAE_HERE else 0.1
        prospects.append(Prospect(APART_PX * number, 20.0, 72.0, False, score, tuple(looks)))
    return Survey(
        network or network_version(), TargetKind.LARVAE, 60.0, 350.0,
        entry.picture.scale.um_per_px, tuple(prospects),
    )  # fmt: skip


def survey_all(learning: Learning, session: Session) -> int:
    """Do what the window does in the background; return how many fields it took."""
    learning.follow(session)
    fields = learning.to_survey(session)
    for entry in fields:
        learning.take(session, entry.field_id, surveyed(entry))
    return len(fields)


def correct(session: Session, field_ids: Sequence[int]) -> None:
    """Remove the algae and say that the field was looked through."""
    for field_id in field_ids:
        session.remove_marks(field_id, ALGAE)
        session.set_reviewed(field_id)


@pytest.fixture
def fields(session: Session) -> tuple[int, ...]:
    """Five counted pictures through the lens 10x."""
    session.set_lens("10x")
    return session.add_picture_fields([picture(*found()) for _ in range(5)])


@pytest.fixture
def learning(store: Store) -> Learning:
    return Learning(store)


def test_nothing_is_learnt_from_fields_that_nobody_touched(
    session: Session, fields: tuple[int, ...], learning: Learning
) -> None:
    """No picture is even surveyed."""
    assert fields
    assert survey_all(learning, session) == 0
    assert learning.rescorer("10x", LARVAE) is None
    assert "yet: it begins after" in learning.told("10x", LARVAE).words


def test_corrections_teach_the_lens(
    session: Session, fields: tuple[int, ...], learning: Learning
) -> None:
    """Fifteen algae removed on five fields: the next alga is refused, and it is said why."""
    correct(session, fields)
    assert survey_all(learning, session) == 5
    rescorer = learning.rescorer("10x", LARVAE)
    assert rescorer is not None
    assert (rescorer.corrections, rescorer.examples) == (15, 45)
    told = learning.told("10x", LARVAE)
    assert told.words.startswith("Learnt from 15 corrections with this lens: tried on fields")
    assert "0 of 15 wrong" in told.words
    assert told.is_used
    assert learning.rescorer("4x", LARVAE) is None
    assert learning.rescorer(None, LARVAE) is None
    assert learning.rescorer("10x", EGGS) is None


def test_each_field_is_surveyed_once_whatever_follows(
    session: Session, fields: tuple[int, ...], learning: Learning
) -> None:
    """Later corrections are followed without the picture, also after a restart."""
    correct(session, fields[:1])
    assert survey_all(learning, session) == 1
    session.add_mark(fields[0], mark(x_px=APART_PX * 8))
    assert survey_all(learning, session) == 0
    assert learning.learnt("10x", LARVAE).corrections == 4
    again = Learning(session.store)
    assert survey_all(again, session) == 0
    assert again.learnt("10x", LARVAE).corrections == 4


def test_undo_takes_the_example_back_and_redo_brings_it(
    session: Session, fields: tuple[int, ...], learning: Learning
) -> None:
    """Step by step, to the lens that was never taught."""
    correct(session, fields[:1])
    survey_all(learning, session)
    counts = []
    while learning.learnt("10x", LARVAE).examples:
        counts.append(learning.learnt("10x", LARVAE).examples)
        session.undo()
        learning.follow(session)
    assert counts == [9, 3]
    assert session.store.lesson_counts("10x") == ()
    session.redo()
    session.redo()
    assert survey_all(learning, session) == 0
    assert learning.learnt("10x", LARVAE).examples == 9


def test_forgetting_is_as_if_never_taught(
    store: Store, session: Session, fields: tuple[int, ...], learning: Learning
) -> None:
    """What was learnt, what is said, what a new look at the open sample gives."""
    never = (learning.learnt("10x", LARVAE), learning.told("10x", LARVAE))
    correct(session, fields)
    survey_all(learning, session)
    learning.forget("10x")
    assert survey_all(learning, session) == 0
    assert (learning.learnt("10x", LARVAE), learning.told("10x", LARVAE)) == never
    assert survey_all(Learning(store), session) == 0
    assert store.lessons_of(session.sample_id) == ()
    session.set_reviewed(fields[0], False)
    session.set_reviewed(fields[0])
    assert survey_all(learning, session) == 1, "what is done after it teaches again"


def test_the_order_in_which_fields_are_corrected_changes_nothing(store: Store) -> None:
    """Nor the order in which they are surveyed; two lenses, taught the same, are alike."""
    learnt = []
    for lens, way in (("a", (0, 1, 2, 3, 4)), ("b", (3, 1, 4, 0, 2))):
        session = Session.start(store, target=LARVAE, chamber=CHAMBER, lens=lens, who="")
        ids = session.add_picture_fields([picture(*found()) for _ in range(5)])
        learning = Learning(store)
        for index in way:
            correct(session, ids[index : index + 1])
            survey_all(learning, session)
        rescorer = learning.rescorer(lens, LARVAE)
        assert rescorer is not None
        learnt.append(replace(rescorer, lens=""))
    assert learnt[0] == learnt[1]


def test_the_switch_leaves_what_was_learnt_alone(
    session: Session, fields: tuple[int, ...], learning: Learning
) -> None:
    """Off: the finder as it ships, and it says so; on again: as before."""
    correct(session, fields)
    survey_all(learning, session)
    before = learning.rescorer("10x", LARVAE)
    learning.use("10x", False)
    told = learning.told("10x", LARVAE)
    assert learning.rescorer("10x", LARVAE) is None
    assert "switched off" in told.words
    assert (told.is_on, told.is_used, told.corrections) == (False, False, 15)
    learning.use("10x", True)
    assert learning.rescorer("10x", LARVAE) == before


def test_without_a_lens_nothing_is_learnt_and_it_says_why(
    session: Session, fields: tuple[int, ...], learning: Learning
) -> None:
    """Taking the lens away takes its lessons away; another lens gets them."""
    correct(session, fields)
    survey_all(learning, session)
    session.set_lens("4x")
    learning.follow(session)
    assert learning.learnt("10x", LARVAE).examples == 0
    assert learning.learnt("4x", LARVAE).corrections == 15
    session.set_lens(None)
    assert survey_all(learning, session) == 0
    assert learning.learnt("4x", LARVAE).examples == 0
    assert "No lens is chosen" in learning.told(None, LARVAE).words


def test_a_new_network_learns_anew_and_says_what_rests(
    session: Session, fields: tuple[int, ...], learning: Learning,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    """Lessons of another network are not used; each field is surveyed again while it is open."""
    correct(session, fields)
    survey_all(learning, session)
    monkeypatch.setattr("counter.session.learning.network_version", lambda: "newer/1")
    learning.refresh()
    assert learning.rescorer("10x", LARVAE) is None
    told = learning.told("10x", LARVAE)
    assert "15 corrections taught another version of the finder" in told.words
    first, *_ = learning.to_survey(session)
    learning.take(session, first.field_id, surveyed(first, "newer/1"))
    assert len(learning.to_survey(session)) == 4
    assert learning.learnt("10x", LARVAE).corrections == 3


def test_without_the_network_nothing_is_learnt_and_it_says_why(
    session: Session, fields: tuple[int, ...], learning: Learning,
    monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    """No field is surveyed, nothing is used, nothing is lost."""

    def missing() -> str:
        raise NoNetworkError("gone.")

    correct(session, fields)
    survey_all(learning, session)
    monkeypatch.setattr("counter.session.learning.network_version", missing)
    learning.refresh()
    assert learning.to_survey(session) == ()
    assert learning.rescorer("10x", LARVAE) is None
    assert "cannot be read" in learning.told("10x", LARVAE).words
    assert len(session.store.lessons_of(session.sample_id)) == 5


def test_counting_again_keeps_what_was_taught_until_it_is_said_anew(
    session: Session, fields: tuple[int, ...], learning: Learning
) -> None:
    """The new count, adjusted, is looked through: the same is said; undo leads back."""
    correct(session, fields)
    survey_all(learning, session)
    before = learning.rescorer("10x", LARVAE)
    for field_id in fields:
        session.recount(field_id, picture(*found()[:LARVAE_HERE]))
    assert survey_all(learning, session) == 0
    assert learning.rescorer("10x", LARVAE) == before
    session.set_reviewed(fields[0])
    learning.follow(session)
    assert learning.rescorer("10x", LARVAE) == before
    mark_id = next(iter(session.sample.fillings[0].fields[1].marks))  # type: ignore[union-attr]
    session.remove_marks(fields[1], [mark_id])
    learning.follow(session)
    assert learning.learnt("10x", LARVAE).corrections == 16
    for _ in range(7):
        session.undo()
    learning.follow(session)
    assert learning.rescorer("10x", LARVAE) == before


def test_another_scale_or_target_asks_for_another_survey(
    session: Session, fields: tuple[int, ...], learning: Learning
) -> None:
    """What was seen at another scale is not what would be seen now."""
    correct(session, fields[:2])
    survey_all(learning, session)
    session.set_scale(fields[0], Scale(1.3, "given"))
    learning.follow(session)
    assert learning.learnt("10x", LARVAE).corrections == 3
    assert [entry.field_id for entry in learning.to_survey(session)] == [fields[0]]
    session.set_target(EGGS)
    learning.follow(session)
    assert learning.learnt("10x", LARVAE).corrections == 0
    assert len(learning.to_survey(session)) == 2


def test_a_field_that_is_removed_teaches_no_more(
    session: Session, fields: tuple[int, ...], learning: Learning
) -> None:
    """And again after undo."""
    correct(session, fields[:1])
    survey_all(learning, session)
    session.remove_field(fields[0])
    learning.follow(session)
    assert learning.learnt("10x", LARVAE).examples == 0
    session.undo()
    learning.follow(session)
    assert learning.learnt("10x", LARVAE).examples == 9


def test_other_samples_with_the_lens_teach_it_too(
    store: Store, session: Session, fields: tuple[int, ...], learning: Learning
) -> None:
    """Two samples, and the sample that is open does not matter."""
    correct(session, fields[:1])
    survey_all(learning, session)
    other = Session.start(store, target=LARVAE, chamber=CHAMBER, lens="10x", who="")
    ids = other.add_picture_fields([picture(*found())])
    correct(other, ids)
    survey_all(learning, other)
    assert learning.learnt("10x", LARVAE).corrections == 6
    assert learning.rescorer("10x", LARVAE) is not None
