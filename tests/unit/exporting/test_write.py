"""Files are written whole or not at all."""

from __future__ import annotations

import json
import os
import stat
import sys
from pathlib import Path
from typing import BinaryIO

import pytest

from counter.errors import CounterError, UsageError
from counter.exporting.write import check_target, write_json, write_text, write_whole


def test_a_file_is_written_and_written_over(tmp_path: Path) -> None:
    """The last text stands, and nothing else is left in the folder."""
    file = tmp_path / "out.json"
    write_text(file, "first")
    write_text(file, "µ second")
    assert file.read_text(encoding="utf-8") == "µ second"
    assert list(tmp_path.iterdir()) == [file]


def test_what_stood_there_stays_when_writing_fails(tmp_path: Path) -> None:
    """A full disk half-way leaves the old file whole and no half-written one."""
    file = tmp_path / "out.json"
    write_text(file, "old")

    def fill_the_disk(out: BinaryIO) -> None:
        out.write(b"half")
        raise OSError(28, "No space left on device")

    with pytest.raises(CounterError, match=r"out\.json cannot be written \(No space left"):
        write_whole(file, fill_the_disk)
    assert file.read_text(encoding="utf-8") == "old"
    assert list(tmp_path.iterdir()) == [file]


def test_a_bug_while_writing_is_not_swallowed(tmp_path: Path) -> None:
    """Anything but trouble with the disk goes through, and leaves nothing behind."""

    def broken(out: BinaryIO) -> None:
        raise ZeroDivisionError(out.name)

    with pytest.raises(ZeroDivisionError):
        write_whole(tmp_path / "out.json", broken)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("place", ["nowhere/out.json", "folder"])
def test_a_place_that_cannot_be_written_is_named(tmp_path: Path, place: str) -> None:
    """A folder that is not there, or that stands where the file should, is named."""
    (tmp_path / "folder").mkdir()
    with pytest.raises(CounterError, match=r"cannot be written .* choose another place"):
        write_text(tmp_path / place, "text")


def test_a_new_file_has_the_usual_rights_and_an_old_one_keeps_its_own(tmp_path: Path) -> None:
    """The temporary file's narrow rights are not left on the result."""
    if sys.platform == "win32":
        pytest.skip("Windows has no POSIX file modes")
    plain, kept = tmp_path / "plain", tmp_path / "kept"
    kept.touch()
    kept.chmod(0o600)
    mask = os.umask(0o022)
    try:
        write_text(plain, "a")
        write_text(kept, "b")
    finally:
        os.umask(mask)
    assert stat.S_IMODE(plain.stat().st_mode) == 0o644
    assert stat.S_IMODE(kept.stat().st_mode) == 0o600


def test_json_goes_to_a_file_or_to_standard_output(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The same numbers either way; on standard output in ASCII, whatever the console's encoding."""
    document = {"volume": "7.75 µL", "density": 1548.3870967741937}
    write_json(str(tmp_path / "out.json"), document)
    write_json("-", document)
    text = (tmp_path / "out.json").read_text(encoding="utf-8")
    shown = capsys.readouterr().out
    assert json.loads(text) == json.loads(shown) == document
    assert shown.isascii()
    assert "µ" in text
    with pytest.raises(ValueError, match="JSON"):
        write_json("-", {"bad": float("nan")})


def test_a_name_as_long_as_the_disk_allows_is_written(tmp_path: Path) -> None:
    """The file that is written beside it has a short name of its own."""
    file = tmp_path / ("é" * 120 + ".json")
    write_text(file, "whole")
    assert file.read_text(encoding="utf-8") == "whole"


def test_names_that_are_no_text_are_written_legibly(tmp_path: Path) -> None:
    """A file name with a byte that is no UTF-8 comes back from the JSON as it was."""
    name = "bad\udcff.png"
    write_json(str(tmp_path / "out.json"), {"file": name})
    assert json.loads((tmp_path / "out.json").read_text(encoding="utf-8")) == {"file": name}


@pytest.mark.parametrize(
    "start", [b"\xff\xd8\xff\xe0", b"\x89PNG\r\n", b"II*\0", b"MM\0*", b"II+\0", b"BM"]
)
def test_a_picture_is_never_written_over(tmp_path: Path, start: bytes) -> None:
    """``--json *.png`` names the first picture as the place of the result."""
    path = tmp_path / "field-1.png"
    path.write_bytes(start + bytes(200))
    with pytest.raises(UsageError, match="is a picture"):
        check_target(str(path), "--json")
    with pytest.raises(UsageError, match="is a picture"):
        write_text(path, "{}")
    assert path.read_bytes() == start + bytes(200)


def test_an_empty_name_is_the_commands_fault(tmp_path: Path) -> None:
    """It names the option; standard output and nothing at all need no check."""
    with pytest.raises(UsageError, match="--json"):
        check_target("", "--json")
    with pytest.raises(CounterError, match="cannot be written"):
        check_target(str(tmp_path / "no" / "out.json"), "--json")
    check_target(None, "--json")
    check_target("-", "--json")
