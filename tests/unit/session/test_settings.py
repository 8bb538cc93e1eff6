"""Gestures on the sample card."""

from __future__ import annotations

import math

import pytest

from counter.domain.edges import EdgeRule
from counter.domain.sample import Dilution
from counter.errors import UsageError
from counter.records.store import Store
from counter.session import Session
from tests.hatchery import CHAMBER, EGGS, LARVAE, mark, picture


def test_each_setting_is_an_event_and_can_be_taken_back(session: Session) -> None:
    """One by one, in any number."""
    start = session.sample
    session.set_name("tank 4")
    session.set_vessel_ml(800.0)
    session.set_dilution(Dilution(1, 9))
    session.set_chamber(CHAMBER.certified(980.0))
    session.set_edges(EdgeRule.BOTTOM_RIGHT)
    session.set_confidence(0.99)
    session.set_target(EGGS)
    session.set_lens("10x")
    sample = session.sample
    assert (sample.name, sample.vessel_ml, sample.lens) == ("tank 4", 800.0, "10x")
    assert (sample.dilution, sample.edges) == (Dilution(1, 9), EdgeRule.BOTTOM_RIGHT)
    assert (sample.chamber.volume_ul, sample.confidence) == (980.0, 0.99)
    assert sample.target == EGGS
    taken_back = []
    while session.undo_description is not None:
        taken_back.append(session.undo())
    assert session.sample == start
    assert taken_back == [
        "set the lens to 10x",
        "set the target to eggs of test oyster",
        "set the confidence to 99 %",
        "let the bottom and right borders count",
        "set the chamber to test cell, 980 µL",
        "set the dilution to 1+9",
        "set the vessel to 800 mL",
        "named the sample “tank 4”",
    ]


def test_setting_what_is_set_writes_nothing(session: Session, store: Store) -> None:
    """So that undo always changes something."""
    sample = session.sample
    session.set_name(sample.name)
    session.set_vessel_ml(sample.vessel_ml)
    session.set_dilution(sample.dilution)
    session.set_chamber(sample.chamber)
    session.set_edges(sample.edges)
    session.set_confidence(sample.confidence)
    session.set_target(sample.target)
    session.set_lens(sample.lens)
    assert len(store.events(session.sample_id)) == 1


@pytest.mark.parametrize("wrong", [0.0, -5.0, math.inf, math.nan])
def test_impossible_settings_are_refused(session: Session, wrong: float) -> None:
    """Each says what is impossible; nothing changes."""
    before = session.sample
    with pytest.raises(UsageError, match="vessel"):
        session.set_vessel_ml(wrong)
    with pytest.raises(UsageError, match="dilution"):
        session.set_dilution(Dilution(wrong, 1.0))
    with pytest.raises(UsageError, match="confidence"):
        session.set_confidence(wrong)
    with pytest.raises(UsageError, match="no name"):
        session.set_name("  ")
    with pytest.raises(UsageError, match="too long"):
        session.set_name("x" * 201)
    assert session.sample is before


def test_the_vessel_can_be_unknown_again(session: Session) -> None:
    """Then there is a density and no total."""
    session.set_vessel_ml(None)
    assert session.sample.vessel_ml is None
    assert session.undo() == "took the vessel's volume away"


def test_another_target_stages_the_marks_anew(session: Session) -> None:
    """Those that a person staged keep their stage where the new target knows it."""
    marks = (mark(1, length_um=72.0), mark(2, length_um=150.0, stage="umbo"), mark(3))
    (field_id,) = session.add_picture_fields([picture(*marks)])
    session.stage_marks(field_id, [3], "eyed")
    session.set_target(EGGS)
    assert _stages(session) == ["egg", "egg", "egg"]
    session.set_target(LARVAE)
    assert _stages(session) == ["d-hinge", "umbo", "d-hinge"]
    session.undo()
    session.undo()
    assert _stages(session) == ["d-hinge", "umbo", "eyed"]
    narrower = type(LARVAE)(LARVAE.kind, LARVAE.species, 70.0, 300.0)
    session.set_target(narrower)
    assert _stages(session) == ["d-hinge", "umbo", "eyed"]


def _stages(session: Session) -> list[str]:
    return [
        entry.stage for field in session.sample.picture_fields() for entry in field.marks.values()
    ]
