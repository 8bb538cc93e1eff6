"""Gestures on fillings and fields: pictures counted, removed, reviewed, rescaled."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from counter.domain import events
from counter.domain.field import PictureField
from counter.domain.lookup import filling_of, picture_of
from counter.domain.scale import Scale
from counter.errors import UsageError
from counter.session.core import SessionCore


class PictureGestures(SessionCore):
    """Fillings and what is in them."""

    def add_filling(self, aliquot_ul: float | None = None) -> int:
        """Begin a new loading of the chamber and return its id.

        ``aliquot_ul`` is the volume put into a whole-volume chamber.
        """
        _check_aliquot(aliquot_ul)
        filling_id, _ = self._ledger.free_ids()
        self._do(events.FillingAdded(filling_id, aliquot_ul))
        return filling_id

    def set_aliquot_ul(self, filling_id: int, aliquot_ul: float | None) -> None:
        """Set the volume (µL) put into a whole-volume chamber; None: not known."""
        _check_aliquot(aliquot_ul)
        if filling_of(self.sample, filling_id).aliquot_ul != aliquot_ul:
            self._do(events.AliquotSet(filling_id, aliquot_ul))

    def remove_filling(self, filling_id: int) -> None:
        """Take a filling and all its fields out of the sample."""
        self._do(events.FillingRemoved(filling_id))

    def add_picture_fields(
        self, fields: Iterable[PictureField], filling_id: int | None = None
    ) -> tuple[int, ...]:
        """Add counted pictures to a filling and return their field ids, one event each.

        ``filling_id`` None: the last filling, or a first one. The fields' own ids are replaced.
        Results arrive by themselves, so undo passes over them; :meth:`remove_field` takes a
        picture out.
        """
        target = self._filling_or_last(filling_id)
        made = []
        for field in fields:
            _, field_id = self._ledger.free_ids()
            self._do(events.PictureCounted(target, replace(field, field_id=field_id)))
            made.append(field_id)
        return tuple(made)

    def recount(self, field_id: int, field: PictureField) -> None:
        """Let a new count of the same picture stand in for the old one, as one gesture.

        What a person had corrected on it goes; undo brings it back. The new marks get ids that
        were never used on this picture.
        """
        first = self._ledger.free_mark_id(field_id)
        marks = {
            number: replace(mark, mark_id=number)
            for number, mark in enumerate(field.marks.values(), first)
        }
        self._do(events.PictureRecounted(replace(field, field_id=field_id, marks=marks)))

    def remove_field(self, field_id: int) -> None:
        """Take a picture or a tally out of the sample."""
        self._do(events.FieldRemoved(field_id))

    def set_reviewed(self, field_id: int, reviewed: bool = True) -> None:
        """Say that a person has looked a picture through."""
        if picture_of(self.sample, field_id).reviewed != reviewed:
            self._do(events.FieldReviewed(field_id, reviewed))

    def set_scale(self, field_id: int, scale: Scale) -> None:
        """Give a picture another scale: its area, lengths and stages follow, as one gesture."""
        if picture_of(self.sample, field_id).picture.scale != scale:
            self._do(events.ScaleChanged(field_id, scale))

    def _filling_or_last(self, filling_id: int | None) -> int:
        """The id of the filling that is meant; of a new one where there is none yet."""
        if filling_id is not None:
            return filling_of(self.sample, filling_id).filling_id
        if self.sample.fillings:
            return self.sample.fillings[-1].filling_id
        return self._ledger.free_ids()[0]


def _check_aliquot(aliquot_ul: float | None) -> None:
    if aliquot_ul is not None and not 0 < aliquot_ul < float("inf"):
        raise UsageError(f"A volume of {aliquot_ul:g} µL is impossible; type one above 0.")
