"""The file of the records: soundness, setting aside, copies."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from counter.errors import CounterError
from counter.records import files

NOW = datetime(2031, 5, 6, 12, 0)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """A sound SQLite file with some pages."""
    made = tmp_path / "log.sqlite"
    write(made, "first")
    return made


def write(path: Path, line: str) -> None:
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA journal_mode=WAL")
        connection.execute("CREATE TABLE IF NOT EXISTS line (words TEXT)")
        connection.execute("INSERT INTO line VALUES (?)", (line * 2000,))
        connection.commit()


def lines(path: Path) -> list[str]:
    with closing(sqlite3.connect(path)) as connection:
        return [
            words[: len(words) // 2000] for (words,) in connection.execute("SELECT * FROM line")
        ]


def damage(path: Path) -> bytes:
    """Overwrite the middle of the file; return what it holds then."""
    raw = bytearray(path.read_bytes())
    raw[4096 : len(raw)] = b"\xa5" * (len(raw) - 4096)
    path.write_bytes(raw)
    return bytes(raw)


def test_a_sound_file_a_new_one_and_an_empty_one_are_sound(path: Path, tmp_path: Path) -> None:
    """An empty file is one that a program began and never wrote."""
    (tmp_path / "empty.sqlite").touch()
    assert files.is_sound(path)
    assert files.is_sound(tmp_path / "missing.sqlite")
    assert files.is_sound(tmp_path / "empty.sqlite")


def test_damage_in_the_head_or_in_the_middle_is_found(path: Path) -> None:
    """Before anything is written to the file."""
    damage(path)
    assert not files.is_sound(path)
    path.write_bytes(b"not a database at all" * 100)
    assert not files.is_sound(path)
    path.write_bytes(b"SQLite format 3\x00" + b"\x00" * 50)
    assert not files.is_sound(path)


def test_a_locked_file_is_not_called_damaged(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """It is another matter, and another sentence."""
    monkeypatch.setattr(files, "BUSY_S", 0.01)
    with closing(sqlite3.connect(path)) as other:
        other.execute("PRAGMA journal_mode=DELETE")
        other.execute("BEGIN EXCLUSIVE")
        with pytest.raises(sqlite3.OperationalError, match="locked"):
            files.is_sound(path)


def test_a_damaged_file_is_kept_whole_and_the_newest_sound_copy_opened(path: Path) -> None:
    """With its companions; a damaged copy is passed over."""
    files.keep_copy(path, NOW)
    write(path, "second")
    files.keep_copy(path, NOW + timedelta(days=1))
    write(path, "third")
    files.keep_copy(path, NOW + timedelta(days=2))
    damage(files.copies_of(path)[-1])
    raw = damage(path)
    path.with_name("log.sqlite-wal").write_bytes(b"what was being written")
    said = files.set_aside(path, NOW)
    assert "log.sqlite.damaged-20310506-120000" in said
    assert "log-20310507-120000.sqlite was opened instead" in said
    aside = path.with_name("log.sqlite.damaged-20310506-120000")
    assert aside.read_bytes() == raw
    assert aside.with_name(aside.name + "-wal").read_bytes() == b"what was being written"
    assert lines(path) == ["first", "second"]


def test_two_damaged_files_in_one_second_are_both_kept(path: Path) -> None:
    """Nothing is ever overwritten; without a copy empty records are begun."""
    first = damage(path)
    assert "empty records were begun" in files.set_aside(path, NOW)
    assert not path.exists()
    write(path, "again")
    second = damage(path)
    files.set_aside(path, NOW)
    kept = sorted(path.parent.glob("*.damaged-*"))
    assert len(kept) == 2
    assert {file.read_bytes() for file in kept} == {first, second}


def test_a_file_that_is_no_database_by_its_name_stays_where_it_is(tmp_path: Path) -> None:
    """Somebody chose the wrong file: their letter is not renamed."""
    letter = tmp_path / "letter.txt"
    letter.write_text("Dear all,", encoding="utf-8")
    with pytest.raises(CounterError, match=r"letter\.txt does not hold records"):
        files.set_aside(letter, NOW)
    assert letter.read_text(encoding="utf-8") == "Dear all,"


def test_seven_copies_are_kept(path: Path) -> None:
    """The oldest goes when the eighth is made; copies made for a migration stay."""
    files.back_up(path, "before-0002")
    for day in range(files.COPIES + 2):
        write(path, f"line {day}")
        files.keep_copy(path, NOW + timedelta(days=day))
    copies = files.copies_of(path)
    assert len(copies) == files.COPIES == 7
    assert copies[0].name == "log-20310508-120000.sqlite"
    assert lines(copies[-1]) == lines(path)
    assert len(lines(copies[0])) == len(lines(path)) - 6
    assert (files.copies_folder(path) / "log-before-0002.sqlite").exists()


def test_opening_unchanged_records_makes_no_other_copy(path: Path) -> None:
    """Opening eight times a day must not push last week's copies out."""
    for minute in range(3):
        files.keep_copy(path, NOW + timedelta(minutes=minute))
    assert [copy.name for copy in files.copies_of(path)] == ["log-20310506-120000.sqlite"]
    assert list(files.copies_folder(path).glob("*.part")) == []


def test_a_copy_holds_what_is_only_in_the_write_ahead_log(path: Path) -> None:
    """A plain copy of the file would miss it."""
    with closing(sqlite3.connect(path)) as writing:
        writing.execute("INSERT INTO line VALUES (?)", ("late" * 2000,))
        writing.commit()
        copy = files.back_up(path, "now")
        assert lines(copy) == ["first", "late"]


def test_a_copy_that_fails_leaves_nothing_half_made(path: Path) -> None:
    """No ``.part`` stays, no copy is damaged."""
    path.write_bytes(b"no longer a database" * 500)
    with pytest.raises(sqlite3.DatabaseError):
        files.back_up(path, "now")
    assert list(files.copies_folder(path).iterdir()) == []
