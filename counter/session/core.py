"""What every gesture goes through: checked, committed, then shown."""

from __future__ import annotations

import getpass
from collections.abc import Callable, Sequence
from datetime import UTC, datetime

from counter.domain.events import Change, Event, Redone, Undone
from counter.domain.ledger import Ledger
from counter.domain.sample import Sample
from counter.records.store import Store
from counter.records.trouble import Overtaken

Clock = Callable[[], datetime]
Listener = Callable[[], None]


def now_utc() -> datetime:
    """Return this moment."""
    return datetime.now(UTC)


def this_person() -> str:
    """Return the login name of who sits here; empty where the system does not tell."""
    try:
        return getpass.getuser()
    except (OSError, KeyError, ImportError):
        return ""


class SessionCore:
    """A sample that is open: its ledger, and the store that it is written to."""

    def __init__(self, store: Store, sample_id: int, who: str, clock: Clock) -> None:
        self.sample_id = sample_id
        self.store = store
        self._who = who
        self._clock = clock
        self._listeners: list[Listener] = []
        self._ledger = Ledger.of((r.seq, r.event) for r in store.events(sample_id))

    @property
    def sample(self) -> Sample:
        """The sample as it stands: all of it is on the disk."""
        return self._ledger.sample

    @property
    def last_seq(self) -> int:
        """The number of the last event: it grows with every gesture, undo and redo included."""
        return self._ledger.last_seq

    @property
    def standing(self) -> Sequence[tuple[int, Change]]:
        """Every change that stands now, with the number of its event, in order."""
        return self._ledger.standing

    def add_listener(self, callback: Listener) -> None:
        """Call ``callback()`` after every change of the sample, in the thread of the gesture."""
        self._listeners.append(callback)

    def remove_listener(self, callback: Listener) -> None:
        """Don't call ``callback`` any more; nothing happens if it was not there."""
        if callback in self._listeners:
            self._listeners.remove(callback)

    @property
    def undo_description(self) -> str | None:
        """What undo would take back, in words; None if there is nothing."""
        seq = self._ledger.undoable
        return None if seq is None else self._ledger.description(seq)

    @property
    def redo_description(self) -> str | None:
        """What redo would bring back, in words; None if there is nothing."""
        seq = self._ledger.redoable
        return None if seq is None else self._ledger.description(seq)

    def undo(self) -> str | None:
        """Take the last gesture back and return it in words; None if there is nothing."""
        seq = self._ledger.undoable
        if seq is None:
            return None
        self._do(Undone(seq))
        return self._ledger.description(seq)

    def redo(self) -> str | None:
        """Bring back what undo took and return it in words; None if there is nothing."""
        seq = self._ledger.redoable
        if seq is None:
            return None
        self._do(Redone(seq))
        return self._ledger.description(seq)

    def _do(self, event: Event) -> None:
        """Check ``event`` against the sample, commit it, and only then let it stand.

        Raises :class:`~counter.errors.CounterError` if it cannot be done or cannot be written;
        the sample is as before then. If another window has changed the sample, its gestures are
        read in before the error is raised.
        """
        step = self._ledger.prepared(event)
        name = step.state.sample.name
        try:
            seq = self.store.append(
                self.sample_id,
                event,
                after=self._ledger.last_seq,
                at=self._clock(),
                who=self._who,
                name=name if name != self.sample.name else None,
            )
        except Overtaken:
            self.refresh()
            raise
        self._ledger.accept(seq, step)
        self._changed()

    def refresh(self) -> None:
        """Read in what other windows have done to this sample."""
        later = self.store.events(self.sample_id, after=self._ledger.last_seq)
        for recorded in later:
            self._ledger.accept(recorded.seq, self._ledger.prepared(recorded.event))
        if later:
            self._changed()

    def _changed(self) -> None:
        for listener in tuple(self._listeners):
            listener()
