"""Files that people edit: what is read and what is said."""

from __future__ import annotations

from pathlib import Path

import pytest

from counter.domain.table_file import Table, read_table
from counter.errors import CounterError


def table(**values: object) -> Table:
    """A table of a file called own.toml."""
    return Table("own.toml", "cell", dict(values))


def test_fields_are_read_with_their_kinds() -> None:
    """Texts, numbers, tables and lists of tables."""
    entry = table(name="A", depth=2, inner={"x": 1.5}, many=[{"y": 0}])
    assert entry.text("name") == "A"
    assert entry.text("source", default="nobody") == "nobody"
    assert entry.number("depth") == 2.0
    assert entry.optional_number("area") is None
    assert entry.table("inner").number("x") == 1.5
    assert [one.number("y", zero_too=True) for one in entry.tables("many")] == [0.0]
    assert list(entry.tables("none")) == []
    entry.refuse_unread()


def test_a_wrong_field_is_named_with_its_place() -> None:
    """File, table and field, down to the entry of a list."""
    entry = table(many=[{"y": 1}, {"y": -1}], zero=0)
    with pytest.raises(CounterError, match=r"^own\.toml: cell, many number 2, y must be a number"):
        [one.number("y") for one in entry.tables("many")]
    with pytest.raises(CounterError, match=r"^own\.toml: cell, zero must be a number above 0\.$"):
        entry.number("zero")


def test_a_misspelt_field_is_found() -> None:
    """What nothing asks for is refused, with the fields that there are."""
    entry = table(name="A", colour="blue")
    entry.text("name")
    with pytest.raises(CounterError, match="cell, colour is not known here; the fields are name"):
        entry.refuse_unread()


def test_a_whole_file_has_no_place(tmp_path: Path) -> None:
    """The path of the file is in every complaint."""
    file = tmp_path / "own.toml"
    file.write_text("depth = 'deep'", encoding="utf-8")
    with pytest.raises(CounterError) as caught:
        read_table(file).number("depth")
    assert str(caught.value).startswith(f"{file}: depth must be a number")


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    """With the reason that the system gives."""
    with pytest.raises(CounterError, match=r"gone\.toml cannot be read \(No such file"):
        read_table(tmp_path / "gone.toml")
