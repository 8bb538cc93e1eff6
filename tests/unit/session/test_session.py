"""The session: gestures in, committed first, then shown."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path

import pytest

from counter.records.store import Store
from counter.session import Session, open_latest
from tests.hatchery import CHAMBER, LARVAE, mark, picture


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    kept = Store(tmp_path / "records.sqlite")
    yield kept
    kept.close()


@pytest.fixture
def session(store: Store) -> Session:
    return Session.start(store, target=LARVAE, chamber=CHAMBER, vessel_ml=20_000.0, name="tank 3")


def test_a_sample_stands_when_it_is_opened_again(store: Store, session: Session) -> None:
    """What a session shows and what another one reads are the same, undo included."""
    (field_id,) = session.add_picture_fields([picture(mark(1), mark(2))])
    new = session.add_mark(field_id, mark(x_px=80.0))
    session.remove_marks(field_id, [1])
    assert session.undo() == "removed a larva on field-01.png"
    again = open_latest(store)
    assert again is not None
    assert again.sample == session.sample
    assert list(next(again.sample.picture_fields()).marks) == [1, 2, new]
    assert again.redo() == "removed a larva on field-01.png"
    assert again.undo() is not None
    assert again.undo() == "added a larva on field-01.png"
    assert again.undo() is None


def test_a_sample_without_a_name_is_named_after_its_time(store: Store) -> None:
    """A quick count needs nothing typed."""
    taken = datetime(2031, 5, 6, 7, 8, tzinfo=UTC)
    session = Session.start(store, target=LARVAE, chamber=CHAMBER, taken_at=taken)
    assert session.sample.name == f"{taken.astimezone():%Y-%m-%d %H:%M}"


def test_nothing_to_open_in_empty_records(store: Store) -> None:
    """Empty records have no latest sample."""
    assert open_latest(store) is None
