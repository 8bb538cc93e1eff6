"""What lenses are taught, picture by picture. A lesson belongs to its sample and to one lens."""

from __future__ import annotations

import json
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import Connection, Select, delete, func, insert, select, update

from counter.domain.lesson import Lesson, Prospect, Survey, Taught
from counter.domain.species import TargetKind
from counter.errors import CounterError
from counter.records.base import Records
from counter.records.schema import EVENT, FORGOTTEN, LESSON, LESSON_USE

MOST_LESSONS = 200
"""A lens is judged by what was taught on so many pictures last: lamps and cameras change."""


@dataclass(frozen=True, slots=True)
class LessonCount:
    """How much a lens was taught with one network and target."""

    network: str
    kind: TargetKind
    corrections: int


class LessonShelf(Records):
    """The lessons of all lenses; a new one of the same picture takes the place of the old."""

    def save_lessons(self, lessons: Sequence[Lesson]) -> None:
        """Keep lessons, all in one commit; none: nothing happens."""
        if not lessons:
            return
        now = datetime.now(UTC)
        with self._writing("what was learnt") as connection:
            for lesson in lessons:
                _drop(connection, lesson)
                connection.execute(insert(LESSON).values(_values(lesson) | {"saved_at": now}))

    def drop_lessons(self, lessons: Sequence[Lesson]) -> None:
        """Take lessons away, all in one commit; none: nothing happens."""
        if not lessons:
            return
        with self._writing("what was learnt") as connection:
            for lesson in lessons:
                _drop(connection, lesson)

    def lessons_of(self, sample_id: int) -> tuple[Lesson, ...]:
        """Return what the pictures of one sample teach, by field_id."""
        query = select(LESSON).where(LESSON.c.sample_id == sample_id).order_by(LESSON.c.field_id)
        return self._lessons(query)

    def lessons_with(self, lens: str, network: str, kind: TargetKind) -> tuple[Lesson, ...]:
        """Return what a lens was taught last with this network and target.

        At most :data:`MOST_LESSONS` pictures that teach anything, those of the newest samples.
        """
        query = (
            select(LESSON)
            .where(
                LESSON.c.lens == lens,
                LESSON.c.network == network,
                LESSON.c.kind == str(kind),
                LESSON.c.taught != "[]",
            )
            .order_by(LESSON.c.sample_id.desc(), LESSON.c.field_id.desc())
            .limit(MOST_LESSONS)
        )
        return self._lessons(query)

    def lesson_counts(self, lens: str) -> tuple[LessonCount, ...]:
        """Return how much a lens was taught, for each network and target."""
        columns = (LESSON.c.network, LESSON.c.kind)
        query = (
            select(*columns, func.sum(LESSON.c.corrections))
            .where(LESSON.c.lens == lens, LESSON.c.taught != "[]")
            .group_by(*columns)
            .order_by(*columns)
        )
        with self._reading() as connection:
            rows = connection.execute(query).all()
        return tuple(LessonCount(row[0], TargetKind(row[1]), int(row[2])) for row in rows)

    def uses_lessons(self, lens: str) -> bool:
        """Whether what this lens was taught is used; it is until somebody switches it off."""
        query = select(LESSON_USE.c.in_use).where(LESSON_USE.c.lens == lens)
        with self._reading() as connection:
            in_use = connection.execute(query).scalar_one_or_none()
        return True if in_use is None else bool(in_use)

    def use_lessons(self, lens: str, in_use: bool) -> None:
        """Switch on or off that what this lens was taught is used."""
        with self._writing("the switch") as connection:
            done = connection.execute(
                update(LESSON_USE).where(LESSON_USE.c.lens == lens).values(in_use=in_use)
            )
            if done.rowcount == 0:
                connection.execute(insert(LESSON_USE).values(lens=lens, in_use=in_use))

    def forget_lessons(self, lens: str) -> None:
        """Forget all that a lens was taught: nothing done up to now teaches it any more.

        Samples and their corrections stay as they are.
        """
        so_far = select(EVENT.c.sample_id, func.max(EVENT.c.seq)).group_by(EVENT.c.sample_id)
        with self._writing("that it was forgotten") as connection:
            connection.execute(delete(LESSON).where(LESSON.c.lens == lens))
            connection.execute(delete(FORGOTTEN).where(FORGOTTEN.c.lens == lens))
            for sample_id, seq in connection.execute(so_far).all():
                connection.execute(
                    insert(FORGOTTEN).values(lens=lens, sample_id=sample_id, seq=seq)
                )

    def forgotten_up_to(self, lens: str, sample_id: int) -> int:
        """Return the last seq of a sample that this lens has forgotten; 0 for none."""
        query = select(FORGOTTEN.c.seq).where(
            FORGOTTEN.c.lens == lens, FORGOTTEN.c.sample_id == sample_id
        )
        with self._reading() as connection:
            return connection.execute(query).scalar_one_or_none() or 0

    def _lessons(self, query: Select[Any]) -> tuple[Lesson, ...]:
        with self._reading() as connection:
            rows = connection.execute(query).all()
        return tuple(_lesson(row) for row in rows)


def _drop(connection: Connection, lesson: Lesson) -> None:
    connection.execute(
        delete(LESSON).where(
            LESSON.c.sample_id == lesson.sample_id, LESSON.c.field_id == lesson.field_id
        )
    )


def _values(lesson: Lesson) -> dict[str, object]:
    survey = lesson.survey
    prospects = [
        [p.x_px, p.y_px, p.length_um, p.is_cut, p.score, list(p.features)] for p in survey.prospects
    ]
    taught = [[t.index, t.is_body, t.by_hand, t.seq] for t in lesson.taught]
    return {
        "sample_id": lesson.sample_id,
        "field_id": lesson.field_id,
        "lens": lesson.lens,
        "network": survey.network,
        "kind": str(survey.kind),
        "low_um": survey.low_um,
        "high_um": survey.high_um,
        "um_per_px": survey.um_per_px,
        "corrections": lesson.corrections,
        "prospects": _json(prospects),
        "taught": _json(taught),
    }


def _json(value: object) -> str:
    return json.dumps(value, separators=(",", ":"), allow_nan=False)


def _lesson(row: Any) -> Lesson:
    try:
        prospects = tuple(
            Prospect(
                float(x), float(y), float(length), bool(cut), float(score),
                tuple(float(value) for value in features),
            )
            for x, y, length, cut, score, features in json.loads(row.prospects)
        )  # fmt: skip
        taught = tuple(
            Taught(int(index), bool(is_body), bool(by_hand), int(seq))
            for index, is_body, by_hand, seq in json.loads(row.taught)
        )
        if any(not 0 <= each.index < len(prospects) for each in taught):
            raise ValueError("an example of a prospect that is not there")
        kind = TargetKind(row.kind)
    except (ValueError, TypeError) as error:
        raise CounterError(
            f"What the lens “{row.lens}” was taught cannot be read; the records are damaged: open "
            "one of the copies kept beside them, or forget what this lens has learnt."
        ) from error
    survey = Survey(row.network, kind, row.low_um, row.high_um, row.um_per_px, prospects)
    return Lesson(row.sample_id, row.field_id, row.lens, survey, taught)
