"""The rules of the fold: every kind has one, and what is gone is named."""

from __future__ import annotations

from typing import get_args

import pytest

from counter.domain import events
from counter.domain.describe import described
from counter.domain.edges import EdgeRule
from counter.domain.events import Change
from counter.domain.fold import after
from counter.domain.fold_card import after_setting
from counter.domain.fold_fields import after_field_event
from counter.domain.fold_marks import after_mark_event
from counter.domain.sample import Dilution
from counter.domain.scale import Scale
from counter.domain.state import State, knows_stage, started
from counter.errors import CounterError
from tests import hatchery
from tests.hatchery import CHAMBER, EGGS, LARVAE, mark, picture

GONE: list[Change] = [
    events.AliquotSet(9, 1.0),
    events.FillingRemoved(9),
    events.PictureRecounted(picture(field_id=9)),
    events.FieldRemoved(9),
    events.FieldReviewed(9),
    events.ScaleChanged(9, Scale(1.0, "given")),
    events.MarksAdded(9, (mark(1),)),
    events.MarksRemoved(9, (1,)),
    events.MarkMoved(9, mark(1)),
    events.MarkReshaped(9, mark(1)),
    events.MarkSplit(9, 1, (mark(2), mark(3))),
    events.MarksJoined(9, (1, 2), mark(3)),
    events.MarksStaged(9, (1,), "umbo"),
    events.StateSet(9, (1,), "dead"),
    events.KeyTallied(9, "umbo"),
    events.SquareDone(9),
    events.TallyFinished(9),
]


@pytest.fixture
def state() -> State:
    """A sample with a picture of two larvae in filling 1."""
    begun = started(hatchery.started())
    return after(events.PictureCounted(1, picture(mark(1), mark(2), field_id=1)), begun)


@pytest.mark.parametrize(
    ("rule", "kinds"),
    [
        (after_setting, events.Setting),
        (after_field_event, events.FieldEvent | events.TallyEvent),
        (after_mark_event, events.MarkEvent),
        (described, events.Change),
    ],
)
def test_every_kind_of_event_has_a_rule_and_a_description(rule: object, kinds: object) -> None:
    """An event without one could be written and never be read again."""
    registered = set(rule.registry) - {object}  # type: ignore[attr-defined]
    assert registered == set(get_args(kinds))


def test_what_is_no_event_is_a_bug(state: State) -> None:
    """It is not taken for a change of the world."""
    for rule in (after_setting, after_field_event, after_mark_event):
        with pytest.raises(TypeError, match="no rule for int"):
            rule(5, state)  # type: ignore[arg-type]
    with pytest.raises(TypeError, match="no words for int"):
        described(5, state.sample)


@pytest.mark.parametrize("event", GONE, ids=lambda event: type(event).__name__)
def test_what_is_gone_is_named(state: State, event: Change) -> None:
    """A field or filling 9 that is not there."""
    with pytest.raises(CounterError, match=r"(Field|Filling) 9 is no longer in the sample"):
        after(event, state)


def test_settings_replace_one_value_each(state: State) -> None:
    """All others stay."""
    changed = state
    for event in (
        events.NameSet("tank 4"),
        events.VesselSet(None),
        events.DilutionSet(Dilution(1.0, 9.0)),
        events.ChamberSet(CHAMBER.certified(990.0)),
        events.EdgesSet(EdgeRule.TOP_RIGHT),
        events.ConfidenceSet(0.9),
        events.LensSet("10x"),
    ):
        changed = after(event, changed)
    sample = changed.sample
    assert (sample.name, sample.vessel_ml, sample.lens) == ("tank 4", None, "10x")
    assert (sample.dilution.factor, sample.edges) == (10.0, EdgeRule.TOP_RIGHT)
    assert (sample.chamber.volume_ul, sample.confidence) == (990.0, 0.9)
    assert sample.fillings == state.sample.fillings


def test_a_picture_counted_for_another_target_is_staged_for_this_one(state: State) -> None:
    """The target was changed while it was being counted; stages that it knows stand."""
    late = picture(mark(1, length_um=150.0, stage="egg"), mark(2, stage="eyed"), field_id=2)
    (filling,) = after(events.PictureCounted(1, late), state).sample.fillings
    assert dict(filling.fields[1].count_by_stage(EdgeRule.TOP_LEFT)) == {"umbo": 1, "eyed": 1}


def test_a_rule_never_changes_the_state_before(state: State) -> None:
    """States are shared between undo, redo and the window."""
    before = repr(state)
    after(events.MarksAdded(1, (mark(3),)), state)
    after(events.MarksStaged(1, (1,), "eyed"), state)
    after(events.TargetSet(EGGS), state)
    after(events.TallyStarted(1, 2, "1 mm square", 1.0), state)
    assert repr(state) == before


def test_a_target_knows_its_stages() -> None:
    """Eggs have one stage; larvae those of their species."""
    assert [knows_stage(LARVAE, stage) for stage in ("umbo", "egg")] == [True, False]
    assert [knows_stage(EGGS, stage) for stage in ("umbo", "egg")] == [False, True]
