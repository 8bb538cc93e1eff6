"""Batches and tanks."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta

import pytest

from counter.errors import UsageError
from counter.records.store import Store

SPAWNED = datetime(2031, 5, 6, 9, 30, tzinfo=UTC)


@pytest.fixture
def store() -> Iterator[Store]:
    kept = Store(":memory:")
    yield kept
    kept.close()


def test_a_batch_comes_back_and_its_age_follows_its_fertilisation(store: Store) -> None:
    """Correcting the time of fertilisation corrects every age: none is stored."""
    batch = store.add_batch("B1", "eastern-oyster", parents="4 × 6", fertilised_at=SPAWNED)
    assert (batch.name, batch.species, batch.parents) == ("B1", "eastern-oyster", "4 × 6")
    assert batch.age_at(SPAWNED + timedelta(days=6)) == timedelta(days=6)
    corrected = store.set_fertilised_at(batch.batch_id, SPAWNED - timedelta(days=1))
    assert corrected.age_at(SPAWNED + timedelta(days=6)) == timedelta(days=7)
    assert store.batches() == (corrected,)


def test_names_are_taken_once(store: Store) -> None:
    """Two batches, or two tanks of a batch, never share a name; other batches' tanks may."""
    first = store.add_batch("B1", "eastern-oyster")
    second = store.add_batch("B2", "eastern-oyster")
    with pytest.raises(UsageError, match="“B1” already"):
        store.add_batch(" B1 ", "eastern-oyster")
    tank = store.add_tank(first.batch_id, "T1", 20_000.0)
    other = store.add_tank(second.batch_id, "T1")
    with pytest.raises(UsageError, match="“T1” already"):
        store.add_tank(first.batch_id, "T1")
    assert store.tanks() == (tank, other)
    assert store.tanks(second.batch_id) == (other,)


def test_what_cannot_be_is_refused(store: Store) -> None:
    """No name, no such batch, no such tank, no volume."""
    batch = store.add_batch("B1", "eastern-oyster")
    with pytest.raises(UsageError, match="batch has no name"):
        store.add_batch("  ", "eastern-oyster")
    with pytest.raises(UsageError, match="tank has no name"):
        store.add_tank(batch.batch_id, "")
    with pytest.raises(UsageError, match="tank's name is too long"):
        store.add_tank(batch.batch_id, "x" * 201)
    with pytest.raises(UsageError, match="no batch 7"):
        store.add_tank(7, "T1")
    with pytest.raises(UsageError, match="no batch 7"):
        store.set_fertilised_at(7, SPAWNED)
    with pytest.raises(UsageError, match="no tank 7"):
        store.tank(7)
    for volume in (0.0, -1.0, float("inf"), float("nan")):
        with pytest.raises(UsageError, match="above 0"):
            store.add_tank(batch.batch_id, "T1", volume)
