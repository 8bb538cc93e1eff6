"""How a gesture on marks changes the sample."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import replace
from functools import singledispatch

from counter.domain import events
from counter.domain.field import PictureField
from counter.domain.lookup import marks_of, picture_of, with_field
from counter.domain.mark import Mark
from counter.domain.state import State


@singledispatch
def after_mark_event(event: events.MarkEvent, state: State) -> State:
    """Return the state after something happened to marks."""
    del state
    raise TypeError(f"no rule for {type(event).__name__}")


def _with_marks(
    state: State, entry: PictureField, put: Iterable[Mark], gone: Collection[int] = ()
) -> State:
    changed = entry.with_marks(gone, {mark.mark_id: mark for mark in put})
    return replace(state, sample=with_field(state.sample, changed))


@after_mark_event.register
def _marks_added(event: events.MarksAdded, state: State) -> State:
    entry = picture_of(state.sample, event.field_id)
    return _with_marks(state, entry, event.marks)


@after_mark_event.register
def _marks_removed(event: events.MarksRemoved, state: State) -> State:
    entry = picture_of(state.sample, event.field_id)
    gone = {mark.mark_id for mark in marks_of(entry, event.mark_ids)}
    return _with_marks(state, entry, (), gone)


@after_mark_event.register
def _mark_moved(event: events.MarkMoved, state: State) -> State:
    return _mark_replaced(event, state)


@after_mark_event.register
def _mark_reshaped(event: events.MarkReshaped, state: State) -> State:
    return _mark_replaced(event, state)


def _mark_replaced(event: events.MarkMoved | events.MarkReshaped, state: State) -> State:
    entry = picture_of(state.sample, event.field_id)
    marks_of(entry, (event.mark.mark_id,))
    return _with_marks(state, entry, (event.mark,))


@after_mark_event.register
def _mark_split(event: events.MarkSplit, state: State) -> State:
    entry = picture_of(state.sample, event.field_id)
    marks_of(entry, (event.mark_id,))
    return _with_marks(state, entry, event.parts, (event.mark_id,))


@after_mark_event.register
def _marks_joined(event: events.MarksJoined, state: State) -> State:
    entry = picture_of(state.sample, event.field_id)
    gone = {mark.mark_id for mark in marks_of(entry, event.mark_ids)}
    return _with_marks(state, entry, (event.mark,), gone)


@after_mark_event.register
def _marks_staged(event: events.MarksStaged, state: State) -> State:
    entry = picture_of(state.sample, event.field_id)
    chosen = marks_of(entry, event.mark_ids)
    by_hand = state.staged_by_hand | {(event.field_id, mark.mark_id) for mark in chosen}
    staged = _with_marks(state, entry, (replace(m, stage=event.stage) for m in chosen))
    return replace(staged, staged_by_hand=by_hand)


@after_mark_event.register
def _state_set(event: events.StateSet, state: State) -> State:
    entry = picture_of(state.sample, event.field_id)
    chosen = marks_of(entry, event.mark_ids)
    return _with_marks(state, entry, (replace(m, state=event.state) for m in chosen))


@after_mark_event.register
def _proposals_accepted(event: events.ProposalsAccepted, state: State) -> State:
    entry = picture_of(state.sample, event.field_id)
    said = dict(event.states)
    chosen = marks_of(entry, said)
    return _with_marks(state, entry, (replace(m, state=said[m.mark_id]) for m in chosen))
