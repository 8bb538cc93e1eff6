"""The demo hatchery's records: batch, tanks, lens, and every count as it would have been made."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

from numpy.random import Generator, default_rng

from counter.commands.hatchery.pictures import sample_folder
from counter.commands.hatchery.reviewing import look_through
from counter.commands.hatchery.story import Count, Story, TankStory
from counter.counting import CountSettings, count_pictures
from counter.domain.catalogue import chamber, species
from counter.domain.chamber import Chamber, Square
from counter.domain.field import PictureField
from counter.domain.progress import Silent
from counter.domain.scale import Lens
from counter.domain.species import EGG, TargetKind, target_of
from counter.errors import CounterError
from counter.imaging.draw import Scene
from counter.imaging.read import read_pages
from counter.records.store import Store
from counter.session import Session

SPECIES = "eastern-oyster"
CHAMBER = "sedgewick-rafter"
_STRIP_MM2 = 50.0
_KEY_TIME = timedelta(seconds=0.9)
_TO_THE_BENCH = timedelta(minutes=12)

Step = Callable[[str], None]


class BenchClock:
    """The time at the bench: it moves on a little at every look, from ``start``."""

    def __init__(self, start: datetime) -> None:
        self._now = start

    def __call__(self) -> datetime:
        """Return the time of the next keypress."""
        self._now += _KEY_TIME
        return self._now


class Scribe:
    """Writes the story into ``store``.

    ``drawn`` is what is on each picture, by its path under ``folder``, where the pictures lie now;
    they will be found in ``home``. ``now`` (with time zone) is an hour after the last count;
    ``step`` hears what has been written.
    """

    def __init__(
        self,
        store: Store,
        story: Story,
        drawn: Mapping[Path, Scene],
        folder: Path,
        home: Path,
        now: datetime,
        step: Step,
    ) -> None:
        self._store = store
        self._story = story
        self._drawn = drawn
        self._folder = folder
        self._home = home
        self._step = step
        self._rng = default_rng([story.seed, 1])
        whole_hour = now.replace(minute=0, second=0, microsecond=0)
        self._fertilised_at = whole_hour - timedelta(days=story.last_day, hours=2)
        self._lens = Lens(
            name=story.lens,
            um_per_px=story.um_per_px,
            standard_error=0.0007,
            calibrated_on=self._fertilised_at.date(),
            width_px=story.width_px,
            height_px=story.height_px,
        )

    def write(self) -> None:
        """Write everything; each count is committed as if it were typed."""
        self._store.save_lens(self._lens)
        batch = self._store.add_batch(
            self._story.batch,
            SPECIES,
            parents=self._story.parents,
            fertilised_at=self._fertilised_at,
        )
        for tank in self._story.tanks:
            entry = self._store.add_tank(batch.batch_id, tank.name, tank.volume_ml)
            for count in tank.counts:
                self._sample(entry.tank_id, tank, count)

    def _sample(self, tank_id: int, tank: TankStory, count: Count) -> None:
        name = f"{tank.name}, day {count.day}"
        taken_at = self._fertilised_at + timedelta(days=count.day, hours=1 if count.day else 0.5)
        clock = BenchClock(taken_at + _TO_THE_BENCH)
        kind = TargetKind.EGGS if EGG in count.shares else TargetKind.LARVAE
        session = Session.start(
            self._store,
            target=target_of(species(SPECIES), kind),
            chamber=chamber(CHAMBER),
            dilution=count.dilution,
            vessel_ml=count.vessel_ml,
            name=name,
            lens=self._story.lens if count.pictured else None,
            tank_id=tank_id,
            taken_at=taken_at,
            who=tank.who,
            clock=clock,
        )
        if count.pictured:
            self._add_pictures(session, tank, count)
        else:
            _tally(session, self._story, count, self._rng)
        self._step(name)

    def _add_pictures(self, session: Session, tank: TankStory, count: Count) -> None:
        """Count the drawn pictures, and look through what this tank's technician did."""
        sample = session.sample
        settings = CountSettings(sample.target, sample.chamber, lens=self._lens)
        folder = self._folder / sample_folder(tank.name, count.day)
        counted = count_pictures([folder], settings, Silent(), jobs=1)
        for failure in counted.failed:
            raise CounterError(f"{failure.file}: {failure.reason}")
        for filling in counted.sample.fillings:
            filling_id = session.add_filling()
            for entry in filling.fields:
                if isinstance(entry, PictureField):
                    self._add_picture(session, entry, filling_id, tank.reviewed)

    def _add_picture(
        self, session: Session, field: PictureField, filling_id: int, reviewed: bool
    ) -> None:
        """Add a counted picture, by the path that it will have; correct it if it is reviewed."""
        place = Path(field.picture.file).relative_to(self._folder)
        moved = replace(field, picture=replace(field.picture, file=str(self._home / place)))
        (field_id,) = session.add_picture_fields([moved], filling_id)
        if reviewed:
            photo = next(read_pages(field.picture.file)).with_scale(self._lens.um_per_px)
            look_through(session, field_id, photo, self._drawn[place].larvae)


def _tally(session: Session, story: Story, count: Count, rng: Generator) -> None:
    """Fill the chamber a few times and press a key for each one seen in a few strips."""
    strip = _strip(session.sample.chamber)
    expected = count.counted_per_ml * session.sample.chamber.volume_of_area_ul(strip.area_mm2) / 1e3
    for _ in range(story.fillings):
        filling_id = session.add_filling()
        field_id = session.start_tally(strip.name, strip.area_mm2, filling_id)
        for _ in range(story.squares):
            for key in _keys(count, expected, rng):
                session.tally(field_id, key)
            session.square_done(field_id)
        session.finish_tally(field_id)


def _keys(count: Count, expected: float, rng: Generator) -> list[str]:
    stages = list(count.shares)
    pressed = rng.choice(stages, int(rng.poisson(expected)), p=list(count.shares.values()))
    return [str(key) for key in pressed]


def _strip(counted_in: Chamber) -> Square:
    """The chamber's strip of 50 mm²."""
    (strip,) = (square for square in counted_in.squares if square.area_mm2 == _STRIP_MM2)
    return strip
