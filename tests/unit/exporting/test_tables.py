"""The larvae as CSV: one row each, read back to the same values, harmless in a spreadsheet."""

from __future__ import annotations

import csv
import io
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.domain.proposed import Proposal
from counter.domain.ruled import RuledGrid
from counter.domain.sample import Filling, Sample
from counter.exporting.tables import COLUMNS, cell, csv_text, write_csv
from tests.hatchery import CHAMBER, LARVAE, mark, picture


def sample(file: str = "field-01.png") -> Sample:
    """Return two marks on one picture."""
    field = picture(mark(1, 71.9), mark(2, 80.0), field_id=4, file=file)
    return Sample(LARVAE, CHAMBER, fillings=(Filling(1, (field,)),))


def rows(text: str) -> list[dict[str, str]]:
    """Read CSV back."""
    return list(csv.DictReader(io.StringIO(text)))


def test_one_row_for_each_larva_with_full_precision() -> None:
    """What was put in is read back."""
    first, second = rows(csv_text(sample()))
    assert list(first) == list(COLUMNS)
    assert first["file"] == "field-01.png"
    assert first["field"] == "4"
    assert float(first["length_um"]) == 71.9
    assert first["counted"] == "yes"
    assert first["cut_by_border"] == "no"
    assert first["state"] == ""
    assert second["larva"] == "2"


def test_the_square_of_each_larva_is_two_columns() -> None:
    """Row and column on the rulings; empty where there are none."""
    assert rows(csv_text(sample()))[0]["square_row"] == ""
    (filling,) = sample().fillings
    (field,) = sample().picture_fields()
    grid = RuledGrid(160, 90, 0.0, 40.0, 0.1, 6, upright_px=5.0, level_px=3.0)
    shown = replace(field, picture=replace(field.picture, grid=grid))
    first = rows(csv_text(replace(sample(), fillings=(replace(filling, fields=(shown,)),))))[0]
    assert (first["square_row"], first["square_column"]) == ("2", "2")


@given(st.floats(allow_nan=False, allow_infinity=False), st.integers())
def test_numbers_survive(fraction: float, whole: int) -> None:
    """A number is written so that it reads back to itself, minus signs and all."""
    assert float(cell(fraction)) == fraction
    assert int(cell(whole)) == whole


@given(st.text(max_size=30))
def test_file_names_survive_and_are_never_formulas(name: str) -> None:
    """Whatever a file is called: quotes, commas, line ends, or =cmd()."""
    written = cell(name)
    assert written.removeprefix("'") == name.removeprefix("'")
    assert not written.startswith(("=", "+", "-", "@", "\t", "\r"))


@pytest.mark.parametrize("name", ['=HYPERLINK("x")', "+1.png", "-a.png", "@b.png", "\tc.png"])
def test_a_formula_in_a_file_name_is_text(name: str) -> None:
    """An apostrophe makes it text."""
    assert rows(csv_text(sample(name)))[0]["file"] == f"'{name}"


def test_the_file_tells_spreadsheets_that_it_is_utf_8(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A byte order mark in the file, none on standard output."""
    path = tmp_path / "larvae.csv"
    write_csv(str(path), sample("Wärme.png"))
    write_csv("-", sample("Wärme.png"))
    assert path.read_bytes().startswith(b"\xef\xbb\xbffilling,field,file")
    assert rows(path.read_text(encoding="utf-8-sig"))[0]["file"] == "Wärme.png"
    assert capsys.readouterr().out.startswith("filling,field,file")


def test_a_proposed_state_stands_with_its_confidence_and_who_says_so() -> None:
    """A person's word stands before it, with full confidence."""
    (filling,) = sample().fillings
    (field,) = sample().picture_fields()
    one, two = field.marks.values()
    shown = replace(
        field,
        marks={
            one.mark_id: replace(one, proposal=Proposal("dead", 0.92, "", False, 0.81)),
            two.mark_id: replace(two, proposal=Proposal("dead", 0.92), state="live"),
        },
    )
    first, second = rows(csv_text(replace(sample(), fillings=(replace(filling, fields=(shown,)),))))
    assert [first[key] for key in ("state", "state_score", "state_by", "eye_spot")] == [
        "dead", "0.92", "proposed", "no"
    ]  # fmt: skip
    assert [second[key] for key in ("state", "state_score", "state_by", "eye_spot")] == [
        "live", "1.0", "technician", ""
    ]  # fmt: skip
