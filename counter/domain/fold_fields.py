"""How fillings, pictures and squares tallied by eye change the sample."""

from __future__ import annotations

from dataclasses import replace
from functools import singledispatch

from counter.domain import events
from counter.domain.field import PictureField
from counter.domain.lookup import (
    field_of,
    filling_of,
    picture_of,
    tally_of,
    with_field,
    with_filling,
    with_new_field,
)
from counter.domain.mark import Mark
from counter.domain.sample import Filling, Sample
from counter.domain.state import State, restaged, with_known_stages
from counter.domain.tally_field import TalliedSquare, TallyField
from counter.errors import CounterError


@singledispatch
def after_field_event(event: events.FieldEvent | events.TallyEvent, state: State) -> State:
    """Return the state after something happened to a filling, a picture or a tally."""
    del state
    raise TypeError(f"no rule for {type(event).__name__}")


@after_field_event.register
def _filling_added(event: events.FillingAdded, state: State) -> State:
    fillings = (*state.sample.fillings, Filling(event.filling_id, (), event.aliquot_ul))
    return replace(state, sample=replace(state.sample, fillings=fillings))


@after_field_event.register
def _aliquot(event: events.AliquotSet, state: State) -> State:
    filling = replace(filling_of(state.sample, event.filling_id), aliquot_ul=event.aliquot_ul)
    return replace(state, sample=with_filling(state.sample, filling))


@after_field_event.register
def _filling_removed(event: events.FillingRemoved, state: State) -> State:
    gone = filling_of(state.sample, event.filling_id)
    fillings = tuple(filling for filling in state.sample.fillings if filling is not gone)
    return replace(state, sample=replace(state.sample, fillings=fillings))


@after_field_event.register
def _picture_counted(event: events.PictureCounted, state: State) -> State:
    entry = _as_found(with_known_stages(event.field, state.sample.target))
    return replace(state, sample=with_new_field(state.sample, event.filling_id, entry))


@after_field_event.register
def _picture_recounted(event: events.PictureRecounted, state: State) -> State:
    field_id = event.field.field_id
    picture_of(state.sample, field_id)
    kept = frozenset(key for key in state.staged_by_hand if key[0] != field_id)
    entry = _as_found(with_known_stages(event.field, state.sample.target))
    return State(with_field(state.sample, entry), kept)


def _as_found(entry: PictureField) -> PictureField:
    """Keep what the machine counted beside what a person will make of it."""
    return replace(entry, found=entry.marks)


@after_field_event.register
def _field_removed(event: events.FieldRemoved, state: State) -> State:
    field_of(state.sample, event.field_id)
    fillings = tuple(
        replace(filling, fields=tuple(f for f in filling.fields if f.field_id != event.field_id))
        for filling in state.sample.fillings
    )
    return replace(state, sample=replace(state.sample, fillings=fillings))


@after_field_event.register
def _field_reviewed(event: events.FieldReviewed, state: State) -> State:
    entry = replace(picture_of(state.sample, event.field_id), reviewed=event.reviewed)
    return replace(state, sample=with_field(state.sample, entry))


@after_field_event.register
def _scale_changed(event: events.ScaleChanged, state: State) -> State:
    entry = picture_of(state.sample, event.field_id)
    share = event.scale.um_per_px / entry.picture.scale.um_per_px
    picture = replace(entry.picture, scale=event.scale, area_mm2=entry.picture.area_mm2 * share**2)
    marks = {key: _rescaled(mark, share) for key, mark in entry.marks.items()}
    return restaged(state, replace(entry, picture=picture, marks=marks))


def _rescaled(mark: Mark, share: float) -> Mark:
    """Lengths grow with the µm of a pixel, areas with their square; pixels stay."""
    return replace(
        mark,
        length_um=mark.length_um * share,
        width_um=mark.width_um * share,
        area_um2=mark.area_um2 * share**2,
    )


@after_field_event.register
def _tally_started(event: events.TallyStarted, state: State) -> State:
    entry = TallyField(event.field_id, event.square_name, event.square_area_mm2)
    return replace(state, sample=with_new_field(state.sample, event.filling_id, entry))


@after_field_event.register
def _key_tallied(event: events.KeyTallied, state: State) -> State:
    entry = _open_tally(state.sample, event.field_id)
    counts = dict(entry.squares[-1].counts)
    counts[event.tally_class] = counts.get(event.tally_class, 0) + 1
    squares = (*entry.squares[:-1], TalliedSquare(counts))
    return replace(state, sample=with_field(state.sample, replace(entry, squares=squares)))


@after_field_event.register
def _square_done(event: events.SquareDone, state: State) -> State:
    entry = _open_tally(state.sample, event.field_id)
    squares = (*entry.squares, TalliedSquare())
    return replace(state, sample=with_field(state.sample, replace(entry, squares=squares)))


@after_field_event.register
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
