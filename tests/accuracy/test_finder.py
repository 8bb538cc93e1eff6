"""The finder against drawn truth, kind by kind; the floors in floors.toml only ever rise."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from counter.domain.progress import Silent
from counter.imaging.detect import detect
from counter.imaging.photo import Photo
from tests.accuracy.matching import Outcome, compared
from tests.accuracy.scenes import DIRT, KINDS, scene, target_for
from tests.benchmarks.fields import drawn_fields, learned_finder

FLOORS = tomllib.loads(Path(__file__).with_name("floors.toml").read_text(encoding="utf-8"))
SEED = 11
FIELDS = {"thin rulings": (11, 12, 13, 14), "litter": (11, 12, 13, 14)}
"""Kinds of which several pictures are looked at: what rulings and fibres hide of nine bodies says
little."""


@pytest.mark.parametrize("name", list(KINDS))
def test_bodies_are_found_and_measured(name: str) -> None:
    """F1 is no lower, length bias and mean absolute error no larger than the kind's floor."""
    outcomes = [_outcome(name, seed) for seed in FIELDS.get(name, (SEED,))]
    outcome, floor = sum(outcomes[1:], outcomes[0]), FLOORS[name]
    assert outcome.f1 >= floor["f1"]
    assert abs(outcome.bias) <= floor["bias_percent"] / 100
    assert outcome.mean_error <= floor["mean_error_percent"] / 100


@pytest.mark.parametrize("number", [57, 65])
def test_late_larvae_are_measured_to_the_tip_of_their_umbo(number: int) -> None:
    """One on each field is drawn with an umbo so pointed that a round outline is 5 % too short."""
    (field,) = drawn_fields("late", range(number, number + 1))
    outcome = compared(field.truth, learned_finder(field), field.target)
    assert max(abs(error) for error in outcome.length_errors) < 0.015


def _outcome(name: str, seed: int) -> Outcome:
    drawn, target = scene(name, seed), target_for(KINDS[name])
    marks = detect(Photo(drawn.pixels).with_scale(drawn.um_per_px), target, Silent()).marks
    return compared(drawn, marks, target)


def test_a_slide_with_dirt_alone_is_nearly_empty() -> None:
    """Flakes, algae, fibres and bubbles are not counted: no more than the floor per picture."""
    drawn = scene("dirt", SEED)
    photo = Photo(drawn.pixels).with_scale(drawn.um_per_px)
    assert len(detect(photo, target_for(DIRT), Silent()).marks) <= FLOORS["dirt"]["spare"]


@pytest.mark.parametrize("name", ["thin rulings", "bright grooves"])
def test_rulings_change_nothing(name: str) -> None:
    """The rulings themselves are no bodies, and what they cross is found and flagged."""
    drawn, target = scene(name, SEED), target_for(KINDS[name])
    marks = detect(Photo(drawn.pixels).with_scale(drawn.um_per_px), target, Silent()).marks
    assert compared(drawn, marks, target).spare == 0
    assert any("on-ruling" in mark.flags for mark in marks)


def test_the_round_field_s_area_is_the_visible_one() -> None:
    """Black corners are not counted as area: within 0.3 % of what was drawn, and it is said."""
    drawn = scene("round field", SEED)
    photo = Photo(drawn.pixels).with_scale(drawn.um_per_px)
    found = detect(photo, target_for(KINDS["round field"]), Silent())
    assert found.area_mm2 == pytest.approx(drawn.visible_mm2, rel=0.003)
    assert any("no field" in warning for warning in found.warnings)
