"""Finding and replacing the parts of a sample by their ids; samples themselves never change."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from counter.domain.field import Field, PictureField
from counter.domain.mark import Mark
from counter.domain.sample import Filling, Sample
from counter.domain.tally_field import TallyField
from counter.errors import CounterError


def field_of(sample: Sample, field_id: int) -> Field:
    """Return the field with this id; :class:`CounterError` if the sample has none."""
    for filling in sample.fillings:
        for entry in filling.fields:
            if entry.field_id == field_id:
                return entry
    raise CounterError(
        f"Field {field_id} is no longer in the sample “{sample.name}”; it was removed. "
        "Undo, or choose another field."
    )


def picture_of(sample: Sample, field_id: int) -> PictureField:
    """Return the picture with this field id; :class:`CounterError` if there is no such picture."""
    entry = field_of(sample, field_id)
    if isinstance(entry, PictureField):
        return entry
    raise CounterError(f"Field {field_id} is a tally by eye, not a picture; choose a picture.")


def tally_of(sample: Sample, field_id: int) -> TallyField:
    """Return the tally with this field id; :class:`CounterError` if there is no such tally."""
    entry = field_of(sample, field_id)
    if isinstance(entry, TallyField):
        return entry
    raise CounterError(f"“{entry.picture.name}” is a picture, not a tally; start a tally first.")


def filling_of(sample: Sample, filling_id: int) -> Filling:
    """Return the filling with this id; :class:`CounterError` if the sample has none."""
    for filling in sample.fillings:
        if filling.filling_id == filling_id:
            return filling
    raise CounterError(
        f"Filling {filling_id} is no longer in the sample “{sample.name}”; it was removed. "
        "Undo, or choose another filling."
    )


def filling_of_field(sample: Sample, field_id: int) -> Filling:
    """Return the filling that holds this field; :class:`CounterError` if there is none."""
    entry = field_of(sample, field_id)
    return next(filling for filling in sample.fillings if entry in filling.fields)


def marks_of(entry: PictureField, mark_ids: Iterable[int]) -> tuple[Mark, ...]:
    """Return the marks with these ids; :class:`CounterError` naming the first one missing."""
    found = []
    for mark_id in mark_ids:
        mark = entry.marks.get(mark_id)
        if mark is None:
            raise CounterError(
                f"Mark {mark_id} is no longer on {entry.picture.name}; it was removed, split or "
                "joined. Undo, or choose another mark."
            )
        found.append(mark)
    return tuple(found)


def with_filling(sample: Sample, filling: Filling) -> Sample:
    """Return ``sample`` with ``filling`` in place of the one with its id."""
    fillings = tuple(
        filling if old.filling_id == filling.filling_id else old for old in sample.fillings
    )
    return replace(sample, fillings=fillings)


def with_field(sample: Sample, entry: Field) -> Sample:
    """Return ``sample`` with ``entry`` in place of the field with its id."""
    fillings = tuple(
        replace(
            filling,
            fields=tuple(entry if f.field_id == entry.field_id else f for f in filling.fields),
        )
        if any(f.field_id == entry.field_id for f in filling.fields)
        else filling
        for filling in sample.fillings
    )
    return replace(sample, fillings=fillings)


def with_new_field(sample: Sample, filling_id: int, entry: Field) -> Sample:
    """Return ``sample`` with ``entry`` last in that filling; an unknown filling is made."""
    for filling in sample.fillings:
        if filling.filling_id == filling_id:
            return with_filling(sample, replace(filling, fields=(*filling.fields, entry)))
    return replace(sample, fillings=(*sample.fillings, Filling(filling_id, (entry,))))
