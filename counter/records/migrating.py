"""Which revision a database has, and bringing an older one up to this program's."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Connection, Engine, inspect, text
from sqlalchemy.exc import NoSuchTableError

from counter.errors import CounterError

HEAD = "0002"


@dataclass(frozen=True, slots=True)
class Migrations:
    """A folder of Alembic migrations whose revisions are growing numbers, up to ``head``."""

    folder: Path = Path(__file__).parent / "migrations"
    head: str = HEAD


def revision_of(connection: Connection) -> str | None:
    """Return the revision of a database; None for one without any table.

    Raises :class:`~counter.errors.CounterError` for a database that is not Hingeline's.
    """
    tables = set(inspect(connection).get_table_names())
    if not tables:
        return None
    if not {"alembic_version", "sample", "event"} <= tables:
        raise NoSuchTableError("event")
    found: str | None = connection.execute(
        text("SELECT version_num FROM alembic_version")
    ).scalar_one_or_none()
    return found


def brought_up(
    engine: Engine,
    where: str,
    migrations: Migrations,
    before: Callable[[str], object] | None = None,
) -> None:
    """Bring the database to this program's revision, in one transaction.

    ``before`` is called with the old revision when there is something to lose; if it raises,
    nothing is changed. Raises :class:`~counter.errors.CounterError` for the database of a newer
    program or of another one.
    """
    with engine.connect() as connection:
        revision = _checked(connection, where, migrations)
    if revision == migrations.head:
        return
    if revision is not None and before is not None:
        before(revision)
    _upgrade(engine, where, migrations)


def _checked(connection: Connection, where: str, migrations: Migrations) -> str | None:
    try:
        revision = revision_of(connection)
    except NoSuchTableError as error:
        raise CounterError(
            f"{where} holds something other than records of Hingeline; choose another place by "
            "HINGELINE_RECORDS."
        ) from error
    if revision is not None and revision > migrations.head:
        raise CounterError(
            f"The records {where} were written by a newer version of Hingeline (revision "
            f"{revision}, this program knows up to {migrations.head}); install the newer version. "
            "Nothing was changed."
        )
    return revision


def _upgrade(engine: Engine, where: str, migrations: Migrations) -> None:
    from alembic import command
    from alembic.config import Config

    config = Config()
    config.set_main_option("script_location", str(migrations.folder).replace("%", "%%"))
    config.set_main_option("path_separator", "os")
    with engine.connect() as connection:
        is_file = connection.dialect.name == "sqlite"
        if is_file:
            connection.exec_driver_sql("PRAGMA foreign_keys=OFF")
            connection.exec_driver_sql("BEGIN IMMEDIATE")
        _checked(connection, where, migrations)
        config.attributes["connection"] = connection
        command.upgrade(config, "head")
        if is_file and connection.exec_driver_sql("PRAGMA foreign_key_check").first():
            raise CounterError(
                f"The records {where} could not be brought up to date: something in them points "
                "to what is not there. Nothing was changed; please report it."
            )
        connection.commit()
        if is_file:
            connection.exec_driver_sql("PRAGMA foreign_keys=ON")
