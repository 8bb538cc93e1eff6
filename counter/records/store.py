"""The store: what is kept, and how it is asked for. One commit a gesture.

A store is one SQLite file (WAL, ``synchronous=FULL``: a commit survives a power cut), or a
PostgreSQL database by URL. Nothing is ever changed in the events of a sample, only appended.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Connection, Select, func, insert, select, update
from sqlalchemy.exc import IntegrityError

from counter.domain.events import Event, SampleStarted
from counter.domain.logbook import SampleEntry
from counter.errors import UsageError
from counter.records.base import inserted_id
from counter.records.codec import decode, encode
from counter.records.earlier import EarlierSamples
from counter.records.lenses import LensShelf
from counter.records.lessons import LessonShelf
from counter.records.logbook import LogBook
from counter.records.opening import opened
from counter.records.schema import EVENT, MOST_LETTERS, SAMPLE
from counter.records.trouble import Overtaken


@dataclass(frozen=True, slots=True)
class Recorded:
    """An event as it stands in the record: when (UTC) and by whom."""

    seq: int
    at: datetime
    who: str
    event: Event


@dataclass(frozen=True, slots=True)
class Stamp:
    """When (UTC) and by whom an event was recorded."""

    seq: int
    at: datetime
    who: str


class Store(LogBook, LensShelf, LessonShelf, EarlierSamples):
    """The records of one hatchery.

    ``place`` is a path, or a database URL. ``notices`` are sentences for the person who opened it:
    that a damaged file was set aside, that a copy could not be made. Use it from one thread.
    Everything raises :class:`~counter.errors.CounterError` when the disk is full, the file is
    locked or the server is away; nothing is half-written then.
    """

    def __init__(self, place: str | Path) -> None:
        engine, where, notices = opened(place)
        super().__init__(engine, where)
        self.notices: tuple[str, ...] = notices

    def close(self) -> None:
        """Let go of the file."""
        self._engine.dispose()

    def new_sample(
        self,
        started: SampleStarted,
        *,
        tank_id: int | None = None,
        taken_at: datetime | None = None,
        at: datetime | None = None,
        who: str = "",
    ) -> int:
        """Begin a sample in one commit and return its id.

        ``taken_at`` is when the water was taken, ``at`` when this is written down (both default to
        now). Raises :class:`~counter.errors.UsageError` for an unknown tank.
        """
        now = at or datetime.now(UTC)
        with self._writing("the new sample") as connection:
            self._check_tank(connection, tank_id)
            sample_id = inserted_id(
                connection,
                insert(SAMPLE).values(
                    tank_id=tank_id, name=started.name, taken_at=taken_at or now, created_at=now
                ),
            )
            self._insert_event(connection, sample_id, 1, Recorded(1, now, who, started))
        return sample_id

    def append(
        self,
        sample_id: int,
        event: Event,
        *,
        after: int | None = None,
        at: datetime | None = None,
        who: str = "",
        name: str | None = None,
    ) -> int:
        """Append ``event`` and return its seq; it is on the disk when this returns.

        ``after`` is the last seq that the caller knows: if another window has appended since,
        :class:`~counter.records.trouble.Overtaken` is raised and nothing is written. None appends
        after whatever is there. ``name`` changes the sample's name in the log book's list, in the
        same commit.
        """
        recorded = Recorded(0, at or datetime.now(UTC), who, event)
        with self._writing("the last entry") as connection:
            seq = 1 + (after if after is not None else self._last_seq(connection, sample_id))
            self._insert_event(connection, sample_id, seq, recorded)
            if name is not None:
                connection.execute(update(SAMPLE).where(SAMPLE.c.id == sample_id).values(name=name))
        return seq

    def events(self, sample_id: int, after: int = 0) -> tuple[Recorded, ...]:
        """Return the events of a sample with a seq above ``after``, in order.

        Raises :class:`~counter.errors.UsageError` for an unknown sample and
        :class:`~counter.errors.CounterError` for events of a newer program.
        """
        query = (
            select(EVENT)
            .where(EVENT.c.sample_id == sample_id, EVENT.c.seq > after)
            .order_by(EVENT.c.seq)
        )
        with self._reading() as connection:
            rows = connection.execute(query).all()
            if not rows and after == 0:
                self._check_sample(connection, sample_id)
        return tuple(Recorded(r.seq, r.at, r.who, decode(r.kind, r.body)) for r in rows)

    def stamps(self, sample_id: int, after: int = 0) -> tuple[Stamp, ...]:
        """Return when and by whom each event with a seq above ``after`` was recorded, in order."""
        query = (
            select(EVENT.c.seq, EVENT.c.at, EVENT.c.who)
            .where(EVENT.c.sample_id == sample_id, EVENT.c.seq > after)
            .order_by(EVENT.c.seq)
        )
        with self._reading() as connection:
            return tuple(Stamp(*row) for row in connection.execute(query))

    def samples(self, tank_id: int | None = None) -> tuple[SampleEntry, ...]:
        """Return the samples of the log book, or of one tank, the latest taken first."""
        query = _sample_query().order_by(SAMPLE.c.taken_at.desc(), SAMPLE.c.id.desc())
        if tank_id is not None:
            query = query.where(SAMPLE.c.tank_id == tank_id)
        with self._reading() as connection:
            return tuple(SampleEntry(*row) for row in connection.execute(query))

    def earlier_samples(self, sample_id: int, most: int = 3) -> tuple[SampleEntry, ...]:
        """Return the samples that were taken from the same tank before, the latest first.

        None for a sample without a tank; at most ``most``.
        """
        this = SAMPLE.alias("this")
        query = (
            _sample_query()
            .join(this, (this.c.tank_id == SAMPLE.c.tank_id) & (this.c.id == sample_id))
            .where(SAMPLE.c.taken_at < this.c.taken_at, SAMPLE.c.id != sample_id)
            .order_by(SAMPLE.c.taken_at.desc(), SAMPLE.c.id.desc())
            .limit(most)
        )
        with self._reading() as connection:
            return tuple(SampleEntry(*row) for row in connection.execute(query))

    def sample_entry(self, sample_id: int) -> SampleEntry:
        """Return one sample's line in the log book; UsageError if there is no such sample."""
        with self._reading() as connection:
            row = connection.execute(_sample_query().where(SAMPLE.c.id == sample_id)).one_or_none()
        if row is None:
            raise _no_sample(sample_id)
        return SampleEntry(*row)

    def latest_sample(self) -> int | None:
        """Return the id of the sample with the last event, None while there is none."""
        query = (
            select(EVENT.c.sample_id).order_by(EVENT.c.at.desc(), EVENT.c.sample_id.desc()).limit(1)
        )
        with self._reading() as connection:
            return connection.execute(query).scalar_one_or_none()

    def assign_tank(self, sample_id: int, tank_id: int | None, taken_at: datetime) -> None:
        """Say which tank a sample was taken from, and when."""
        with self._writing("the tank of the sample") as connection:
            self._check_tank(connection, tank_id)
            done = connection.execute(
                update(SAMPLE)
                .where(SAMPLE.c.id == sample_id)
                .values(tank_id=tank_id, taken_at=taken_at)
            )
            if done.rowcount == 0:
                raise _no_sample(sample_id)

    @staticmethod
    def _last_seq(connection: Connection, sample_id: int) -> int:
        query = select(func.max(EVENT.c.seq)).where(EVENT.c.sample_id == sample_id)
        return connection.execute(query).scalar_one() or 0

    def _insert_event(
        self, connection: Connection, sample_id: int, seq: int, recorded: Recorded
    ) -> None:
        kind, body = encode(recorded.event)
        try:
            connection.execute(
                insert(EVENT).values(
                    sample_id=sample_id,
                    seq=seq,
                    at=recorded.at,
                    who=recorded.who[:MOST_LETTERS],
                    kind=kind,
                    body=body,
                )
            )
        except IntegrityError as error:
            if self._shared is None:
                connection.rollback()
                self._check_sample(connection, sample_id)
            raise Overtaken(
                "Another window has changed this sample; it is shown as it stands now. "
                "Do your last step again."
            ) from error

    @staticmethod
    def _check_sample(connection: Connection, sample_id: int) -> None:
        query = select(SAMPLE.c.id).where(SAMPLE.c.id == sample_id)
        if connection.execute(query).one_or_none() is None:
            raise _no_sample(sample_id)


def _no_sample(sample_id: int) -> UsageError:
    return UsageError(f"There is no sample {sample_id} in the records; choose one from the list.")


def _sample_query() -> Select[Any]:
    changed_at = (
        select(func.max(EVENT.c.at)).where(EVENT.c.sample_id == SAMPLE.c.id).scalar_subquery()
    )
    columns = SAMPLE.c
    return select(
        columns.id, columns.name, columns.tank_id, columns.taken_at, columns.created_at, changed_at
    )
