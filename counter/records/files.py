"""The file of the records: is it sound, setting a damaged one aside, and the copies beside it."""

from __future__ import annotations

import filecmp
import shutil
import sqlite3
from contextlib import closing
from datetime import datetime
from pathlib import Path

from counter.errors import CounterError
from counter.records.trouble import primary_code

COPIES = 7
"""How many start-up copies are kept."""
BUSY_S = 2.0
"""How long a write waits for another program that is writing."""
SUFFIXES = (".sqlite", ".sqlite3", ".db")
"""Endings of files that can be ours; any other file without records is left where it is."""
_HEADER = b"SQLite format 3\x00"
_DAMAGE = (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB)


def is_sound(path: Path) -> bool:
    """Say whether the file is new (missing or empty) or a SQLite file without damage.

    Raises sqlite3.Error where the file cannot be looked at (locked, no access).
    """
    if not path.exists() or path.stat().st_size == 0:
        return True
    with path.open("rb") as file:
        if file.read(len(_HEADER)) != _HEADER:
            return False
    try:
        with closing(sqlite3.connect(path, timeout=BUSY_S)) as connection:
            return bool(connection.execute("PRAGMA quick_check(1)").fetchone() == ("ok",))
    except sqlite3.DatabaseError as error:
        if primary_code(error) in _DAMAGE:
            return False
        raise


def set_aside(path: Path, now: datetime) -> str:
    """Move a damaged file out of the way and put the newest sound copy in its place.

    Returns what was done, in words for the person who opened it. Nothing is overwritten. Raises
    :class:`~counter.errors.CounterError` for a file that doesn't look like records at all.
    """
    if path.suffix.lower() not in SUFFIXES:
        raise CounterError(
            f"{path} does not hold records of Hingeline; choose another file by HINGELINE_RECORDS."
        )
    aside = _free(path.with_name(f"{path.name}.damaged-{now:%Y%m%d-%H%M%S}"))
    for ending in ("", "-wal", "-shm"):
        part = path.with_name(path.name + ending)
        if part.exists():
            part.rename(aside.with_name(aside.name + ending))
    kept = f"The records {path} were damaged. They are kept unchanged as {aside.name}; "
    copy = next((c for c in reversed(_all_copies(path)) if is_sound(c)), None)
    if copy is None:
        return kept + "there was no copy, so empty records were begun."
    _copied(copy, path)
    return f"{kept}the copy {copy.name} was opened instead: what was entered after it is missing."


def keep_copy(path: Path, now: datetime) -> None:
    """Keep a start-up copy and remove all but the newest :data:`COPIES`.

    Records that have not changed since the newest copy make no other, so that opening them often
    doesn't push the older copies out. Raises OSError or sqlite3.Error where it can't be written.
    """
    copies = copies_of(path)
    made = back_up(path, f"{now:%Y%m%d-%H%M%S}")
    if copies and filecmp.cmp(copies[-1], made, shallow=False):
        made.unlink()
        return
    for old in (*copies, made)[:-COPIES]:
        old.unlink(missing_ok=True)


def back_up(path: Path, label: str) -> Path:
    """Copy the records, consistent also while others write, and return the copy's path.

    The copy appears whole or not at all.
    """
    folder = copies_folder(path)
    folder.mkdir(exist_ok=True)
    target = _free(folder / f"{path.stem}-{label}.sqlite")
    part = target.with_suffix(".part")
    part.unlink(missing_ok=True)
    try:
        with (
            closing(sqlite3.connect(path, timeout=BUSY_S)) as source,
            closing(sqlite3.connect(part)) as copy,
        ):
            source.backup(copy)
            copy.execute("PRAGMA journal_mode=DELETE")
        part.rename(target)
    finally:
        part.unlink(missing_ok=True)
    return target


def copies_folder(path: Path) -> Path:
    """Return the folder beside the records where copies are kept."""
    return path.with_name(f"{path.stem}-copies")


def copies_of(path: Path) -> list[Path]:
    """Return the start-up copies, the oldest first."""
    return sorted(copies_folder(path).glob(f"{path.stem}-[0-9]*.sqlite"))


def _all_copies(path: Path) -> list[Path]:
    """All copies, also those made before a migration, the oldest first."""
    return sorted(
        copies_folder(path).glob(f"{path.stem}-*.sqlite"), key=lambda copy: copy.stat().st_mtime_ns
    )


def _free(path: Path) -> Path:
    """``path``, or with a number appended if there is something already."""
    free, number = path, 1
    while free.exists():
        number += 1
        free = path.with_name(f"{path.stem}-{number}{path.suffix}")
    return free


def _copied(source: Path, target: Path) -> None:
    part = target.with_name(target.name + ".part")
    shutil.copyfile(source, part)
    part.rename(target)
