"""The demo hatchery: a week of counts that agree with what is really in its tanks."""

from __future__ import annotations

import json
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from counter.commands.hatchery.story import STORY, Story
from counter.commands.hatchery.writing import RECORDS, TO_COUNT, steps_of, write_hatchery
from counter.errors import CounterError
from counter.imaging.read import picture_files, read_pages
from counter.records.store import Store
from counter.session import Session

NOW = datetime(2026, 6, 9, 14, 20, tzinfo=UTC)
SMALL: Story = replace(
    STORY, width_px=460, height_px=350, fillings=2, squares=1, picture_fillings=1, fields=2
)


@pytest.fixture(scope="module")
def hatchery(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A small demo hatchery, written once."""
    folder = tmp_path_factory.mktemp("demo") / "small"
    write_hatchery(folder, SMALL, NOW)
    return folder


@pytest.fixture
def store(hatchery: Path) -> Iterator[Store]:
    """Its records."""
    with closing(Store(hatchery / RECORDS)) as opened:
        yield opened


def test_every_count_of_the_story_is_in_the_records(store: Store) -> None:
    """One batch, its tanks, its lens, and a sample for each count, with dilution and vessel."""
    (batch,) = store.batches()
    assert (batch.name, batch.species) == (SMALL.batch, "eastern-oyster")
    assert [tank.name for tank in store.tanks(batch.batch_id)] == ["A1", "A2"]
    assert store.lens(SMALL.lens).um_per_px == SMALL.um_per_px
    for told, tank in zip(SMALL.tanks, store.tanks(), strict=True):
        samples = list(reversed(store.samples(tank.tank_id)))
        assert len(samples) == len(told.counts)
        for count, entry in zip(told.counts, samples, strict=True):
            sample = Session(store, entry.sample_id).sample
            assert sample.vessel_ml == count.vessel_ml
            assert sample.dilution == count.dilution
            assert len(sample.fillings) == (1 if count.pictured else SMALL.fillings)


def test_the_week_ends_now(store: Store) -> None:
    """Ages are those of the story, and nothing has happened in the future."""
    (batch,) = store.batches()
    for told, tank in zip(SMALL.tanks, store.tanks(), strict=True):
        for count, entry in zip(told.counts, reversed(store.samples(tank.tank_id)), strict=True):
            age = batch.age_at(entry.taken_at)
            assert age is not None
            assert age.days == count.day
            assert entry.taken_at < entry.changed_at < NOW
            assert NOW - entry.taken_at < timedelta(days=SMALL.last_day + 1)


def test_the_totals_agree_with_what_is_in_the_tanks(store: Store) -> None:
    """At most one of ten 95 % limits may miss what the story says is there (tallied ones)."""
    missed = 0
    for told, tank in zip(SMALL.tanks, store.tanks(), strict=True):
        for count, entry in zip(told.counts, reversed(store.samples(tank.tank_id)), strict=True):
            if count.pictured:
                continue
            estimate = Session(store, entry.sample_id).estimate
            assert estimate.low is not None
            assert estimate.high is not None
            missed += not estimate.low <= count.alive <= estimate.high
    assert missed <= 1


def test_the_larvae_grow_and_are_staged(store: Store) -> None:
    """Eggs on day 0, D-hinge on day 1, umbo on day 7 with lengths around the story's."""
    tank = store.tanks()[0]
    first, hatched, *_, last = [
        Session(store, entry.sample_id) for entry in reversed(store.samples(tank.tank_id))
    ]
    assert {stage.stage for stage in first.stages} == {"egg"}
    assert max(hatched.stages, key=lambda stage: stage.counted).stage == "d-hinge"
    assert max(last.stages, key=lambda stage: stage.counted).stage == "umbo"
    assert last.sizes is not None
    assert last.sizes.median == pytest.approx(200, abs=30)


def test_reviewed_pictures_hold_what_was_drawn(store: Store, hatchery: Path) -> None:
    """The first tank's pictures were looked through: as many marks as larvae drawn."""
    tank = store.tanks()[0]
    session = Session(store, store.samples(tank.tank_id)[0].sample_id)
    fields = list(session.sample.picture_fields())
    assert len(fields) == SMALL.fields
    for field in fields:
        assert field.reviewed
        assert len(field.marks) == drawn_larvae(hatchery, Path(field.picture.file))
        assert Path(field.picture.file).is_relative_to(hatchery)
        assert next(read_pages(field.picture.file)).width_px == SMALL.width_px
    assert all(not field.reviewed for field in _last_of(store, 1).sample.picture_fields())


def drawn_larvae(hatchery: Path, picture: Path) -> int:
    """How many larvae the truth of a picture holds."""
    place = picture.relative_to(hatchery).with_suffix(".json").parts[1:]
    truth = json.loads((hatchery / "truth" / "-".join(place)).read_text(encoding="utf-8"))
    return int(truth["larvae"])


def _last_of(store: Store, tank: int) -> Session:
    entry = store.samples(store.tanks()[tank].tank_id)[0]
    return Session(store, entry.sample_id)


def test_there_is_a_filling_to_count_and_a_micrometer(hatchery: Path) -> None:
    """Pictures that nobody has counted wait beside a stage micrometer and a word about it all."""
    assert len(picture_files([hatchery / TO_COUNT])) == SMALL.fields
    assert (hatchery / "calibration" / "stage-micrometer.png").is_file()
    assert SMALL.hatchery in (hatchery / "READ-ME.txt").read_text(encoding="utf-8")


def test_each_step_is_reported(tmp_path: Path) -> None:
    """As many steps are reported as were foretold, and the story can be written into any folder."""
    tiny = replace(SMALL, tanks=SMALL.tanks[:1], width_px=260, height_px=200, fields=1)
    tiny = replace(tiny, tanks=(replace(tiny.tanks[0], counts=tiny.tanks[0].counts[-1:]),))
    steps: list[str] = []
    write_hatchery(tmp_path / "new" / "deep", tiny, NOW, steps.append)
    assert len(steps) == steps_of(tiny)
    assert steps[-1] == "A1, day 7"


def test_a_folder_that_holds_something_is_left_alone(tmp_path: Path) -> None:
    """A non-empty folder is refused by name, and what is in it stays."""
    (tmp_path / "mine.txt").write_text("keep", encoding="utf-8")
    with pytest.raises(CounterError, match="not empty"):
        write_hatchery(tmp_path, SMALL, NOW)
    assert [path.name for path in tmp_path.iterdir()] == ["mine.txt"]


def test_a_file_in_the_way_is_named(tmp_path: Path) -> None:
    """A file is no folder."""
    blocked = tmp_path / "blocked"
    blocked.write_text("", encoding="utf-8")
    with pytest.raises(CounterError, match="is a file"):
        write_hatchery(blocked, SMALL, NOW)


def test_what_cannot_be_written_leaves_nothing_behind(tmp_path: Path) -> None:
    """An unwritable place is one sentence with the reason, and no half-made folder stays."""
    blocked = tmp_path / "blocked"
    blocked.write_text("", encoding="utf-8")
    with pytest.raises(CounterError, match="cannot be written"):
        write_hatchery(blocked / "demo", SMALL, NOW)
    assert [path.name for path in tmp_path.iterdir()] == ["blocked"]


def test_a_failure_half_way_leaves_nothing_behind(tmp_path: Path) -> None:
    """Whatever stops the writing, the folder is as it was."""

    def full(_: str) -> None:
        raise OSError(28, "No space left on device")

    with pytest.raises(CounterError, match="No space left on device"):
        write_hatchery(tmp_path / "demo", replace(SMALL, width_px=260, height_px=200), NOW, full)
    assert list(tmp_path.iterdir()) == []
