"""The larvae as a table: one row each, for spreadsheets and statistics programs."""

from __future__ import annotations

import csv
import io
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from counter.domain.field import PictureField
from counter.domain.mark import Mark
from counter.domain.sample import Filling, Sample
from counter.exporting.document import state_by, state_score
from counter.exporting.write import STANDARD_OUTPUT, utf8, write_whole

BYTE_ORDER_MARK = "\ufeff"
"""Tells a spreadsheet that the file is UTF-8; left out on standard output."""

FORMULA_STARTS = ("=", "+", "-", "@", "\t", "\r")
"""A spreadsheet takes text that begins so for a formula."""

Value = str | int | float | bool | None


@dataclass(frozen=True, slots=True)
class _Row:
    sample: Sample
    filling: Filling
    field: PictureField
    mark: Mark
    square: tuple[int | None, int | None]


COLUMNS: dict[str, Callable[[_Row], Value]] = {
    "filling": lambda row: row.filling.filling_id,
    "field": lambda row: row.field.field_id,
    "file": lambda row: row.field.picture.file,
    "page": lambda row: row.field.picture.page + 1,
    "larva": lambda row: row.mark.mark_id,
    "x_px": lambda row: row.mark.x_px,
    "y_px": lambda row: row.mark.y_px,
    "length_um": lambda row: row.mark.length_um,
    "width_um": lambda row: row.mark.width_um,
    "area_um2": lambda row: row.mark.area_um2,
    "stage": lambda row: row.mark.stage,
    "state": lambda row: row.mark.likely_state,
    "state_score": lambda row: state_score(row.mark),
    "state_by": lambda row: state_by(row.mark),
    "eye_spot": lambda row: row.mark.proposal.eye_spot if row.mark.proposal else None,
    "counted": lambda row: row.field.is_counted(row.mark, row.sample.edges),
    "square_row": lambda row: row.square[0],
    "square_column": lambda row: row.square[1],
    "cut_by_border": lambda row: row.mark.is_cut,
    "score": lambda row: row.mark.score,
    "origin": lambda row: row.mark.origin,
    "flags": lambda row: " ".join(sorted(row.mark.flags)),
    "um_per_px": lambda row: row.field.picture.scale.um_per_px,
    "scale_source": lambda row: row.field.picture.scale.source,
}
"""Each column and what stands in it."""


def csv_text(sample: Sample) -> str:
    """Return one line for each larva found on a picture, under a line of column names.

    Also those that the edge rule leaves out (``counted`` no). Numbers have full precision and a
    decimal point. Text that a spreadsheet would run as a formula gets an apostrophe before it.
    """
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(COLUMNS)
    for filling in sample.fillings:
        for field in filling.fields:
            if isinstance(field, PictureField):
                for mark in field.marks.values():
                    square = sample.square_of(field, mark) or (None, None)
                    row = _Row(sample, filling, field, mark, square)
                    writer.writerow([cell(column(row)) for column in COLUMNS.values()])
    return out.getvalue()


def write_csv(target: str, sample: Sample) -> None:
    """Write :func:`csv_text` to the file ``target``, or to standard output for ``-``.

    Raises :class:`~counter.errors.CounterError` where the file cannot be written.
    """
    text = csv_text(sample)
    if target == STANDARD_OUTPUT:
        sys.stdout.write(text.replace("\r\n", "\n"))
    else:
        content = utf8(BYTE_ORDER_MARK + text)
        write_whole(Path(target), lambda file: file.write(content))


def cell(value: Value) -> str:
    """Return what is written for a value: nothing for None, yes or no for a bool."""
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, str) and value.startswith(FORMULA_STARTS):
        return f"'{value}"
    return str(value)
