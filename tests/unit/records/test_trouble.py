"""Errors of the database's world in sentences; bugs pass through."""

from __future__ import annotations

import sqlite3

import pytest
from sqlalchemy.exc import DBAPIError, IntegrityError

from counter.errors import CounterError
from counter.records.trouble import plain_words


class OperationalError(Exception):
    """What a server's driver raises when the server does not answer."""


def failing(error: Exception) -> None:
    """Fail with ``error`` while the lens is written to “north bench”."""
    with plain_words("north bench", "the lens"):
        raise error


def sqlite_error(code: int) -> sqlite3.Error:
    error = sqlite3.OperationalError("as SQLite says it")
    error.sqlite_errorcode = code
    return error


@pytest.mark.parametrize(
    ("code", "words"),
    [
        (sqlite3.SQLITE_FULL, "disk is full: the lens .*Free some space"),
        (sqlite3.SQLITE_READONLY_DIRECTORY, "cannot be written to.*Allow writing"),
        (sqlite3.SQLITE_BUSY_SNAPSHOT, "another program, so the lens .*Close the other"),
        (sqlite3.SQLITE_LOCKED, "another window.*Wait a moment"),
        (sqlite3.SQLITE_CANTOPEN_ISDIR, "could not be opened.*Check that the folder exists"),
        (sqlite3.SQLITE_IOERR_WRITE, "did not take the lens.*Check that the disk is connected"),
        (sqlite3.SQLITE_CORRUPT_INDEX, "are damaged.*newest good copy"),
        (sqlite3.SQLITE_NOTADB, "does not hold records.*Choose another"),
        (sqlite3.SQLITE_PERM, "may not be opened.*Ask for access"),
    ],
)
def test_what_the_disk_does_is_told_with_what_to_do(code: int, words: str) -> None:
    """From SQLite itself and through SQLAlchemy; finer codes are told like their kind."""
    for error in (sqlite_error(code), DBAPIError("INSERT", {}, sqlite_error(code))):
        with pytest.raises(CounterError, match=words) as told:
            failing(error)
        assert "north bench" in str(told.value)


def test_a_server_that_does_not_answer_is_told() -> None:
    """Before and during a connection."""
    away = DBAPIError("INSERT", {}, OperationalError())
    cut_off = DBAPIError("INSERT", {}, Exception(), connection_invalidated=True)
    for error in (away, cut_off):
        with pytest.raises(CounterError, match="server north bench does not answer, so the lens"):
            failing(error)


@pytest.mark.parametrize(
    "bug",
    [
        sqlite_error(sqlite3.SQLITE_ERROR),
        sqlite3.ProgrammingError("closed"),
        IntegrityError("INSERT", {}, sqlite_error(sqlite3.SQLITE_CONSTRAINT)),
        DBAPIError("INSERT", {}, Exception("a driver's bug")),
        ZeroDivisionError(),
    ],
)
def test_a_bug_is_never_passed_off_as_the_world(bug: Exception) -> None:
    """Broken SQL, a violated rule, anything else."""
    with pytest.raises(type(bug)) as raised:
        failing(bug)
    assert raised.value is bug
