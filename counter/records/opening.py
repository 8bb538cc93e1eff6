"""Opening the records: file or server, in a state that can be trusted."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import Any

from sqlalchemy import Engine, create_engine, event
from sqlalchemy.engine import URL, make_url
from sqlalchemy.exc import ArgumentError
from sqlalchemy.pool import StaticPool

from counter.errors import CounterError, UsageError
from counter.records.files import BUSY_S, back_up, copies_folder, is_sound, keep_copy, set_aside
from counter.records.migrating import Migrations, brought_up
from counter.records.place import FILE
from counter.records.trouble import plain_words

IN_MEMORY = ":memory:"


def opened(
    place: str | Path, migrations: Migrations | None = None
) -> tuple[Engine, str, tuple[str, ...]]:
    """Return (engine, its name for people, notices) for a path, a folder, a URL or ``:memory:``.

    The database exists then and has this program's revision. Notices are sentences for the person
    who opened it. Raises :class:`~counter.errors.CounterError` where it cannot be opened, and
    changes nothing then.
    """
    migrations = migrations or Migrations()
    text = str(place)
    if text == IN_MEMORY:
        engine = _engine("sqlite://", {}, in_memory=True)
        brought_up(engine, "in memory", migrations)
        return engine, "in memory", ()
    if "://" not in text:
        return _opened_file(Path(place), migrations)
    url = _url(text)
    if url.get_backend_name() == "sqlite" and url.database:
        return _opened_file(Path(url.database), migrations)
    return _opened_server(url, migrations)


def _url(text: str) -> URL:
    try:
        url = make_url(text)
        url.get_dialect()
    except ArgumentError as error:
        raise UsageError(
            "HINGELINE_RECORDS is no database URL; write it like "
            "postgresql+psycopg://bench@server/hatchery."
        ) from error
    return url


def _opened_file(place: Path, migrations: Migrations) -> tuple[Engine, str, tuple[str, ...]]:
    path = place.expanduser().absolute()
    if path.is_dir():
        path = path / FILE
    with plain_words(str(path), "the records"), _files(path):
        path.parent.mkdir(parents=True, exist_ok=True)
        notices = list(_made_sound(path))
        engine = _engine(
            URL.create("sqlite", database=str(path)), {"timeout": BUSY_S}, in_memory=False
        )
        try:
            brought_up(engine, str(path), migrations, lambda old: _before(path, old, migrations))
        except BaseException:
            engine.dispose()
            raise
        notices.extend(_copy_kept(path))
    return engine, str(path), tuple(notices)


def _made_sound(path: Path) -> Iterator[str]:
    """Set a damaged file aside; say what was done, and that a file is gone whose copies stand."""
    if not is_sound(path):
        yield set_aside(path, datetime.now())
    elif not path.exists() and any(copies_folder(path).glob("*.sqlite")):
        yield (
            f"There were no records at {path}, so empty ones were begun; earlier copies are in "
            f"{copies_folder(path)}."
        )


def _copy_kept(path: Path) -> Iterator[str]:
    """Keep the start-up copy; that it can't be kept is told, and keeps nobody from counting."""
    try:
        keep_copy(path, datetime.now())
    except (OSError, sqlite3.Error) as error:
        yield (
            f"No copy of the records could be kept in {copies_folder(path)} ({error}); free some "
            "space there."
        )


def _before(path: Path, revision: str, migrations: Migrations) -> None:
    back_up(path, f"before-{migrations.head}-was-{revision}-{datetime.now():%Y%m%d-%H%M%S}")


@contextmanager
def _files(path: Path) -> Iterator[None]:
    """Errors of the file system in plain words."""
    try:
        yield
    except OSError as error:
        reason = error.strerror or str(error)
        raise CounterError(
            f"The records {path} cannot be opened ({reason}); check the folder, or choose another "
            "place by HINGELINE_RECORDS."
        ) from error


def _opened_server(url: URL, migrations: Migrations) -> tuple[Engine, str, tuple[str, ...]]:
    where = url.render_as_string(hide_password=True)
    try:
        engine = create_engine(url, pool_pre_ping=True)
    except ModuleNotFoundError as error:
        raise CounterError(
            f"The records server needs the Python package “{error.name}”; install it, or choose "
            "a file by HINGELINE_RECORDS."
        ) from error
    with plain_words(where, "the records"):
        brought_up(engine, where, migrations)
    return engine, where, ()


def _engine(url: str | URL, arguments: dict[str, Any], *, in_memory: bool) -> Engine:
    if in_memory:
        engine = create_engine(url, connect_args=arguments, poolclass=StaticPool)
    else:
        engine = create_engine(url, connect_args=arguments)
    event.listen(engine, "connect", _safe_settings)
    return engine


def _safe_settings(connection: Any, record: object) -> None:
    """Every connection: a commit is on the disk, and nothing points to what isn't there."""
    del record
    for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON"):
        connection.execute(f"PRAGMA {pragma}")
