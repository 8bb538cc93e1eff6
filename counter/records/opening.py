"""Opening the records: file or server, in a state that can be trusted."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from sqlalchemy import Engine, create_engine, event
from sqlalchemy.engine import URL, make_url
from sqlalchemy.pool import StaticPool

from counter.errors import CounterError
from counter.records.schema import METADATA
from counter.records.trouble import plain_words

BUSY_S = 2.0
"""How long a write waits for another program that is writing."""


def opened(place: str | Path) -> tuple[Engine, str, tuple[str, ...]]:
    """Return (engine, its name for people, notices) for a path, a URL or ``:memory:``."""
    text = str(place)
    if "://" in text:
        return server_engine(text), make_url(text).render_as_string(hide_password=True), ()
    if text == ":memory:":
        engine = file_engine(None)
        METADATA.create_all(engine)
        return engine, "in memory", ()
    path = Path(place).expanduser().absolute()
    with plain_words(str(path)):
        path.parent.mkdir(parents=True, exist_ok=True)
        engine = file_engine(path)
        METADATA.create_all(engine)
    return engine, str(path), ()


def file_engine(path: Path | None) -> Engine:
    """Return an engine on a SQLite file; None: in memory, for one thread."""
    if path is None:
        engine = create_engine("sqlite://", poolclass=StaticPool)
    else:
        url = URL.create("sqlite", database=str(path))
        engine = create_engine(url, connect_args={"timeout": BUSY_S})
    event.listen(engine, "connect", _safe_settings)
    return engine


def _safe_settings(connection: Any, record: object) -> None:
    """Every connection: a commit is on the disk, and nothing points to what isn't there."""
    del record
    for pragma in ("journal_mode=WAL", "synchronous=FULL", "foreign_keys=ON"):
        connection.execute(f"PRAGMA {pragma}")


def server_engine(url: str) -> Engine:
    """Return an engine on a server; a missing driver is a CounterError that names it."""
    try:
        return create_engine(url, pool_pre_ping=True)
    except ModuleNotFoundError as error:
        raise CounterError(
            f"The records server needs the Python package “{error.name}”; install it, or choose "
            "a file by HINGELINE_RECORDS."
        ) from error
