"""What a ledger folds its events into, and how marks are staged by their length."""

from __future__ import annotations

from dataclasses import dataclass, replace

from counter.domain import events
from counter.domain.field import PictureField
from counter.domain.lookup import with_field
from counter.domain.sample import Sample
from counter.domain.species import EGG, Target, TargetKind

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


def knows_stage(target: Target, stage: str) -> bool:
    """Say whether ``stage`` is one of the target's."""
    if target.kind is TargetKind.EGGS:
        return stage == EGG
    return any(entry.stage == stage for entry in target.species.stages)


def restaged(state: State, entry: PictureField) -> State:
    """Put ``entry`` in, its marks staged by their length save those that a person staged."""
    marks = {
        key: mark
        if (entry.field_id, key) in state.staged_by_hand
        else replace(mark, stage=state.sample.target.stage_of(mark.length_um))
        for key, mark in entry.marks.items()
    }
    return replace(state, sample=with_field(state.sample, replace(entry, marks=marks)))


def with_known_stages(entry: PictureField, target: Target) -> PictureField:
    """Stage by length what was found for another target: it was changed during the count."""
    if all(knows_stage(target, mark.stage) for mark in entry.marks.values()):
        return entry
    marks = {
        key: mark
        if knows_stage(target, mark.stage)
        else replace(mark, stage=target.stage_of(mark.length_um))
        for key, mark in entry.marks.items()
    }
    return replace(entry, marks=marks)
