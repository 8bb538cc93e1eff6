"""From what a person names to the files that are counted."""

from __future__ import annotations

from pathlib import Path

import pytest

from counter.errors import CounterError, UsageError
from counter.imaging.read import picture_files


def test_folders_are_expanded_in_counting_order(tmp_path: Path) -> None:
    """field-2 before field-10, sub-folders included, hidden files and other kinds left out."""
    for name in ("field-10.PNG", "field-2.jpg", "notes.txt", ".hidden.png", "b/field-1.tiff"):
        file = tmp_path / name
        file.parent.mkdir(exist_ok=True)
        file.touch()
    found = picture_files([tmp_path])
    assert [file.relative_to(tmp_path).as_posix() for file in found] == [
        "field-2.jpg",
        "field-10.PNG",
        "b/field-1.tiff",
    ]


def test_a_file_named_twice_is_counted_once(tmp_path: Path) -> None:
    """Named outright and through its folder is still one field."""
    file = tmp_path / "a.png"
    file.touch()
    assert picture_files([file, tmp_path, str(file)]) == [file]


def test_a_missing_file_stays_in_the_list(tmp_path: Path) -> None:
    """Its own error is told when it is read, and the others are counted."""
    assert picture_files([tmp_path / "gone.png"]) == [tmp_path / "gone.png"]


def test_a_folder_without_pictures_and_no_path_at_all(tmp_path: Path) -> None:
    """Both are told with what to do."""
    (tmp_path / "notes.txt").touch()
    with pytest.raises(CounterError, match="holds no picture"):
        picture_files([tmp_path])
    with pytest.raises(UsageError, match="No picture"):
        picture_files([])
