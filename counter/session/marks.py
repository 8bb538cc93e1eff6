"""Gestures on marks: what a correcting technician does on a picture."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from counter.domain import events
from counter.domain.lookup import marks_of, picture_of
from counter.domain.mark import Mark
from counter.domain.state import knows_stage
from counter.errors import UsageError
from counter.session.core import SessionCore


class MarkGestures(SessionCore):
    """Marks come without an id and get one that was never used on their picture.

    A mark that is no longer there is a :class:`~counter.errors.CounterError` that names it. What
    a person said of a mark (its stage, its state) outlives moving, redrawing and splitting.
    """

    def add_mark(self, field_id: int, mark: Mark) -> int:
        """Add a mark placed by hand and return its id."""
        return self.add_marks(field_id, (mark,))[0]

    def add_marks(self, field_id: int, marks: Iterable[Mark]) -> tuple[int, ...]:
        """Add marks as one gesture and return their ids; no marks: nothing happens."""
        numbered = self._numbered(field_id, marks)
        if numbered:
            self._do(events.MarksAdded(field_id, numbered))
        return tuple(mark.mark_id for mark in numbered)

    def remove_marks(self, field_id: int, mark_ids: Iterable[int]) -> None:
        """Remove marks as one gesture; no ids: nothing happens."""
        ids = tuple(dict.fromkeys(mark_ids))
        if ids:
            self._do(events.MarksRemoved(field_id, ids))

    def move_mark(self, field_id: int, mark_id: int, moved: Mark) -> None:
        """Put ``moved`` in the place of a mark; it keeps its id, stage and state."""
        old = self._mark(field_id, mark_id)
        new = replace(self._kept(field_id, old, moved), stage=old.stage)
        if new != old:
            self._do(events.MarkMoved(field_id, new))

    def reshape_mark(self, field_id: int, mark_id: int, redrawn: Mark) -> None:
        """Put ``redrawn`` in the place of a mark; it keeps its id and what a person said."""
        old = self._mark(field_id, mark_id)
        new = self._kept(field_id, old, redrawn)
        if new != old:
            self._do(events.MarkReshaped(field_id, new))

    def split_mark(self, field_id: int, mark_id: int, parts: Sequence[Mark]) -> tuple[int, ...]:
        """Put two or more parts in the place of a mark and return their ids."""
        if len(parts) < 2:
            raise UsageError("The cut leaves one piece; draw it right across the outline.")
        old = self._mark(field_id, mark_id)
        numbered = self._numbered(field_id, (_with_state(part, old.state) for part in parts))
        self._do(events.MarkSplit(field_id, mark_id, numbered))
        return tuple(part.mark_id for part in numbered)

    def join_marks(self, field_id: int, mark_ids: Iterable[int], joined: Mark) -> int:
        """Put one mark in the place of two or more and return its id.

        It has the state of the parts where they agree.
        """
        ids = tuple(dict.fromkeys(mark_ids))
        if len(ids) < 2:
            raise UsageError("Joining takes two marks or more; choose another one as well.")
        states = {mark.state for mark in marks_of(picture_of(self.sample, field_id), ids)}
        common = states.pop() if len(states) == 1 else None
        (new,) = self._numbered(field_id, (_with_state(joined, common),))
        self._do(events.MarksJoined(field_id, ids, new))
        return new.mark_id

    def stage_marks(self, field_id: int, mark_ids: Iterable[int], stage: str) -> None:
        """Say which stage marks are; it stands whatever is measured later.

        UsageError for a stage that the target does not have.
        """
        target = self.sample.target
        if not knows_stage(target, stage):
            raise UsageError(
                f"“{stage}” is not a stage of {target.kind.value} of {target.species.name}; "
                "choose one from the list."
            )
        ids = tuple(dict.fromkeys(mark_ids))
        if ids:
            self._do(events.MarksStaged(field_id, ids, stage))

    def set_state(self, field_id: int, mark_ids: Iterable[int], state: str | None) -> None:
        """Say that marks are live, dead …; None takes it back."""
        chosen = marks_of(picture_of(self.sample, field_id), dict.fromkeys(mark_ids))
        ids = tuple(mark.mark_id for mark in chosen if mark.state != state)
        if ids:
            self._do(events.StateSet(field_id, ids, state))

    def accept_proposals(self, field_id: int, mark_ids: Iterable[int]) -> int:
        """Say of marks what is proposed for each, as one gesture; return of how many.

        Marks of which a person has spoken, and those without a proposal, stay as they are.
        """
        chosen = marks_of(picture_of(self.sample, field_id), dict.fromkeys(mark_ids))
        said = tuple((m.mark_id, m.proposed_state) for m in chosen)
        states = tuple((mark_id, state) for mark_id, state in said if state is not None)
        if states:
            self._do(events.ProposalsAccepted(field_id, states))
        return len(states)

    def _mark(self, field_id: int, mark_id: int) -> Mark:
        return marks_of(picture_of(self.sample, field_id), (mark_id,))[0]

    def _numbered(self, field_id: int, marks: Iterable[Mark]) -> tuple[Mark, ...]:
        first = self._ledger.free_mark_id(field_id)
        picture = picture_of(self.sample, field_id).picture
        return tuple(
            replace(picture.cut_at_rim(mark), mark_id=number)
            for number, mark in enumerate(marks, first)
        )

    def _kept(self, field_id: int, old: Mark, new: Mark) -> Mark:
        """``new`` with the id and what a person said of ``old``."""
        new = picture_of(self.sample, field_id).picture.cut_at_rim(new)
        by_hand = (field_id, old.mark_id) in self._ledger.state.staged_by_hand
        kept = _with_state(replace(new, mark_id=old.mark_id), old.state)
        return replace(kept, stage=old.stage) if by_hand else kept


def _with_state(mark: Mark, state: str | None) -> Mark:
    return mark if mark.state is not None else replace(mark, state=state)
