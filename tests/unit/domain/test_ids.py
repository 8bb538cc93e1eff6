"""Ids that were used."""

from __future__ import annotations

from counter.domain import events
from counter.domain.events import Change
from counter.domain.ids import UsedIds
from tests.hatchery import mark, picture


def test_the_highest_ids_are_remembered() -> None:
    """Each kind of event that brings ids; a removal forgets none; lower ids change nothing."""
    used = UsedIds()
    seen = []
    happened: list[Change] = [
        events.PictureCounted(1, picture(mark(3), mark(8), field_id=1)),
        events.MarksAdded(1, (mark(9), mark(10))),
        events.MarksRemoved(1, (10,)),
        events.MarkSplit(1, 9, (mark(11), mark(12))),
        events.MarksJoined(1, (11, 12), mark(13)),
        events.PictureRecounted(picture(mark(1), field_id=1)),
        events.FillingAdded(4),
        events.TallyStarted(4, 6, "1 mm square", 1.0),
        events.FillingAdded(2),
    ]
    for event in happened:
        used.note(event)
        seen.append((used.filling, used.field, used.mark[1]))
    assert seen == [
        (1, 1, 8),
        (1, 1, 10),
        (1, 1, 10),
        (1, 1, 12),
        (1, 1, 13),
        (1, 1, 13),
        (4, 1, 13),
        (4, 6, 13),
        (4, 6, 13),
    ]
