"""The working of what stands beside the total: stages, states, shares, sizes."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from counter.domain.proposed import Proposal
from counter.domain.sample import Filling, Sample
from counter.statistics.cohorts import dip_beside_critical
from counter.statistics.estimate import by_stage, stages_behind
from counter.statistics.parts_working import parts_working
from counter.statistics.sizes_working import sizes_working
from counter.statistics.whole_working import OF_PARTS, OF_SIZES, whole_working
from counter.statistics.working import working
from tests.hatchery import CHAMBER, LARVAE, mark, picture

LENGTHS = (70.0, 72.0, 75.0, 71.0, 73.0, 77.0, 150.0)


def sample() -> Sample:
    """Two fillings of one picture each: 3 + 3 D-hinge and 0 + 1 umbo in 20 L."""
    stages = ("d-hinge",) * 6 + ("umbo",)
    marks = [
        replace(mark(n, length_um=length, stage=stage), state="dead" if n == 2 else "live")
        for n, (length, stage) in enumerate(zip(LENGTHS, stages, strict=True), start=1)
    ]
    fillings = (
        Filling(1, (picture(*marks[:3], field_id=8),)),
        Filling(2, (picture(*marks[3:], field_id=9),)),
    )
    return Sample(LARVAE, CHAMBER, fillings=fillings, vessel_ml=20_000.0)


def plain(lines: tuple[str, ...]) -> list[str]:
    """The lines with ordinary spaces."""
    return [line.replace("\u202f", " ") for line in lines]


def test_each_stage_is_led_from_its_counts_to_its_total() -> None:
    """By hand: 6 in 2 × 22.5 µL/mm² … 0.045 mm³ of 20 L are 6 ÷ 0.000045 × 20 = 2 666 667."""
    lines = plain(parts_working(sample()))
    assert "Stage d-hinge: 3 + 3 = 6" in lines
    assert "Share: 6 ÷ 7 = 0.85714" in lines
    assert "Stage umbo: 0 + 1 = 1" in lines
    (first, second) = by_stage(sample())
    assert first.total == pytest.approx(6 / 0.000045 * 20_000)
    assert "Vessel: 6 ÷ 4.5e-05 mL × 20 000 mL = 2 666 666 667" in lines
    behind = stages_behind(sample())
    assert [entry.result.total for entry in behind] == [first.total, second.total]
    assert [(entry.result.low, entry.result.high) for entry in behind] == [
        (first.low, first.high),
        (second.low, second.high),
    ]


def test_states_and_their_shares_have_lines_and_a_proposal_its_doubt() -> None:
    """What persons said has both pairs of limits, a proposal Wilson's for what it is worth."""
    said = plain(parts_working(sample()))
    at = said.index("Dead, of those on the pictures whose state is known")
    assert said[at + 1] == "Share: 1 ÷ 7 = 0.14286"
    assert said[at + 3].startswith("Exact limits (Clopper and Pearson 1934): 0.0036")
    assert "State dead: 1 + 0 = 1" in said
    marks = [replace(mark(n), proposal=Proposal("dead", 0.9)) for n in range(1, 6)]
    guessed = Sample(LARVAE, CHAMBER, fillings=(Filling(1, (picture(*marks, field_id=7),)),))
    lines = plain(parts_working(guessed))
    assert lines[0] == "Stage d-hinge: all 5, so its numbers are those of the total"
    doubt = next(line for line in lines if line.startswith("Doubt of the proposals"))
    assert "Σ p × (1 − p) = 0.45; with s = (5 + 0.5) ÷ (5 + 1) = 0.91667" in doubt
    worth = 1 / (1 + 0.45 / (5 * 0.91667 * 0.08333))
    assert f"= {worth:.4f}"[:7] in doubt


def test_sizes_come_out_on_paper() -> None:
    """By hand: 588 ÷ 7 = 84; Σ (length − 84)² = 5116; √(5116 ÷ 6) = 29.2; t(6) = 2.4469."""
    lines = plain(sizes_working(sample()))
    assert lines[0] == "Mean length: 588 µm ÷ 7 measured = 84 µm"
    assert "√(5 116 ÷ 6) = 29.2 µm" in lines[1]
    assert "84 ± 2.4469 × 29.2 ÷ √7 = 56.994 to 111.01 µm" in lines[2]
    assert lines[3] == "For a mean to ±2 µm: (1.96 × 29.2 ÷ 2)² = 818.87"
    assert lines[4].startswith("Median: place 1 + 0.5 × (7 − 1) = 4 of the lengths in order, 73 µm")
    assert "too few for limits" not in lines[4]
    assert "limits at places 1 and 7: 70 to 150 µm" in lines[4]
    fair = next(line for line in lines if line.startswith("Mean with that taken out"))
    sides = [(length + 60) / 2 for length in LENGTHS]
    heavy = [min(20, 200 * 112.5 / ((200 - side) * (112.5 - side))) for side in sides]
    assert f"= {np.average(LENGTHS, weights=heavy):.2f} µm" in fair


def test_two_groups_say_by_what_they_are_two() -> None:
    """The dip above its critical value; one group has no such line."""
    lengths = [75.0 + n / 2 for n in range(20)] + [100.0 + n / 2 for n in range(20)]
    marks = [mark(n, length_um=length) for n, length in enumerate(lengths, start=1)]
    mixed = Sample(LARVAE, CHAMBER, fillings=(Filling(1, (picture(*marks, field_id=7),)),))
    found, critical = dip_beside_critical(lengths)
    assert found > critical
    assert plain(sizes_working(mixed))[-1].startswith("Two groups: √n × dip = ")
    assert not any("Two groups" in line for line in sizes_working(sample()))


def test_the_whole_working_begins_with_the_total_and_leaves_out_what_is_not_there() -> None:
    """Heads stand above what follows; nothing measured has none."""
    whole = whole_working(sample())
    assert whole[: len(working(sample()))] == working(sample())
    assert whole.index(OF_PARTS) < whole.index(OF_SIZES)
    empty = Sample(LARVAE, CHAMBER, fillings=(Filling(1, (picture(field_id=7),)),))
    assert whole_working(empty) == working(empty)
