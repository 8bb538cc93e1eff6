"""Cautions and effort follow the sample; the last one of its tank is found through the store."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from counter.domain.ruled import RuledGrid
from counter.domain.sample import Dilution
from counter.domain.scale import Scale
from counter.errors import CounterError
from counter.records.store import Store
from counter.session import Session
from counter.statistics.whole_working import whole_working
from tests.hatchery import CHAMBER, EGGS, LARVAE, mark, picture

NOON = datetime(2031, 5, 6, 12, 0, tzinfo=UTC)
DAY = timedelta(days=1)


def take(
    store: Store, tank_id: int | None, day: float, larvae: int, length_um: float = 72.0
) -> Session:
    """A sample of this tank, taken on this day, with this many larvae on one picture."""
    session = Session.start(
        store,
        target=LARVAE,
        chamber=CHAMBER,
        vessel_ml=20_000.0,
        name=f"day {day:g}",
        tank_id=tank_id,
        taken_at=NOON + day * DAY,
        who="ida",
    )
    if larvae:
        marks = (mark(number, length_um=length_um) for number in range(1, larvae + 1))
        session.add_picture_fields([picture(*marks)])
    return session


@pytest.fixture
def tank_id(store: Store) -> int:
    """A tank of a batch that was fertilised on day 0."""
    batch = store.add_batch("spawn 7", "test-oyster", fertilised_at=NOON)
    return store.add_tank(batch.batch_id, "tank 3").tank_id


def test_the_last_sample_of_the_tank_is_the_one_before(store: Store, tank_id: int) -> None:
    """By when the water was taken, not by when it was written down; empty ones are passed over."""
    other = store.add_tank(store.tank(tank_id).batch_id, "tank 4").tank_id
    today = take(store, tank_id, 6.0, 30)
    take(store, tank_id, 2.0, 40)
    four = take(store, tank_id, 4.0, 35)
    take(store, tank_id, 5.0, 0)
    take(store, tank_id, 8.0, 20)
    take(store, other, 5.5, 20)
    last = today.last
    assert last is not None
    assert last.entry.sample_id == four.sample_id
    assert last.days == pytest.approx(2.0)
    assert last.taken.estimate.counted == 35
    assert today.last is last
    assert today.age_days == pytest.approx(6.0)


def test_a_sample_without_a_tank_has_no_last_one_and_no_age(store: Store, tank_id: int) -> None:
    """A quick count stands alone."""
    take(store, tank_id, 1.0, 30)
    quick = take(store, None, 2.0, 300)
    assert quick.last is None
    assert quick.age_days is None
    assert quick.cautions == quick.estimate.warnings


def test_a_jump_since_the_last_sample_is_a_caution(store: Store, tank_id: int) -> None:
    """It comes after the estimate's own warnings and goes when the jump does."""
    take(store, tank_id, 1.0, 30)
    today = take(store, tank_id, 3.0, 120)
    assert today.cautions[: len(today.estimate.warnings)] == today.estimate.warnings
    assert "about 4.0 times the last total" in today.cautions[-1]
    field = next(today.sample.picture_fields())
    today.remove_marks(field.field_id, list(field.marks)[:85])
    assert not any("last total" in words for words in today.cautions)


def test_settings_are_held_against_those_of_the_last_sample(store: Store, tank_id: int) -> None:
    """Vessel and dilution."""
    take(store, tank_id, 1.0, 60).set_dilution(Dilution(1, 9))
    today = take(store, tank_id, 3.0, 55)
    today.set_dilution(Dilution(1, 10))
    assert any("last time it was 1+9" in words for words in today.cautions)
    today.set_vessel_ml(2_000.0)
    assert any("exactly 10 times less" in words for words in today.cautions)


def test_a_correction_of_the_last_sample_is_seen(store: Store, tank_id: int) -> None:
    """Another window may have corrected it since."""
    yesterday = take(store, tank_id, 1.0, 30)
    today = take(store, tank_id, 3.0, 120)
    assert any("last total" in words for words in today.cautions)
    field = next(yesterday.sample.picture_fields())
    yesterday.add_marks(field.field_id, [mark() for _ in range(80)])
    today.set_name("day 3, again")
    assert not any("last total" in words for words in today.cautions)


def test_lengths_are_held_against_the_age_of_the_batch(store: Store, tank_id: int) -> None:
    """200 µm on day 1 is another objective."""
    today = take(store, tank_id, 1.0, 8, length_um=200.0)
    assert any("too long for day 1" in words for words in today.cautions)
    assert any("another objective" in words for words in today.cautions)


def test_a_last_sample_that_cannot_be_read_does_not_stop_the_count(
    store: Store, tank_id: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is said, and the other cautions stand."""
    take(store, tank_id, 1.0, 30)
    today = take(store, tank_id, 3.0, 120)

    def refuse(*_: object) -> None:
        raise CounterError("the records are of a newer program.")

    monkeypatch.setattr(store, "events", refuse)
    assert today.cautions[-1] == (
        "The last sample of this tank cannot be compared: the records are of a newer program."
    )


def test_rulings_that_contradict_the_scale_are_a_caution_until_it_is_put_right(
    store: Store, tank_id: int
) -> None:
    """One sentence for all pictures that say the same, naming the first."""
    session = take(store, tank_id, 2.0, 0)
    grid = RuledGrid(160, 90, 0.0, 400.0, 0.1, 6, 10.0, 10.0)
    shown = picture(mark(1))
    shown = replace(shown, picture=replace(shown.picture, grid=grid))
    ids = session.add_picture_fields([shown, shown])
    (words,) = [words for words in session.cautions if "The rulings say" in words]
    assert words.startswith("field-01.png and 1 more: The rulings say 2.5 µm per pixel")
    for field_id in ids:
        session.set_scale(field_id, Scale(2.5, "rulings"))
    assert not [words for words in session.cautions if "The rulings say" in words]


def test_the_effort_follows_the_count(session: Session) -> None:
    """Nothing before any was counted, then how many more."""
    before = session.effort
    assert before == ""
    session.add_picture_fields([picture(*(mark(number) for number in range(1, 101)))])
    assert session.effort.startswith("±20 % now: about 300 more (3 more fillings")


def test_growth_is_that_since_the_last_sample(store: Store, tank_id: int) -> None:
    """10 µm in two days, of larvae alike; none where nothing was measured or eggs were."""
    first = take(store, tank_id, 2.0, 10)
    assert first.growth is None
    today = take(store, tank_id, 4.0, 12, length_um=82.0)
    grown = today.growth
    assert grown is not None
    assert grown.um_per_day == pytest.approx(5.0)
    assert grown.days == pytest.approx(2.0)
    assert today.working[:-6] == whole_working(today.sample, today.estimate)
    assert today.working[-6].startswith("Growth since ")
    assert today.working[-1].startswith("Limits (95 %): (10 ± ")
    assert not any("Growth" in line for line in first.working)
    assert take(store, tank_id, 5.0, 0).growth is None
    first.set_target(EGGS)
    assert Session(store, today.sample_id, who="ida").growth is None


def test_notes_on_sizes_follow_the_sample(
    store: Store, tank_id: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Growth is left out where the last sample cannot be read."""
    take(store, tank_id, 2.0, 10)
    today = take(store, tank_id, 4.0, 12, length_um=82.0)
    assert today.sizes_notes[-1].startswith("Growth 5.0 µm a day")

    def refuse(*_: object) -> None:
        raise CounterError("the records are of a newer program.")

    again = Session(store, today.sample_id, who="ida")
    monkeypatch.setattr(store, "events", refuse)
    assert not any("Growth" in words for words in again.sizes_notes)
