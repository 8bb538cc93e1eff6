"""How a change on the sample card changes the sample."""

from __future__ import annotations

from dataclasses import replace
from functools import singledispatch

from counter.domain import events
from counter.domain.house import house_of
from counter.domain.state import State, knows_stage, restaged


@singledispatch
def after_setting(event: events.Setting, state: State) -> State:
    """Return the state after a setting was changed."""
    del state
    raise TypeError(f"no rule for {type(event).__name__}")


@after_setting.register
def _name(event: events.NameSet, state: State) -> State:
    return replace(state, sample=replace(state.sample, name=event.name))


@after_setting.register
def _vessel(event: events.VesselSet, state: State) -> State:
    return replace(state, sample=replace(state.sample, vessel_ml=event.vessel_ml))


@after_setting.register
def _dilution(event: events.DilutionSet, state: State) -> State:
    return replace(state, sample=replace(state.sample, dilution=event.dilution))


@after_setting.register
def _chamber(event: events.ChamberSet, state: State) -> State:
    return replace(state, sample=replace(state.sample, chamber=event.chamber))


@after_setting.register
def _edges(event: events.EdgesSet, state: State) -> State:
    return replace(state, sample=replace(state.sample, edges=event.edges))


@after_setting.register
def _confidence(event: events.ConfidenceSet, state: State) -> State:
    return replace(state, sample=replace(state.sample, confidence=event.confidence))


@after_setting.register
def _volumes(event: events.VolumesKnown, state: State) -> State:
    return replace(state, sample=replace(state.sample, volumes=event.volumes))


@after_setting.register
def _stop_rule(event: events.StopRuleSet, state: State) -> State:
    return replace(state, sample=replace(state.sample, stop_after=event.fillings))


@after_setting.register
def _earlier(event: events.EarlierKnown, state: State) -> State:
    house = house_of(event.samples, str(state.sample.target.kind))
    return replace(state, sample=replace(state.sample, house=house))


@after_setting.register
def _lens(event: events.LensSet, state: State) -> State:
    return replace(state, sample=replace(state.sample, lens=event.lens))


@after_setting.register
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
        after_it = restaged(after_it, entry)
    return after_it
