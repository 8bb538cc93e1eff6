"""The demo's scribe keeps time and does not hide a picture that cannot be counted."""

from __future__ import annotations

from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from counter.commands.hatchery.logbook import BenchClock, Scribe
from counter.commands.hatchery.pictures import sample_folder
from counter.commands.hatchery.story import STORY
from counter.errors import CounterError
from counter.records.store import Store

NOW = datetime(2026, 6, 9, 14, 20, tzinfo=UTC)


def test_the_clock_at_the_bench_only_goes_forward() -> None:
    """Every look is a little later than the one before, and after the start."""
    clock = BenchClock(NOW)
    looks = [clock() for _ in range(50)]
    assert looks == sorted(set(looks))
    assert looks[0] > NOW
    assert looks[-1] - NOW < timedelta(minutes=2)


def test_a_picture_that_cannot_be_counted_stops_the_demo(tmp_path: Path) -> None:
    """A broken picture is named; it is not left out silently."""
    tank = replace(STORY.tanks[0], counts=STORY.tanks[0].counts[-1:])
    story = replace(STORY, tanks=(tank,))
    broken = tmp_path / sample_folder(tank.name, tank.counts[0].day) / "filling-1" / "field-1.jpg"
    broken.parent.mkdir(parents=True)
    broken.write_bytes(b"not a picture")
    with closing(Store(tmp_path / "records.sqlite")) as store:
        scribe = Scribe(store, story, {}, tmp_path, tmp_path, NOW, lambda _: None)
        with pytest.raises(CounterError, match=r"field-1\.jpg"):
            scribe.write()
