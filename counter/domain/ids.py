"""Ids that were used in a sample."""

from __future__ import annotations

from collections.abc import Iterable

from counter.domain import events
from counter.domain.events import Change


class UsedIds:
    """The highest ids ever used, also by what was undone: an id never means two things."""

    def __init__(self) -> None:
        self.filling = 0
        self.field = 0
        self.mark: dict[int, int] = {}

    def note(self, event: Change) -> None:
        """Remember the ids that ``event`` brings."""
        if isinstance(event, events.FillingAdded | events.PictureCounted | events.TallyStarted):
            self.filling = max(self.filling, event.filling_id)
        if isinstance(event, events.PictureCounted | events.PictureRecounted):
            self.field = max(self.field, event.field.field_id)
            self._note_marks(event.field.field_id, event.field.marks)
        elif isinstance(event, events.TallyStarted):
            self.field = max(self.field, event.field_id)
        elif isinstance(event, events.MarksAdded):
            self._note_marks(event.field_id, (mark.mark_id for mark in event.marks))
        elif isinstance(event, events.MarkSplit):
            self._note_marks(event.field_id, (part.mark_id for part in event.parts))
        elif isinstance(event, events.MarksJoined):
            self._note_marks(event.field_id, (event.mark.mark_id,))

    def _note_marks(self, field_id: int, mark_ids: Iterable[int]) -> None:
        self.mark[field_id] = max(self.mark.get(field_id, 0), *mark_ids, 0)
