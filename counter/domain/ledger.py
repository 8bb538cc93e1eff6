"""The ledger of one sample: its events in order, folded; undo and redo without end.

Undo and redo are events themselves. Undo takes back the last gesture that stands; results that
arrived since (a picture counted in the background) stay. A new gesture ends what could be redone;
an arrival does not. The sample is the fold of the events that stand, in the order of their seq, so
that redo gives back exactly what undo took.

States are kept for the last :data:`NEAR` events and for every :data:`SPACING`-th before, so
appending costs the same whatever came before, and undo folds at most :data:`SPACING` events again.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from counter.domain import events
from counter.domain.describe import described
from counter.domain.events import Change, Event, Redone, SampleStarted, Undone
from counter.domain.fold import after
from counter.domain.ids import UsedIds
from counter.domain.sample import Sample
from counter.domain.state import State, started
from counter.errors import CounterError

NEAR = 64
SPACING = 64


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a ledger for people; ``undone`` says that it does not stand now."""

    seq: int
    description: str
    undone: bool


@dataclass(frozen=True, slots=True)
class Step:
    """An event that can be appended, with what the sample will be; made by ``prepared``."""

    event: Event
    state: State
    description: str


class Ledger:
    """The events of one sample and the sample that they make."""

    def __init__(self, seq: int, first: SampleStarted) -> None:
        self._chain = _Chain(started(first))
        self._descriptions = {seq: "started the sample"}
        self._undo: list[tuple[int, Change]] = []
        self._redo: list[tuple[int, Change]] = []
        self._abandoned: set[int] = set()
        self._ids = UsedIds()
        self._last_seq = seq

    @classmethod
    def of(cls, entries: Iterable[tuple[int, Event]]) -> Ledger:
        """Fold ``entries``: (seq, event) pairs in growing order of seq, a SampleStarted first.

        Raises :class:`~counter.errors.CounterError` where they don't follow from one another.
        """
        rest = iter(entries)
        seq, first = next(rest, (0, None))
        if not isinstance(first, SampleStarted):
            raise CounterError(
                "The record of this sample has no beginning; open another sample, or a copy of "
                "the records."
            )
        ledger = cls(seq, first)
        for seq, event in rest:
            ledger.accept(seq, ledger.prepared(event))
        return ledger

    @property
    def sample(self) -> Sample:
        """The sample as it stands."""
        return self.state.sample

    @property
    def state(self) -> State:
        """The sample as it stands, with what a person staged."""
        return self._chain.last

    @property
    def standing(self) -> Sequence[tuple[int, Change]]:
        """Every change that stands now, with its seq, in order."""
        return self._chain.entries

    @property
    def last_seq(self) -> int:
        """The seq of the last event."""
        return self._last_seq

    @property
    def undoable(self) -> int | None:
        """The seq of the gesture that undo takes back, None if there is none."""
        return self._undo[-1][0] if self._undo else None

    @property
    def redoable(self) -> int | None:
        """The seq of the gesture that redo brings back, None if there is none."""
        return self._redo[-1][0] if self._redo else None

    def description(self, seq: int) -> str:
        """Return what the event with this seq did, in words."""
        return self._descriptions[seq]

    def lines(self) -> tuple[Line, ...]:
        """Return every event in words, the oldest first, with whether it is undone now."""
        undone = {seq for seq, _ in self._redo} | self._abandoned
        return tuple(Line(seq, text, seq in undone) for seq, text in self._descriptions.items())

    def free_ids(self) -> tuple[int, int]:
        """Return a filling id and a field id that were never used in this sample."""
        return self._ids.filling + 1, self._ids.field + 1

    def free_mark_id(self, field_id: int) -> int:
        """Return a mark id that was never used on this field, not even by a mark undone."""
        return self._ids.mark.get(field_id, 0) + 1

    def prepared(self, event: Event) -> Step:
        """Return the step that ``event`` would be; the ledger does not change.

        Raises :class:`~counter.errors.CounterError` where it makes no sense any more.
        """
        if isinstance(event, SampleStarted):
            raise CounterError("The record of this sample begins twice; open a copy of it.")
        if isinstance(event, Undone):
            self._expect(event.seq, self.undoable, "undo")
            text = f"took back: {self._descriptions[event.seq]}"
            return Step(event, self._chain.without(event.seq), text)
        if isinstance(event, Redone):
            self._expect(event.seq, self.redoable, "redo")
            text = f"did again: {self._descriptions[event.seq]}"
            return Step(event, self._chain.with_(self._redo[-1]), text)
        text = described(event, self.sample)
        return Step(event, after(event, self.state), text)

    def accept(self, seq: int, step: Step) -> None:
        """Append a step that was prepared on the ledger as it stands, as event ``seq``."""
        if seq <= self._last_seq:
            raise CounterError(f"Event {seq} of this sample comes after event {self._last_seq}.")
        event = step.event
        if isinstance(event, Undone):
            self._redo.append(self._undo.pop())
            self._chain.drop(event.seq)
        elif isinstance(event, Redone):
            entry = self._redo.pop()
            self._undo.append(entry)
            self._chain.put(entry)
        elif not isinstance(event, SampleStarted):
            self._accept_change(seq, event, step.state)
        self._descriptions[seq] = step.description
        self._last_seq = seq

    def _accept_change(self, seq: int, event: Change, state: State) -> None:
        self._chain.push((seq, event), state)
        self._ids.note(event)
        if not isinstance(event, events.ARRIVALS):
            self._undo.append((seq, event))
            self._abandoned.update(seq for seq, _ in self._redo)
            self._redo.clear()

    @staticmethod
    def _expect(seq: int, wanted: int | None, what: str) -> None:
        if seq != wanted:
            raise CounterError(
                f"The record wants to {what} event {seq}, which cannot be done now; "
                "open the sample again."
            )


class _Chain:
    """The changes that stand, in order of seq, and states along the way."""

    def __init__(self, first: State) -> None:
        self._entries: list[tuple[int, Change]] = []
        self._states = {0: first}

    @property
    def last(self) -> State:
        return self._states[len(self._entries)]

    @property
    def entries(self) -> Sequence[tuple[int, Change]]:
        return tuple(self._entries)

    def push(self, entry: tuple[int, Change], state: State) -> None:
        self._entries.append(entry)
        number = len(self._entries)
        self._states[number] = state
        far = number - NEAR
        if far % SPACING:
            self._states.pop(far, None)

    def without(self, seq: int) -> State:
        """The state if the change ``seq`` did not stand."""
        at = self._position(seq)
        return _folded(self._state_after(at), self._entries[at + 1 :])

    def with_(self, entry: tuple[int, Change]) -> State:
        """The state if ``entry`` stood in its place as well."""
        at = self._position(entry[0])
        return _folded(self._state_after(at), [entry, *self._entries[at:]])

    def drop(self, seq: int) -> None:
        """Take the change ``seq`` out; those after it are applied again."""
        at = self._position(seq)
        self._replace_from(at, self._entries[at + 1 :])

    def put(self, entry: tuple[int, Change]) -> None:
        """Put ``entry`` back in its place; those after it are applied again."""
        at = self._position(entry[0])
        self._replace_from(at, [entry, *self._entries[at:]])

    def _replace_from(self, at: int, later: list[tuple[int, Change]]) -> None:
        state = self._state_after(at)
        for number in range(at + 1, len(self._entries) + 1):
            self._states.pop(number, None)
        del self._entries[at:]
        for entry in later:
            state = after(entry[1], state)
            self.push(entry, state)

    def _position(self, seq: int) -> int:
        """Where the change ``seq`` is, or would be; gestures undone and redone are near the end."""
        at = len(self._entries)
        while at and self._entries[at - 1][0] >= seq:
            at -= 1
        return at

    def _state_after(self, number: int) -> State:
        """The state after the first ``number`` changes; those in between are kept too."""
        known = number
        while known not in self._states:
            known -= 1
        state = self._states[known]
        for at in range(known, number):
            state = after(self._entries[at][1], state)
            self._states[at + 1] = state
        return state


def _folded(state: State, entries: Iterable[tuple[int, Change]]) -> State:
    for _, event in entries:
        state = after(event, state)
    return state
