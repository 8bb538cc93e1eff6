"""What can go wrong with the records, in sentences that say what to do."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager

from sqlalchemy.exc import DBAPIError

from counter.errors import CounterError

_SENTENCES = {
    sqlite3.SQLITE_FULL: "The disk is full: {what} could not be written to {where}. Free some "
    "space and do it again; everything entered before is safe.",
    sqlite3.SQLITE_READONLY: "The records {where} cannot be written to. Allow writing to the file "
    "and its folder, or choose another place by HINGELINE_RECORDS.",
    sqlite3.SQLITE_PERM: "The records {where} may not be opened. Ask for access to the file and "
    "its folder, or choose another place by HINGELINE_RECORDS.",
    sqlite3.SQLITE_CANTOPEN: "The records {where} could not be opened. Check that the folder "
    "exists and may be written to, or choose another place by HINGELINE_RECORDS.",
    sqlite3.SQLITE_BUSY: "The records {where} are in use by another program, so {what} could not "
    "be written. Close the other program and do it again.",
    sqlite3.SQLITE_LOCKED: "The records {where} are in use by another window, so {what} could not "
    "be written. Wait a moment and do it again.",
    sqlite3.SQLITE_IOERR: "The disk did not take {what} for {where}. Check that the disk is "
    "connected and has room, and do it again; everything entered before is safe.",
    sqlite3.SQLITE_CORRUPT: "The records {where} are damaged. Close the program and open it "
    "again: the file is set aside and the newest good copy is opened.",
    sqlite3.SQLITE_NOTADB: "The file {where} does not hold records of Hingeline. Choose another "
    "file by HINGELINE_RECORDS.",
}
_SERVER = (
    "The records server {where} does not answer, so {what} could not be written. Check the "
    "network and do it again; everything entered before is safe."
)


class Overtaken(CounterError):  # noqa: N818 - what happened, not a failure
    """Another window has changed the same sample in the meantime."""


@contextmanager
def plain_words(where: str, what: str = "this") -> Iterator[None]:
    """Turn errors of the database's world into :class:`~counter.errors.CounterError`.

    ``where`` names the file or server, ``what`` what was to be written. Errors that are bugs
    (broken SQL, a violated rule) pass through.
    """
    try:
        yield
    except DBAPIError as error:
        sentence = _sentence(error.orig, disconnected=error.connection_invalidated)
        if sentence is None:
            raise
        raise CounterError(sentence.format(where=where, what=what)) from error
    except sqlite3.Error as error:
        sentence = _sentence(error)
        if sentence is None:
            raise
        raise CounterError(sentence.format(where=where, what=what)) from error


def _sentence(error: BaseException | None, *, disconnected: bool = False) -> str | None:
    if isinstance(error, sqlite3.Error):
        return _SENTENCES.get(primary_code(error))
    return _SERVER if disconnected or type(error).__name__ == "OperationalError" else None


def primary_code(error: sqlite3.Error) -> int:
    """Return SQLite's primary result code; 0 where the error did not come from SQLite itself."""
    return int(getattr(error, "sqlite_errorcode", 0)) & 0xFF
