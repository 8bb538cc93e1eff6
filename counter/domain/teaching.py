"""What a person's corrections say of each prospect of a picture.

Added by hand, or left on a field that was looked through: a body. Removed by hand, or no mark on
such a field: none. What was split, joined, moved or removed as a double says nothing of its kind,
nor does a field that nobody touched. What was said of a picture before it was counted again stands
until it is said anew. All of it follows from the events that stand, so that undo
takes its example back, and from the marks as they stand, so that the order of corrections changes
nothing.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from math import hypot

from counter.domain import events
from counter.domain.events import Change
from counter.domain.field import PictureField
from counter.domain.lesson import Prospect, Survey, Taught
from counter.domain.mark import Mark

LIKE = 0.6
"""A mark and a prospect of one body are at least this much alike in length."""


@dataclass(slots=True)
class Handled:
    """What was done by hand on a picture: seq by mark_id, and when it was looked through.

    ``recounted`` is when it was counted again last; what was done before is not among it.
    """

    added: dict[int, int] = field(default_factory=dict)
    removed: dict[int, int] = field(default_factory=dict)
    reviewed: int | None = None
    recounted: int | None = None

    @property
    def teaches(self) -> bool:
        """Whether any of it can say something."""
        return self.reviewed is not None or bool(self.added) or bool(self.removed)


def handled(standing: Iterable[tuple[int, Change]], after: int = 0) -> Mapping[int, Handled]:
    """Return what was done by hand on each picture, by field_id.

    ``standing`` are the changes that stand, with their seqs, in order; those up to ``after`` are
    forgotten. A picture that was counted again begins anew.
    """
    found: defaultdict[int, Handled] = defaultdict(Handled)
    for seq, event in standing:
        if isinstance(event, events.PictureRecounted):
            found[event.field.field_id] = Handled(recounted=seq)
        elif seq <= after:
            continue
        elif isinstance(event, events.MarksAdded):
            found[event.field_id].added.update((mark.mark_id, seq) for mark in event.marks)
        elif isinstance(event, events.MarksRemoved):
            found[event.field_id].removed.update((mark_id, seq) for mark_id in event.mark_ids)
        elif isinstance(event, events.FieldReviewed):
            found[event.field_id].reviewed = seq if event.reviewed else None
    return dict(found)


def still_taught(said: Iterable[Taught], by_hand: Handled) -> tuple[Taught, ...]:
    """Return what was said before a picture was counted again: it stands until it is said anew."""
    again = by_hand.recounted
    return () if again is None else tuple(each for each in said if each.seq < again)


def taught(survey: Survey, entry: PictureField, by_hand: Handled) -> tuple[Taught, ...]:
    """Return what ``by_hand`` and the marks as they stand say of the survey's prospects.

    The survey must be of this picture at this scale. What the border cuts says something only
    where a person added or removed it.
    """
    marks = _Places(entry.marks.values(), survey.um_per_px)
    found = entry.marks if entry.found is None else entry.found
    now = marks.pairs(survey.prospects)
    then = _Places(found.values(), survey.um_per_px).pairs(survey.prospects)
    said = []
    for index, prospect in enumerate(survey.prospects):
        if index in now:
            one = _of_a_mark(index, prospect, now[index], by_hand)
        elif marks.lies_on_one(prospect):
            one = None
        else:
            one = _of_no_mark(index, prospect, then.get(index), entry, by_hand)
        if one is not None:
            said.append(one)
    return tuple(said)


def _of_a_mark(index: int, prospect: Prospect, mark: Mark, by_hand: Handled) -> Taught | None:
    seq = by_hand.added.get(mark.mark_id)
    if seq is not None:
        return Taught(index, True, True, seq)
    return _seen_through(index, prospect, True, by_hand)


def _of_no_mark(
    index: int, prospect: Prospect, was: Mark | None, entry: PictureField, by_hand: Handled
) -> Taught | None:
    if was is not None and was.mark_id in entry.marks:
        return None  # it was moved or redrawn, and stands elsewhere
    seq = None if was is None else by_hand.removed.get(was.mark_id)
    if seq is not None:
        return Taught(index, False, True, seq)
    return _seen_through(index, prospect, False, by_hand)


def _seen_through(index: int, prospect: Prospect, is_body: bool, by_hand: Handled) -> Taught | None:
    if by_hand.reviewed is None or prospect.is_cut:
        return None
    return Taught(index, is_body, False, by_hand.reviewed)


class _Places:
    """Marks by where they lie: in squares as large as the longest of them."""

    def __init__(self, marks: Iterable[Mark], um_per_px: float) -> None:
        self._um_per_px = um_per_px
        placed = list(marks)
        self._side_px = max((mark.length_um for mark in placed), default=1.0) / um_per_px
        self._squares: defaultdict[tuple[int, int], list[Mark]] = defaultdict(list)
        for mark in placed:
            self._squares[self._square(mark.x_px, mark.y_px)].append(mark)

    def _square(self, x_px: float, y_px: float) -> tuple[int, int]:
        return int(x_px // self._side_px), int(y_px // self._side_px)

    def _near(self, prospect: Prospect) -> list[tuple[float, Mark]]:
        """Marks near a prospect, with how far their middles are apart in µm."""
        reach = 1 + int(prospect.length_um / self._um_per_px // self._side_px)
        column, row = self._square(prospect.x_px, prospect.y_px)
        return [
            (hypot(mark.x_px - prospect.x_px, mark.y_px - prospect.y_px) * self._um_per_px, mark)
            for right in range(-reach, reach + 1)
            for down in range(-reach, reach + 1)
            for mark in self._squares.get((column + right, row + down), ())
        ]

    def pairs(self, prospects: Sequence[Prospect]) -> Mapping[int, Mark]:
        """Return the mark of each prospect that is one body with it, the nearest pairs first."""
        close = [
            (apart_um, index, mark.mark_id, mark)
            for index, prospect in enumerate(prospects)
            for apart_um, mark in self._near(prospect)
            if apart_um < mark.length_um / 2 and _are_alike(prospect.length_um, mark.length_um)
        ]
        paired: dict[int, Mark] = {}
        used: set[int] = set()
        for _, index, mark_id, mark in sorted(close, key=lambda each: each[:3]):
            if index not in paired and mark_id not in used:
                paired[index] = mark
                used.add(mark_id)
        return paired

    def lies_on_one(self, prospect: Prospect) -> bool:
        """Whether a mark covers a good part of a prospect."""
        return any(
            apart_um < max(mark.length_um, prospect.length_um) / 2
            for apart_um, mark in self._near(prospect)
        )


def _are_alike(one_um: float, other_um: float) -> bool:
    return min(one_um, other_um) >= LIKE * max(one_um, other_um)
