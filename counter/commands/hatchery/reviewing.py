"""What the demo's technician does on a picture that was counted: takes away, adds, says dead."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

from counter.domain.mark import Mark
from counter.imaging.draw import TruthObject
from counter.imaging.draw.truth import DEAD
from counter.imaging.gestures import redrawn
from counter.imaging.photo import Photo
from counter.imaging.polygon import contains
from counter.session import Session


@dataclass(frozen=True, slots=True)
class Corrections:
    """What is wrong with the marks on a picture.

    ``wrong`` are ids of marks on no larva, on several, or on one that is marked already; ``missed``
    are larvae without a mark of their own; ``empty`` are ids of right marks on empty shells.
    """

    wrong: tuple[int, ...]
    missed: tuple[TruthObject, ...]
    empty: tuple[int, ...]


def corrections(marks: Iterable[Mark], larvae: Sequence[TruthObject]) -> Corrections:
    """Compare ``marks`` with the larvae that were drawn."""
    right: dict[int, int] = {}
    wrong = []
    for mark in marks:
        under = [place for place, larva in enumerate(larvae) if _on(mark, larva)]
        if len(under) == 1 and under[0] not in right:
            right[under[0]] = mark.mark_id
        else:
            wrong.append(mark.mark_id)
    return Corrections(
        wrong=tuple(wrong),
        missed=tuple(larva for place, larva in enumerate(larvae) if place not in right),
        empty=tuple(mark for place, mark in right.items() if larvae[place].state == DEAD),
    )


def _on(mark: Mark, larva: TruthObject) -> bool:
    """Whether one holds the other's middle."""
    drawn, marked = np.array(larva.outline_px), np.array(mark.outline_px)
    return contains(drawn, mark.x_px, mark.y_px) or contains(marked, larva.x_px, larva.y_px)


def look_through(
    session: Session, field_id: int, photo: Photo, larvae: Sequence[TruthObject]
) -> None:
    """Correct the marks of a picture by what was drawn on it, and say that it was looked through.

    ``photo`` is the picture with its scale.
    """
    (field,) = (f for f in session.sample.picture_fields() if f.field_id == field_id)
    found = corrections(field.marks.values(), larvae)
    if found.wrong:
        session.remove_marks(field_id, found.wrong)
    empty = list(found.empty)
    for larva in found.missed:
        mark_id = session.add_mark(
            field_id, redrawn(larva.outline_px, photo, session.sample.target)
        )
        if larva.state == DEAD:
            empty.append(mark_id)
    if empty:
        session.set_state(field_id, empty, DEAD)
    session.set_reviewed(field_id)
