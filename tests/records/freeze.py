"""Writes the frozen records of this revision: ``python -m tests.records.freeze``.

Run it once when a revision of the records or a kind of event is new, and commit the files: a
second file of the same revision gets a number. Frozen files are never written again: they are what
older programs left behind.
"""

from __future__ import annotations

import json
import sqlite3
import sys
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import astuple, replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

from counter.domain.edges import EdgeRule
from counter.domain.events import EarlierKnown
from counter.domain.field import PictureField
from counter.domain.house import EarlierSample
from counter.domain.lesson import Lesson, Prospect, Survey, Taught
from counter.domain.logbook import SampleEntry
from counter.domain.mark import Mark
from counter.domain.proposed import Proposal
from counter.domain.sample import Dilution, Sample
from counter.domain.scale import Lens, Scale
from counter.domain.species import TargetKind
from counter.domain.uncertainty import VolumeUncertainty
from counter.records.files import copies_folder
from counter.records.migrating import HEAD
from counter.records.store import Store
from counter.session import Session
from tests.hatchery import CHAMBER, EGGS, LARVAE, WELL, mark, picture

FOLDER = Path(__file__).parent / "frozen"
BEGUN = datetime(2031, 5, 6, 9, 30, tzinfo=UTC)


def of_this_revision(folder: Path = FOLDER) -> list[Path]:
    """Return the frozen files of this revision, the oldest first."""
    return sorted(folder.glob(f"records-r{HEAD}*.sqlite"), key=lambda path: (len(path.stem), path))


def ticking() -> Callable[[], datetime]:
    """Return a clock that goes on by a minute each time it is asked."""
    minutes = iter(range(10_000))
    return lambda: BEGUN + timedelta(days=6, minutes=next(minutes))


def fill(store: Store) -> None:
    """Write a batch, a tank, lenses, a sample with every kind of event, and a short one."""
    batch = store.add_batch("Marsh 7", LARVAE.species.key, parents="4 × 6", fertilised_at=BEGUN)
    tank = store.add_tank(batch.batch_id, "North 2", 20_000.0)
    store.save_lens(Lens("10x", 1.24, 0.0005, date(2031, 5, 1), 2592, 1944))
    store.save_lens(Lens("10x", 1.2402, 0.0004, date(2031, 5, 6), 2592, 1944))
    session = Session.start(
        store,
        target=EGGS,
        chamber=WELL,
        edges=EdgeRule.BOTTOM_RIGHT,
        dilution=Dilution(1.0, 9.0),
        vessel_ml=20_000.0,
        name="day 6",
        tank_id=tank.tank_id,
        taken_at=BEGUN + timedelta(days=6),
        who="ida",
        clock=ticking(),
    )
    _settings(session)
    _pictures(session)
    _tally(session)
    _lessons(store, session)
    Session.start(
        store, target=LARVAE, chamber=CHAMBER, name="quick", taken_at=BEGUN, who="", clock=ticking()
    )


def _settings(session: Session) -> None:
    session.set_target(LARVAE)
    session.set_chamber(CHAMBER.certified(985.5))
    session.set_edges(EdgeRule.TOP_LEFT)
    session.set_dilution(Dilution(1.0, 4.0))
    session.set_vessel_ml(760.5)
    session.set_confidence(0.9)
    session.set_volumes(
        VolumeUncertainty(0.02, 0.0046, 0.003, 0.0, 0.01, ("vessel: 1 %", "chamber: ±3.5 %"))
    )
    session.set_stop_after(7)
    session.know_earlier(EarlierKnown((EarlierSample(7, 31, "larvae", 5.25, 2),)))
    session.set_lens("10x")
    session.set_name("day 6, grading")


def _pictures(session: Session) -> None:
    larvae = [mark(number, x_px=15.0 * number) for number in range(1, 6)]
    larvae[0] = replace(larvae[0], proposal=Proposal(reason="small"))
    larvae[2] = replace(larvae[2], proposal=Proposal("live", 0.875, "", True, 0.9375))
    larvae[4] = replace(
        larvae[4], flags=frozenset({"cut", "blurred"}), score=0.51, proposal=Proposal("dead", 0.75)
    )
    first, second = session.add_picture_fields(
        [picture(*larvae), picture(mark(1), file="folder/feld-µ.tif")]
    )
    session.set_scale(first, Scale(1.2402, "lens", 0.0004))
    session.add_mark(first, mark(x_px=80.0, length_um=148.25, stage="umbo"))
    session.remove_marks(first, [1])
    session.move_mark(first, 2, mark(x_px=33.5))
    session.reshape_mark(first, 3, mark(x_px=45.0, length_um=81.0))
    session.split_mark(first, 4, (mark(x_px=58.0), mark(x_px=63.0)))
    session.join_marks(first, [2, 3], mark(x_px=40.0, length_um=140.0, stage="umbo"))
    session.stage_marks(first, [6], "eyed")
    session.set_state(first, [6], "dead")
    session.accept_proposals(first, [5])
    session.set_reviewed(first)
    session.recount(second, picture(mark(1), mark(2), file="folder/feld-µ.tif"))
    filling = session.add_filling(aliquot_ul=250.0)
    session.set_aliquot_ul(filling, 300.0)
    (third,) = session.add_picture_fields([picture(mark(1))])
    session.remove_field(third)
    session.remove_filling(filling)
    session.undo()
    session.undo()
    session.redo()


def _tally(session: Session) -> None:
    field_id = session.start_tally("1 mm square", 1.0)
    for key in ("d-hinge", "d-hinge", "umbo/dead"):
        session.tally(field_id, key)
    session.square_done(field_id)
    session.finish_tally(field_id)


def _lessons(store: Store, session: Session) -> None:
    prospects = (
        Prospect(75.5, 20.25, 72.125, False, 0.96875, (0.5, -1.25)),
        Prospect(90.0, 33.0, 61.0, True, 0.25, (-3.0, 3.0)),
    )
    survey = Survey("0123456789abcdef/1", TargetKind.LARVAE, 60.0, 350.0, 1.2402, prospects)
    taught = (Taught(0, False, True, 15), Taught(1, True, False, 22))
    store.forget_lessons("4x")
    store.save_lessons([Lesson(session.sample_id, 1, "10x", survey, taught)])
    store.use_lessons("4x", False)


def summary(store: Store) -> dict[str, Any]:
    """Return what the records say, in plain JSON: values, not the words they are told in."""
    return {
        "batches": [
            [b.batch_id, b.name, b.species, b.parents, str(b.fertilised_at)]
            for b in store.batches()
        ],
        "tanks": [[t.tank_id, t.batch_id, t.name, t.volume_ml] for t in store.tanks()],
        "lenses": [
            [x.name, x.um_per_px, x.standard_error, str(x.calibrated_on), x.width_px, x.height_px]
            for x in store.lens_history("10x")
        ],
        "samples": [_sample(store, entry) for entry in store.samples()],
        **_taught(store),
    }


def _taught(store: Store) -> dict[str, Any]:
    """What lenses were taught, where they were: older records hold nothing of it."""
    lessons = [lesson for entry in store.samples() for lesson in store.lessons_of(entry.sample_id)]
    if not lessons:
        return {}
    return {
        "lessons": [
            [*lesson.where, lesson.lens, *map(list, _survey(lesson.survey))]
            + [list(astuple(each)) for each in lesson.taught]
            for lesson in lessons
        ],
        "used": {lens: store.uses_lessons(lens) for lens in ("4x", "10x")},
        "forgotten": [store.forgotten_up_to("4x", e.sample_id) for e in store.samples()],
    }


def _survey(survey: Survey) -> Iterator[tuple[Any, ...]]:
    yield survey.network, survey.kind.value, survey.low_um, survey.high_um, survey.um_per_px
    for each in survey.prospects:
        yield each.x_px, each.y_px, each.length_um, each.is_cut, each.score, *each.features


def _sample(store: Store, entry: SampleEntry) -> dict[str, Any]:
    session = Session(store, entry.sample_id, who="")
    sample = session.sample
    times = (entry.taken_at, entry.created_at, entry.changed_at)
    return {
        "entry": [entry.sample_id, entry.name, entry.tank_id, *map(str, times)],
        "card": _card(sample),
        "fillings": [
            [f.filling_id, f.aliquot_ul, [[e.field_id, e.area_mm2] for e in f.fields]]
            for f in sample.fillings
        ],
        "pictures": [_picture(field) for field in sample.picture_fields()],
        "counts": [dict(f.count_by_stage(sample.edges)) for f in sample.fillings],
        "history": [[x.seq, str(x.at), x.who, x.undone] for x in session.history()],
    }


def _card(sample: Sample) -> list[Any]:
    target, species = sample.target, sample.target.species
    volumes = (
        [[*astuple(sample.volumes)[:5], list(sample.volumes.sources)]]
        if sample.volumes.is_given
        else []
    )
    house = [list(astuple(sample.house))] if sample.house else []
    return [
        *volumes,
        *house,
        [sample.name, sample.lens, sample.vessel_ml, sample.confidence, sample.edges.value],
        [sample.dilution.sample_parts, sample.dilution.water_parts],
        [target.kind.value, target.low_um, target.high_um, species.key, species.latin],
        [[stage.stage, stage.from_um, stage.source] for stage in species.stages],
        [sample.chamber.key, sample.chamber.name, sample.chamber.volume_ul],
        [[square.name, square.area_mm2] for square in sample.chamber.squares],
    ]


def _picture(field: PictureField) -> list[Any]:
    shown, scale = field.picture, field.picture.scale
    return [
        [field.field_id, field.reviewed, shown.file, shown.page, shown.width_px, shown.height_px],
        [scale.um_per_px, scale.source, scale.standard_error],
        [_mark(found) for found in field.marks.values()],
    ]


def _mark(found: Mark) -> list[Any]:
    return [
        [found.mark_id, found.x_px, found.y_px, *map(list, found.outline_px)],
        [found.length_um, found.width_um, found.area_um2],
        [found.stage, found.score, found.origin, found.state, sorted(found.flags)],
        *([list(astuple(found.proposal))] if found.proposal is not None else []),
    ]


def main(folder: Path = FOLDER) -> None:
    """Write the next frozen file of this revision and what it says."""
    number = len(of_this_revision(folder)) + 1
    path = folder / f"records-r{HEAD}{'' if number == 1 else f'-{number}'}.sqlite"
    if path.exists():
        sys.exit(f"{path} is frozen; it is never written again.")
    store = Store(path)
    fill(store)
    said = json.dumps(summary(store), indent=1, ensure_ascii=False)
    path.with_suffix(".json").write_text(said + "\n", encoding="utf-8")
    store.close()
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA journal_mode=DELETE")
        connection.execute("VACUUM")
    if copies_folder(path).exists():
        for copy in copies_folder(path).iterdir():
            copy.unlink()
        copies_folder(path).rmdir()


if __name__ == "__main__":
    main()
