"""How each event changes a sample: one pure rule a kind.

A rule takes the event and the state before it and returns the state after. What an event speaks of
and is no longer there (a mark that was removed, say) is a :class:`~counter.errors.CounterError`
that names it; the state stays as it was.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import singledispatch

from counter.domain import events
from counter.domain.field import PictureField, TalliedSquare, TallyField
from counter.domain.lookup import (
    field_of,
    filling_of,
    marks_of,
    picture_of,
    tally_of,
    with_field,
    with_filling,
    with_new_field,
)
from counter.domain.mark import Mark
from counter.domain.sample import Filling, Sample
from counter.domain.species import EGG, Target, TargetKind
from counter.errors import CounterError

HandStaged = frozenset[tuple[int, int]]


@dataclass(frozen=True, slots=True)
class State:
    """A sample, and which marks (field_id, mark_id) a person has staged."""

    sample: Sample
    staged_by_hand: HandStaged = frozenset()


def started(event: events.SampleStarted) -> State:
    """Return the state of a sample that was just started."""
    return State(
        Sample(
            target=event.target,
            chamber=event.chamber,
            edges=event.edges,
            dilution=event.dilution,
            vessel_ml=event.vessel_ml,
            confidence=event.confidence,
            name=event.name,
            lens=event.lens,
        )
    )


@singledispatch
def after(event: object, state: State) -> State:
    """Return the state after ``event``.

    Raises :class:`~counter.errors.CounterError` for a field or mark that is no longer there.
    """
    del state
    raise TypeError(f"no rule for {type(event).__name__}")


@after.register
def _name(event: events.NameSet, state: State) -> State:
    return replace(state, sample=replace(state.sample, name=event.name))


@after.register
def _vessel(event: events.VesselSet, state: State) -> State:
    return replace(state, sample=replace(state.sample, vessel_ml=event.vessel_ml))


@after.register
def _dilution(event: events.DilutionSet, state: State) -> State:
    return replace(state, sample=replace(state.sample, dilution=event.dilution))


@after.register
def _chamber(event: events.ChamberSet, state: State) -> State:
    return replace(state, sample=replace(state.sample, chamber=event.chamber))


@after.register
def _edges(event: events.EdgesSet, state: State) -> State:
    return replace(state, sample=replace(state.sample, edges=event.edges))


@after.register
def _confidence(event: events.ConfidenceSet, state: State) -> State:
    return replace(state, sample=replace(state.sample, confidence=event.confidence))


@after.register
def _lens(event: events.LensSet, state: State) -> State:
    return replace(state, sample=replace(state.sample, lens=event.lens))


@after.register
def _target(event: events.TargetSet, state: State) -> State:
    sample = replace(state.sample, target=event.target)
    kept = {
        (entry.field_id, mark.mark_id)
        for entry in sample.picture_fields()
        for mark in entry.marks.values()
        if (entry.field_id, mark.mark_id) in state.staged_by_hand
        and knows_stage(event.target, mark.stage)
    }
    after_it = State(sample, frozenset(kept))
    for entry in sample.picture_fields():
        after_it = _restaged(after_it, entry)
    return after_it


@after.register
def _filling_added(event: events.FillingAdded, state: State) -> State:
    fillings = (*state.sample.fillings, Filling(event.filling_id, (), event.aliquot_ul))
    return replace(state, sample=replace(state.sample, fillings=fillings))


@after.register
def _aliquot(event: events.AliquotSet, state: State) -> State:
    filling = replace(filling_of(state.sample, event.filling_id), aliquot_ul=event.aliquot_ul)
    return replace(state, sample=with_filling(state.sample, filling))


@after.register
def _filling_removed(event: events.FillingRemoved, state: State) -> State:
    gone = filling_of(state.sample, event.filling_id)
    fillings = tuple(filling for filling in state.sample.fillings if filling is not gone)
    return replace(state, sample=replace(state.sample, fillings=fillings))


@after.register
def _picture_counted(event: events.PictureCounted, state: State) -> State:
    return replace(state, sample=with_new_field(state.sample, event.filling_id, event.field))


@after.register
def _picture_recounted(event: events.PictureRecounted, state: State) -> State:
    field_id = event.field.field_id
    picture_of(state.sample, field_id)
    kept = frozenset(key for key in state.staged_by_hand if key[0] != field_id)
    return State(with_field(state.sample, event.field), kept)


@after.register
def _field_removed(event: events.FieldRemoved, state: State) -> State:
    field_of(state.sample, event.field_id)
    fillings = tuple(
        replace(filling, fields=tuple(f for f in filling.fields if f.field_id != event.field_id))
        for filling in state.sample.fillings
    )
    return replace(state, sample=replace(state.sample, fillings=fillings))


@after.register
def _field_reviewed(event: events.FieldReviewed, state: State) -> State:
    entry = replace(picture_of(state.sample, event.field_id), reviewed=event.reviewed)
    return replace(state, sample=with_field(state.sample, entry))


@after.register
def _scale_changed(event: events.ScaleChanged, state: State) -> State:
    entry = picture_of(state.sample, event.field_id)
    share = event.scale.um_per_px / entry.picture.scale.um_per_px
    picture = replace(entry.picture, scale=event.scale, area_mm2=entry.picture.area_mm2 * share**2)
    marks = {key: _rescaled(mark, share) for key, mark in entry.marks.items()}
    return _restaged(state, replace(entry, picture=picture, marks=marks))


def _rescaled(mark: Mark, share: float) -> Mark:
    """Lengths grow with the µm of a pixel, areas with their square; pixels stay."""
    return replace(
        mark,
        length_um=mark.length_um * share,
        width_um=mark.width_um * share,
        area_um2=mark.area_um2 * share**2,
    )


def _restaged(state: State, entry: PictureField) -> State:
    """Put ``entry`` in, its marks staged by their length save those that a person staged."""
    marks = {
        key: mark
        if (entry.field_id, key) in state.staged_by_hand
        else replace(mark, stage=state.sample.target.stage_of(mark.length_um))
        for key, mark in entry.marks.items()
    }
    return replace(state, sample=with_field(state.sample, replace(entry, marks=marks)))


def knows_stage(target: Target, stage: str) -> bool:
    """Say whether ``stage`` is one of the target's."""
    if target.kind is TargetKind.EGGS:
        return stage == EGG
    return any(entry.stage == stage for entry in target.species.stages)


def _with_marks(state: State, entry: PictureField, marks: Mapping[int, Mark]) -> State:
    return replace(state, sample=with_field(state.sample, replace(entry, marks=marks)))


@after.register
def _marks_added(event: events.MarksAdded, state: State) -> State:
    entry = picture_of(state.sample, event.field_id)
    return _with_marks(state, entry, {**entry.marks, **{m.mark_id: m for m in event.marks}})


@after.register
def _marks_removed(event: events.MarksRemoved, state: State) -> State:
    entry = picture_of(state.sample, event.field_id)
    gone = {mark.mark_id for mark in marks_of(entry, event.mark_ids)}
    return _with_marks(state, entry, {k: m for k, m in entry.marks.items() if k not in gone})


@after.register
def _mark_moved(event: events.MarkMoved, state: State) -> State:
    return _mark_replaced(event, state)


@after.register
def _mark_reshaped(event: events.MarkReshaped, state: State) -> State:
    return _mark_replaced(event, state)


def _mark_replaced(event: events.MarkMoved | events.MarkReshaped, state: State) -> State:
    entry = picture_of(state.sample, event.field_id)
    marks_of(entry, (event.mark.mark_id,))
    return _with_marks(state, entry, {**entry.marks, event.mark.mark_id: event.mark})


@after.register
def _mark_split(event: events.MarkSplit, state: State) -> State:
    entry = picture_of(state.sample, event.field_id)
    marks_of(entry, (event.mark_id,))
    marks = {key: mark for key, mark in entry.marks.items() if key != event.mark_id}
    return _with_marks(state, entry, {**marks, **{part.mark_id: part for part in event.parts}})


@after.register
def _marks_joined(event: events.MarksJoined, state: State) -> State:
    entry = picture_of(state.sample, event.field_id)
    gone = {mark.mark_id for mark in marks_of(entry, event.mark_ids)}
    marks = {key: mark for key, mark in entry.marks.items() if key not in gone}
    return _with_marks(state, entry, {**marks, event.mark.mark_id: event.mark})


@after.register
def _marks_staged(event: events.MarksStaged, state: State) -> State:
    entry = picture_of(state.sample, event.field_id)
    chosen = marks_of(entry, event.mark_ids)
    marks = {**entry.marks, **{m.mark_id: replace(m, stage=event.stage) for m in chosen}}
    by_hand = state.staged_by_hand | {(event.field_id, mark.mark_id) for mark in chosen}
    return State(with_field(state.sample, replace(entry, marks=marks)), by_hand)


@after.register
def _state_set(event: events.StateSet, state: State) -> State:
    entry = picture_of(state.sample, event.field_id)
    chosen = marks_of(entry, event.mark_ids)
    marks = {**entry.marks, **{m.mark_id: replace(m, state=event.state) for m in chosen}}
    return _with_marks(state, entry, marks)


@after.register
def _tally_started(event: events.TallyStarted, state: State) -> State:
    entry = TallyField(event.field_id, event.square_name, event.square_area_mm2)
    return replace(state, sample=with_new_field(state.sample, event.filling_id, entry))


@after.register
def _key_tallied(event: events.KeyTallied, state: State) -> State:
    entry = _open_tally(state.sample, event.field_id)
    counts = dict(entry.squares[-1].counts)
    counts[event.tally_class] = counts.get(event.tally_class, 0) + 1
    squares = (*entry.squares[:-1], TalliedSquare(counts))
    return replace(state, sample=with_field(state.sample, replace(entry, squares=squares)))


@after.register
def _square_done(event: events.SquareDone, state: State) -> State:
    entry = _open_tally(state.sample, event.field_id)
    squares = (*entry.squares, TalliedSquare())
    return replace(state, sample=with_field(state.sample, replace(entry, squares=squares)))


@after.register
def _tally_finished(event: events.TallyFinished, state: State) -> State:
    entry = _open_tally(state.sample, event.field_id)
    squares = entry.squares
    if not event.last_square_done:
        if squares[-1].counts:
            raise CounterError(
                f"Square {len(squares)} of the tally already holds counts; finish it, or undo "
                "them first."
            )
        squares = squares[:-1]
    done = replace(entry, squares=squares, finished=True)
    return replace(state, sample=with_field(state.sample, done))


def _open_tally(sample: Sample, field_id: int) -> TallyField:
    entry = tally_of(sample, field_id)
    if entry.finished:
        raise CounterError("This tally is finished; start another one, or undo its end.")
    return entry
