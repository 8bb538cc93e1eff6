"""Another sample of the records, beside the one that is open."""

from __future__ import annotations

from pathlib import Path

import pytest

from counter.errors import UsageError
from counter.records.store import Store
from counter.session.other import sample_of
from tests import hatchery


def test_it_is_read_as_it_stands(tmp_path: Path) -> None:
    """By its id; one that is not there is refused."""
    store = Store(tmp_path / "records.sqlite")
    sample_id = store.new_sample(hatchery.started("tank 5"))
    assert sample_of(store, sample_id).name == "tank 5"
    with pytest.raises(UsageError, match="no sample 99"):
        sample_of(store, 99)
    store.close()
