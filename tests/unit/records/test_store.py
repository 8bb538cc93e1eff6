"""The store: appended events, samples, and errors in plain words."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest
from sqlalchemy.exc import StatementError

from counter.domain import events
from counter.errors import UsageError
from counter.records.store import Store
from counter.records.trouble import Overtaken
from tests.hatchery import mark, picture, started

NOON = datetime(2031, 5, 6, 12, 0, tzinfo=UTC)


@pytest.fixture
def store() -> Iterator[Store]:
    kept = Store(":memory:")
    yield kept
    kept.close()


def test_events_come_back_in_order_with_time_and_person(store: Store) -> None:
    """Times come back in UTC whatever zone they went in with."""
    sample_id = store.new_sample(started(), at=NOON, who="ida")
    east = NOON.astimezone(timezone(timedelta(hours=9))) + timedelta(minutes=1)
    counted = events.PictureCounted(1, picture(mark(1), field_id=1))
    assert store.append(sample_id, counted, at=east, who="jon") == 2
    first, second = store.events(sample_id)
    assert (first.seq, first.at, first.who, first.event) == (1, NOON, "ida", started())
    assert (second.seq, second.event, second.who) == (2, counted, "jon")
    assert second.at == NOON + timedelta(minutes=1)
    assert second.at.utcoffset() == timedelta(0)
    assert store.events(sample_id, after=1) == (second,)
    assert store.events(sample_id, after=2) == ()
    assert [stamp.seq for stamp in store.stamps(sample_id)] == [1, 2]


def test_a_time_without_zone_is_a_bug(store: Store) -> None:
    """A naive time could mean anything."""
    sample_id = store.new_sample(started())
    with pytest.raises(StatementError, match="no time zone"):
        store.append(sample_id, events.NameSet("x"), at=datetime(2031, 5, 6))
    assert len(store.events(sample_id)) == 1


def test_who_comes_too_late_is_told_and_nothing_is_written(store: Store) -> None:
    """Two windows never write the same seq."""
    sample_id = store.new_sample(started())
    store.append(sample_id, events.NameSet("a"), after=1)
    with pytest.raises(Overtaken, match="Another window"):
        store.append(sample_id, events.NameSet("b"), after=1, name="b")
    assert [recorded.event for recorded in store.events(sample_id, after=1)] == [
        events.NameSet("a")
    ]
    assert store.sample_entry(sample_id).name == started().name
    assert store.append(sample_id, events.NameSet("c")) == 3


def test_an_unknown_sample_is_named(store: Store) -> None:
    """Reading, appending, assigning: each says which sample there is not."""
    for ask in (
        lambda: store.events(5),
        lambda: store.sample_entry(5),
        lambda: store.append(5, events.NameSet("x")),
        lambda: store.append(5, events.NameSet("x"), after=3),
        lambda: store.assign_tank(5, None, NOON),
    ):
        with pytest.raises(UsageError, match="no sample 5"):
            ask()


def test_samples_are_listed_the_latest_taken_first(store: Store) -> None:
    """With the tank, the name as it is now, and when something last happened."""
    batch = store.add_batch("B1", "eastern-oyster")
    tank = store.add_tank(batch.batch_id, "T1")
    old = store.new_sample(started("old"), taken_at=NOON, at=NOON + timedelta(hours=1))
    new = store.new_sample(
        started("new"), tank_id=tank.tank_id, taken_at=NOON + timedelta(days=2), at=NOON
    )
    store.append(new, events.NameSet("newer"), at=NOON + timedelta(days=3), name="newer")
    first, second = store.samples()
    assert (first.sample_id, first.name, first.tank_id) == (new, "newer", tank.tank_id)
    assert (first.taken_at, first.created_at) == (NOON + timedelta(days=2), NOON)
    assert first.changed_at == NOON + timedelta(days=3)
    assert (second.sample_id, second.tank_id) == (old, None)
    assert store.samples(tank.tank_id) == (first,)
    assert store.latest_sample() == new


def test_a_quick_count_can_be_given_its_tank_later(store: Store) -> None:
    """And the time when the water was taken."""
    batch = store.add_batch("B1", "eastern-oyster")
    tank = store.add_tank(batch.batch_id, "T1")
    sample_id = store.new_sample(started())
    store.assign_tank(sample_id, tank.tank_id, NOON)
    entry = store.sample_entry(sample_id)
    assert (entry.tank_id, entry.taken_at) == (tank.tank_id, NOON)
    with pytest.raises(UsageError, match="no tank 9"):
        store.assign_tank(sample_id, 9, NOON)
    with pytest.raises(UsageError, match="no tank 9"):
        store.new_sample(started(), tank_id=9)


def test_empty_records_have_no_latest_sample(store: Store) -> None:
    """Nothing found is None, not an error."""
    assert store.latest_sample() is None
    assert store.samples() == ()


def test_a_file_keeps_what_is_in_it(tmp_path: Path) -> None:
    """Closed and opened again, with the settings that make a commit last."""
    first = Store(tmp_path / "log.sqlite")
    sample_id = first.new_sample(started())
    with first._engine.connect() as connection:
        settings = {
            name: connection.exec_driver_sql(f"PRAGMA {name}").scalar_one()
            for name in ("journal_mode", "synchronous", "foreign_keys")
        }
    assert settings == {"journal_mode": "wal", "synchronous": 2, "foreign_keys": 1}
    first.close()
    second = Store(tmp_path / "log.sqlite")
    assert second.events(sample_id)[0].event == started()
    second.close()


def test_much_can_be_committed_at_once(tmp_path: Path) -> None:
    """Inside the block it can be read; outside it stands as a whole, or not at all."""
    path = tmp_path / "log.sqlite"
    store, other = Store(path), Store(path)
    with store.together():
        sample_id = store.new_sample(started())
        store.append(sample_id, events.NameSet("a"), after=1, name="a")
        assert len(store.events(sample_id)) == 2
        assert other.samples() == ()
    assert [entry.name for entry in other.samples()] == ["a"]
    with pytest.raises(Overtaken):
        _overtake(store, sample_id)
    assert [entry.name for entry in store.samples()] == ["a"]
    assert len(other.events(sample_id)) == 2
    assert store.append(sample_id, events.NameSet("d")) == 3
    store.close()
    other.close()


def _overtake(store: Store, sample_id: int) -> None:
    with store.together():
        store.append(sample_id, events.NameSet("b"), after=2, name="b")
        store.append(sample_id, events.NameSet("c"), after=2)


def test_earlier_samples_are_those_of_the_same_tank(store: Store) -> None:
    """The latest taken first, at most as many as asked for; none without a tank."""
    batch = store.add_batch("spawn 9", "test-oyster")
    tank = store.add_tank(batch.batch_id, "tank 1").tank_id
    other = store.add_tank(batch.batch_id, "tank 2").tank_id
    day = timedelta(days=1)
    ids = [
        store.new_sample(started(str(n)), tank_id=tank, taken_at=NOON + n * day) for n in range(5)
    ]
    store.new_sample(started("other"), tank_id=other, taken_at=NOON)
    quick = store.new_sample(started("quick"), taken_at=NOON + 9 * day)
    assert [entry.sample_id for entry in store.earlier_samples(ids[4])] == ids[3:0:-1]
    assert [entry.name for entry in store.earlier_samples(ids[2], most=1)] == ["1"]
    assert store.earlier_samples(ids[0]) == ()
    assert store.earlier_samples(quick) == ()
