"""Pictures of one name are told apart by their folders, and by no more of them than it takes."""

from __future__ import annotations

from dataclasses import replace

import pytest

from counter.domain.field import PictureField
from counter.domain.naming import picture_names
from tests.hatchery import picture


def of_files(*files: str) -> list[PictureField]:
    """One picture a file; a file that is named again is its next page."""
    fields = []
    for number, file in enumerate(files, start=1):
        field = picture(field_id=number)
        fields.append(
            replace(
                field,
                picture=replace(field.picture, file=file, page=files[: number - 1].count(file)),
            )
        )
    return fields


@pytest.mark.parametrize(
    ("files", "names"),
    [
        (["a/1.png", "a/2.png"], ["1.png", "2.png"]),
        (["a/1.png", "b/1.png", "b/2.png"], ["a/1.png", "b/1.png", "2.png"]),
        (["a/b/1.png", "c/b/1.png"], ["a/b/1.png", "c/b/1.png"]),
        (["a/1.png", "a/b/1.png"], ["a/1.png", "b/1.png"]),
        (["1.png", "b/1.png"], ["1.png", "b/1.png"]),
        (["./1.png", "./b/1.png"], ["1.png", "b/1.png"]),
        ([r"C:\mon\1.png", r"C:\tue\1.png"], ["mon/1.png", "tue/1.png"]),
        (["a/1.tif", "a/1.tif"], ["1.tif", "1.tif · page 2"]),
        (
            ["a/1.tif", "a/1.tif", "b/1.tif"],
            ["a/1.tif", "1.tif · page 2", "b/1.tif"],
        ),
        ([], []),
    ],
)
def test_names_are_as_long_as_needed(files: list[str], names: list[str]) -> None:
    """Alike names get folders; others stay as they are."""
    called = picture_names(of_files(*files))
    assert [called[number] for number in range(1, len(files) + 1)] == names
