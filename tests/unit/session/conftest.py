"""A store in memory and an empty sample in it."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from counter.records.store import Store
from counter.session import Session
from tests.hatchery import CHAMBER, LARVAE


@pytest.fixture
def store() -> Iterator[Store]:
    """An empty store."""
    kept = Store(":memory:")
    yield kept
    kept.close()


@pytest.fixture
def session(store: Store) -> Session:
    """A sample of a 20 L vessel without any fields."""
    return Session.start(
        store, target=LARVAE, chamber=CHAMBER, vessel_ml=20_000.0, name="tank 3", who="ida"
    )
