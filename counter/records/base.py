"""Reading and writing in one transaction each, with errors in plain words."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy import Connection, Engine, Insert

from counter.records.trouble import plain_words


class Records:
    """An open database; ``where`` names it for people."""

    def __init__(self, engine: Engine, where: str) -> None:
        self._engine = engine
        self.where = where
        self._shared: Connection | None = None

    @contextmanager
    def together(self) -> Iterator[None]:
        """Commit all that is written inside the block at once; nothing of it if the block fails.

        For much that no person has entered, such as the demo hatchery. What a person enters is
        committed gesture by gesture.
        """
        with self._writing("the entries") as connection:
            self._shared = connection
            try:
                yield
            finally:
                self._shared = None

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        if self._shared is not None:
            yield self._shared
            return
        with plain_words(self.where), self._engine.connect() as connection:
            yield connection

    @contextmanager
    def _writing(self, what: str) -> Iterator[Connection]:
        """One transaction: on the disk when the block ends, or not at all.

        SQLite takes its write lock at once, so that what is read inside still holds when it is
        written.
        """
        if self._shared is not None:
            yield self._shared
            return
        with plain_words(self.where, what), self._engine.connect() as connection:
            if connection.dialect.name == "sqlite":
                connection.exec_driver_sql("BEGIN IMMEDIATE")
            yield connection
            connection.commit()


def inserted_id(connection: Connection, statement: Insert) -> int:
    """Insert one row and return the id that the database gave it."""
    key = connection.execute(statement).inserted_primary_key
    assert key is not None
    return int(key[0])
