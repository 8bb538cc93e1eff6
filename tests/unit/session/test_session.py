"""The session as a whole: starting, opening, history, listeners, two windows at once."""

from __future__ import annotations

import getpass
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from counter.domain.sample import Dilution
from counter.errors import CounterError, UsageError
from counter.records.store import Store
from counter.records.trouble import Overtaken
from counter.session import Session, open_latest
from tests.hatchery import CHAMBER, LARVAE, mark, picture

NOON = datetime(2031, 5, 6, 12, 0, tzinfo=UTC)


def test_a_sample_stands_when_it_is_opened_again(tmp_path: Path) -> None:
    """What a session shows and what another program reads are the same, undo included."""
    store = Store(tmp_path / "records.sqlite")
    session = Session.start(store, target=LARVAE, chamber=CHAMBER)
    (field_id,) = session.add_picture_fields([picture(mark(1), mark(2))])
    new = session.add_mark(field_id, mark(x_px=80.0))
    session.remove_marks(field_id, [1])
    assert session.undo() == "removed a larva on field-01.png"
    store.close()
    later = Store(tmp_path / "records.sqlite")
    again = open_latest(later)
    assert again is not None
    assert again.sample == session.sample
    assert list(next(again.sample.picture_fields()).marks) == [1, 2, new]
    assert again.redo() == "removed a larva on field-01.png"
    assert again.undo() is not None
    assert again.undo() == "added a larva on field-01.png"
    assert again.undo() is None
    assert again.redo() == "added a larva on field-01.png"
    later.close()


def test_a_sample_without_a_name_is_named_after_its_time(store: Store) -> None:
    """A quick count needs nothing typed."""
    session = Session.start(store, target=LARVAE, chamber=CHAMBER, taken_at=NOON)
    assert session.sample.name == f"{NOON.astimezone():%Y-%m-%d %H:%M}"
    assert store.sample_entry(session.sample_id).taken_at == NOON


def test_a_sample_starts_with_its_settings_in_its_tank(store: Store) -> None:
    """All of them, and the log book lists it under the tank."""
    batch = store.add_batch("B1", "eastern-oyster", fertilised_at=NOON - timedelta(days=6))
    tank = store.add_tank(batch.batch_id, "T1", 20_000.0)
    session = Session.start(
        store,
        target=LARVAE,
        chamber=CHAMBER,
        dilution=Dilution(1, 9),
        vessel_ml=800.0,
        confidence=0.9,
        name=" grading ",
        lens="10x",
        tank_id=tank.tank_id,
        taken_at=NOON,
    )
    sample = session.sample
    assert (sample.name, sample.lens, sample.vessel_ml) == ("grading", "10x", 800.0)
    assert (sample.dilution.factor, sample.confidence) == (10.0, 0.9)
    (entry,) = store.samples(tank.tank_id)
    assert (entry.sample_id, entry.name) == (session.sample_id, "grading")
    assert batch.age_at(entry.taken_at) == timedelta(days=6)


def test_settings_that_cannot_be_start_no_sample(store: Store) -> None:
    """And nothing is left behind in the records."""
    with pytest.raises(UsageError, match="vessel of 0 mL"):
        Session.start(store, target=LARVAE, chamber=CHAMBER, vessel_ml=0.0)
    with pytest.raises(UsageError, match=r"dilution of 0\+9"):
        Session.start(store, target=LARVAE, chamber=CHAMBER, dilution=Dilution(0, 9))
    with pytest.raises(UsageError, match="confidence of 95"):
        Session.start(store, target=LARVAE, chamber=CHAMBER, confidence=95)
    with pytest.raises(UsageError, match="no tank 4"):
        Session.start(store, target=LARVAE, chamber=CHAMBER, tank_id=4)
    assert store.samples() == ()


def test_nothing_to_open_in_empty_records(store: Store) -> None:
    """Empty records have no latest sample; an unknown one is named."""
    assert open_latest(store) is None
    with pytest.raises(UsageError, match="no sample 12"):
        Session(store, 12)


def test_the_sample_worked_on_last_is_opened(store: Store) -> None:
    """Not the one begun last."""
    clock = iter(NOON + timedelta(minutes=number) for number in range(9)).__next__
    first = Session.start(store, target=LARVAE, chamber=CHAMBER, name="first", clock=clock)
    Session.start(store, target=LARVAE, chamber=CHAMBER, name="second", clock=clock)
    latest = open_latest(store)
    assert latest is not None
    assert latest.sample.name == "second"
    first.set_edges(first.sample.edges.BOTTOM_LEFT)
    latest = open_latest(store)
    assert latest is not None
    assert latest.sample.name == "first"


def test_history_tells_what_happened_when_and_by_whom(store: Store) -> None:
    """The audit trail: also what was undone since."""
    clock = iter(NOON + timedelta(minutes=number) for number in range(9)).__next__
    session = Session.start(
        store, target=LARVAE, chamber=CHAMBER, taken_at=NOON, who="ida", clock=clock
    )
    session.add_picture_fields([picture(mark(1))])
    other = Session(store, session.sample_id, who="jon", clock=clock)
    other.add_mark(1, mark(x_px=80.0))
    other.undo()
    assert [
        (line.who, line.at - NOON, line.description, line.undone) for line in other.history()
    ] == [
        ("ida", timedelta(0), "started the sample", False),
        ("ida", timedelta(minutes=1), "found a larva on field-01.png", False),
        ("jon", timedelta(minutes=2), "added a larva on field-01.png", True),
        ("jon", timedelta(minutes=3), "took back: added a larva on field-01.png", False),
    ]


def test_listeners_hear_of_a_change_when_it_is_written(session: Session, store: Store) -> None:
    """Once a gesture, after the commit; one that was removed hears nothing."""
    heard: list[tuple[str, str]] = []

    def listener() -> None:
        heard.append((session.sample.name, store.sample_entry(session.sample_id).name))

    session.add_listener(listener)
    session.set_name("tank 4")
    session.set_name("tank 4")
    assert heard == [("tank 4", "tank 4")]
    session.undo()
    assert heard[1:] == [("tank 3", "tank 3")]
    session.remove_listener(listener)
    session.remove_listener(listener)
    session.redo()
    assert len(heard) == 2
    assert store.sample_entry(session.sample_id).name == "tank 4"


def test_a_gesture_that_cannot_be_done_changes_and_writes_nothing(
    session: Session, store: Store
) -> None:
    """The mark that is gone is named."""
    (field_id,) = session.add_picture_fields([picture(mark(1))])
    session.remove_marks(field_id, [1])
    before, events = session.sample, store.events(session.sample_id)
    with pytest.raises(CounterError, match=r"Mark 1 is no longer on field-01\.png"):
        session.remove_marks(field_id, [1])
    assert session.sample is before
    assert store.events(session.sample_id) == events


def test_two_windows_on_one_sample_never_mix(store: Store, session: Session) -> None:
    """The later one is told, sees the other's gestures, and can do its own again."""
    (field_id,) = session.add_picture_fields([picture(mark(1))])
    other = Session(store, session.sample_id)
    other.add_mark(field_id, mark(x_px=80.0))
    heard: list[int] = []
    session.add_listener(lambda: heard.append(len(next(session.sample.picture_fields()).marks)))
    with pytest.raises(Overtaken, match="Another window"):
        session.add_mark(field_id, mark(x_px=120.0))
    assert session.sample == other.sample
    assert heard == [2]
    session.add_mark(field_id, mark(x_px=120.0))
    assert heard == [2, 3]
    other.refresh()
    assert other.sample == session.sample


def test_undo_and_redo_are_named_before_they_are_done(session: Session) -> None:
    """For the menu."""
    assert (session.undo_description, session.redo_description) == (None, None)
    assert (session.undo(), session.redo()) == (None, None)
    session.set_vessel_ml(800.0)
    assert session.undo_description == "set the vessel to 800 mL"
    assert session.undo() == "set the vessel to 800 mL"
    assert session.redo_description == "set the vessel to 800 mL"
    assert session.redo() == "set the vessel to 800 mL"
    assert session.sample.vessel_ml == 800.0


def test_a_system_that_does_not_tell_who_sits_there_is_no_obstacle(
    monkeypatch: pytest.MonkeyPatch, store: Store
) -> None:
    """The history has an empty name then."""

    def unknown() -> str:
        raise OSError

    monkeypatch.setattr(getpass, "getuser", unknown)
    session = Session.start(store, target=LARVAE, chamber=CHAMBER)
    assert [line.who for line in session.history()] == [""]
