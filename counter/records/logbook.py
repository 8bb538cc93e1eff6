"""Batches and tanks of the log book."""

from __future__ import annotations

from datetime import datetime

from sqlalchemy import Connection, insert, select, update
from sqlalchemy.exc import IntegrityError

from counter.domain.logbook import Batch, Tank
from counter.errors import UsageError
from counter.records.base import Records, inserted_id
from counter.records.schema import BATCH, MOST_LETTERS, TANK


class LogBook(Records):
    """What the log book holds besides samples."""

    def add_batch(
        self,
        name: str,
        species: str,
        *,
        parents: str = "",
        fertilised_at: datetime | None = None,
    ) -> Batch:
        """Add a spawn; ``species`` is the key of its species. UsageError for a name in use."""
        name = named(name, "batch")
        values = {
            "name": name,
            "species": species,
            "parents": parents,
            "fertilised_at": fertilised_at,
        }
        with self._writing("the batch") as connection:
            try:
                batch_id = inserted_id(connection, insert(BATCH).values(values))
            except IntegrityError as error:
                raise UsageError(
                    f"There is a batch “{name}” already; choose another name."
                ) from error
        return self.batch(batch_id)

    def set_fertilised_at(self, batch_id: int, fertilised_at: datetime | None) -> Batch:
        """Set when a batch was fertilised: every age follows. UsageError for an unknown batch."""
        with self._writing("the time of fertilisation") as connection:
            connection.execute(
                update(BATCH).where(BATCH.c.id == batch_id).values(fertilised_at=fertilised_at)
            )
        return self.batch(batch_id)

    def batch(self, batch_id: int) -> Batch:
        """Return one batch; UsageError if there is none with this id."""
        with self._reading() as connection:
            row = connection.execute(select(BATCH).where(BATCH.c.id == batch_id)).one_or_none()
        if row is None:
            raise UsageError(f"There is no batch {batch_id} in the records; choose another one.")
        return Batch(*row)

    def batches(self) -> tuple[Batch, ...]:
        """Return all batches, the youngest first."""
        query = select(BATCH).order_by(BATCH.c.fertilised_at.desc(), BATCH.c.id.desc())
        with self._reading() as connection:
            return tuple(Batch(*row) for row in connection.execute(query))

    def add_tank(self, batch_id: int, name: str, volume_ml: float | None = None) -> Tank:
        """Add a tank to a batch.

        UsageError for an unknown batch, a name that the batch has already, or a volume that is
        not above 0.
        """
        name = checked_tank(name, volume_ml)
        self.batch(batch_id)
        values = {"batch_id": batch_id, "name": name, "volume_ml": volume_ml}
        with self._writing("the tank") as connection:
            try:
                tank_id = inserted_id(connection, insert(TANK).values(values))
            except IntegrityError as error:
                raise UsageError(
                    f"This batch has a tank “{name}” already; choose another name."
                ) from error
        return self.tank(tank_id)

    def tank(self, tank_id: int) -> Tank:
        """Return one tank; UsageError if there is none with this id."""
        with self._reading() as connection:
            return _tank(connection, tank_id)

    def tanks(self, batch_id: int | None = None) -> tuple[Tank, ...]:
        """Return all tanks, or those of one batch, by name."""
        query = select(TANK).order_by(TANK.c.name, TANK.c.id)
        if batch_id is not None:
            query = query.where(TANK.c.batch_id == batch_id)
        with self._reading() as connection:
            return tuple(Tank(*row) for row in connection.execute(query))

    @staticmethod
    def _check_tank(connection: Connection, tank_id: int | None) -> None:
        if tank_id is not None:
            _tank(connection, tank_id)


def _tank(connection: Connection, tank_id: int) -> Tank:
    row = connection.execute(select(TANK).where(TANK.c.id == tank_id)).one_or_none()
    if row is None:
        raise UsageError(f"There is no tank {tank_id} in the records; choose another one.")
    return Tank(*row)


def named(name: str, what: str) -> str:
    """Return a name without spaces around it; UsageError for none, or over 200 letters."""
    if not name.strip():
        raise UsageError(f"The {what} has no name; type one.")
    if len(name.strip()) > MOST_LETTERS:
        raise UsageError(f"The {what}'s name is too long; use {MOST_LETTERS} letters at most.")
    return name.strip()


def checked_tank(name: str, volume_ml: float | None) -> str:
    """Return a tank's name; UsageError for none, over 200 letters, or a volume not above 0."""
    if volume_ml is not None and not 0 < volume_ml < float("inf"):
        raise UsageError(f"A tank of {volume_ml:g} mL is impossible; type a volume above 0.")
    return named(name, "tank")
