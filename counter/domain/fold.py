"""How each event changes a sample: one pure rule a kind.

A rule takes the event and the state before it and returns the state after. What an event speaks of
and is no longer there (a mark that was removed, say) is a :class:`~counter.errors.CounterError`
that names it; the state stays as it was.
"""

from __future__ import annotations

from counter.domain import events
from counter.domain.fold_card import after_setting
from counter.domain.fold_fields import after_field_event
from counter.domain.fold_marks import after_mark_event
from counter.domain.state import State


def after(event: events.Change, state: State) -> State:
    """Return the state after ``event``.

    Raises :class:`~counter.errors.CounterError` for a filling, field or mark that is no longer
    there, and for a key on a finished tally.
    """
    if isinstance(event, events.MarkEvent):
        return after_mark_event(event, state)
    if isinstance(event, events.Setting):
        return after_setting(event, state)
    return after_field_event(event, state)
