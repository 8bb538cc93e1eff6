"""The tables of the records. The migrations make them; a test holds the two together."""

from __future__ import annotations

from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    Boolean,
    Column,
    Date,
    DateTime,
    Dialect,
    Float,
    ForeignKey,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    TypeDecorator,
    UniqueConstraint,
)

NAMES = {
    "ix": "ix_%(table_name)s_%(column_0_name)s",
    "uq": "uq_%(table_name)s_%(column_0_name)s",
    "fk": "fk_%(table_name)s_%(column_0_name)s",
    "pk": "pk_%(table_name)s",
}
MOST_LETTERS = 200
"""How long a name may be."""
METADATA = MetaData(naming_convention=NAMES)


class UtcDateTime(TypeDecorator[datetime]):
    """A moment, kept in UTC. Only moments with a time zone go in and come out."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        """Turn a moment into UTC; a naive one is a bug (:class:`ValueError`)."""
        if value is None:
            return None
        if value.tzinfo is None:
            raise ValueError(f"{value} has no time zone")
        utc = value.astimezone(UTC)
        return utc.replace(tzinfo=None) if dialect.name == "sqlite" else utc

    def process_result_value(self, value: Any, dialect: Dialect) -> datetime | None:
        """Give the moment its time zone back."""
        del dialect
        if value is None:
            return None
        moment: datetime = value
        return moment.replace(tzinfo=UTC) if moment.tzinfo is None else moment.astimezone(UTC)


BATCH = Table(
    "batch",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("name", String(MOST_LETTERS), nullable=False),
    Column("species", String(100), nullable=False),
    Column("parents", Text, nullable=False),
    Column("fertilised_at", UtcDateTime),
    UniqueConstraint("name"),
)

TANK = Table(
    "tank",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("batch_id", Integer, ForeignKey("batch.id"), nullable=False),
    Column("name", String(MOST_LETTERS), nullable=False),
    Column("volume_ml", Float),
    UniqueConstraint("batch_id", "name"),
)

SAMPLE = Table(
    "sample",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("tank_id", Integer, ForeignKey("tank.id")),
    Column("name", String(MOST_LETTERS), nullable=False),
    Column("taken_at", UtcDateTime, nullable=False),
    Column("created_at", UtcDateTime, nullable=False),
    Index(None, "tank_id"),
)

EVENT = Table(
    "event",
    METADATA,
    Column("sample_id", Integer, ForeignKey("sample.id"), primary_key=True),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    Column("at", UtcDateTime, nullable=False),
    Column("who", String(MOST_LETTERS), nullable=False),
    Column("kind", String(60), nullable=False),
    Column("body", Text, nullable=False),
)

LENS = Table(
    "lens",
    METADATA,
    Column("id", Integer, primary_key=True),
    Column("name", String(MOST_LETTERS), nullable=False),
    Column("um_per_px", Float, nullable=False),
    Column("standard_error", Float, nullable=False),
    Column("calibrated_on", Date, nullable=False),
    Column("width_px", Integer, nullable=False),
    Column("height_px", Integer, nullable=False),
    Column("saved_at", UtcDateTime, nullable=False),
    Index(None, "name"),
)

LESSON = Table(
    "lesson",
    METADATA,
    Column("sample_id", Integer, ForeignKey("sample.id"), primary_key=True),
    Column("field_id", Integer, primary_key=True, autoincrement=False),
    Column("lens", String(MOST_LETTERS), nullable=False),
    Column("network", String(100), nullable=False),
    Column("kind", String(20), nullable=False),
    Column("low_um", Float, nullable=False),
    Column("high_um", Float, nullable=False),
    Column("um_per_px", Float, nullable=False),
    Column("corrections", Integer, nullable=False),
    Column("prospects", Text, nullable=False),
    Column("taught", Text, nullable=False),
    Column("saved_at", UtcDateTime, nullable=False),
    Index(None, "lens"),
)

LESSON_USE = Table(
    "lesson_use",
    METADATA,
    Column("lens", String(MOST_LETTERS), primary_key=True),
    Column("in_use", Boolean, nullable=False),
)

FORGOTTEN = Table(
    "forgotten",
    METADATA,
    Column("lens", String(MOST_LETTERS), primary_key=True),
    Column("sample_id", Integer, ForeignKey("sample.id"), primary_key=True),
    Column("seq", Integer, nullable=False),
)
