"""Records that older programs left behind, kept as real files, still say what they said."""

from __future__ import annotations

import json
import shutil
import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from counter.records.codec import KINDS, OLD_KINDS
from counter.records.store import Store
from tests.records.freeze import FOLDER, fill, of_this_revision, summary

FROZEN = sorted(FOLDER.glob("*.sqlite"))


def test_there_is_a_frozen_file_of_this_revision() -> None:
    """A new revision brings its own (see tests/records/freeze.py)."""
    assert of_this_revision()


@pytest.mark.parametrize("path", FROZEN, ids=lambda path: path.stem)
def test_frozen_records_still_say_what_they_said(path: Path, tmp_path: Path) -> None:
    """Every batch, tank, lens, sample, mark and line of history."""
    copy = tmp_path / path.name
    shutil.copyfile(path, copy)
    store = Store(copy)
    assert store.notices == ()
    assert summary(store) == json.loads(path.with_suffix(".json").read_text(encoding="utf-8"))
    store.close()


def test_every_kind_of_event_is_frozen() -> None:
    """So that no change of an event's fields goes unnoticed."""
    frozen: set[str] = set()
    for path in FROZEN:
        with closing(sqlite3.connect(f"file:{path}?mode=ro&immutable=1", uri=True)) as connection:
            frozen |= {kind for (kind,) in connection.execute("SELECT kind FROM event")}
    assert frozen == {*KINDS, *OLD_KINDS}


def test_the_same_gestures_say_the_same_today() -> None:
    """What is written now is what the last frozen file of this revision holds."""
    store = Store(":memory:")
    fill(store)
    frozen = of_this_revision()[-1].with_suffix(".json")
    assert summary(store) == json.loads(frozen.read_text(encoding="utf-8"))
    store.close()
