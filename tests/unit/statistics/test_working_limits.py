"""The working of the limits: what was looked through, scatter, volumes, small vessels."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from counter.domain.house import House
from counter.domain.sample import Filling, Sample
from counter.domain.uncertainty_entry import parse_volumes_known
from counter.statistics.estimate import estimate_counts
from counter.statistics.working import working
from counter.statistics.working_limits import limits_lines
from tests.hatchery import CHAMBER, LARVAE, mark, picture


def reviewed(found: int, removed: int, added: int, *, looked: bool = True) -> Sample:
    """One picture looked through, another one not, of a filling of their own each."""
    first = picture(*[mark(n) for n in range(1, found + 1)], field_id=1)
    marks = {key: one for key, one in first.marks.items() if key > removed}
    new = {1000 + n: mark(1000 + n) for n in range(added)}
    seen = replace(first, found=first.marks, marks={**marks, **new}, reviewed=looked)
    other = picture(*[mark(n) for n in range(1, 51)], field_id=2)
    return Sample(LARVAE, CHAMBER, vessel_ml=20_000.0, fillings=(Filling(1, (seen, other)),))


def test_what_was_looked_through_stands_for_the_rest() -> None:
    """(40 - 4 + 8) ÷ 40 for each of 50: 44 + 55 = 99, all on paper."""
    lines = working(reviewed(40, 4, 8))
    assert (
        "Looked through: 1 of 2 pictures; the machine found 40 there, 4 removed, 8 added: 44"
        in lines
    )
    assert "Not looked through: 50 found × 44 ÷ 40 = 50 × 1.1 = 55" in lines
    index = 1 + 50 * 13 / 40**2 * 6.40
    assert any(
        line.startswith(
            "Count in all: 44 + 55 = 99, with 1 + 50 × (4 + 8 + 1) ÷ 40² × 6.40 = "
            f"{index:.2f} times the variance of chance"
        )
        for line in lines
    )
    assert any(f"widened for {index:.2f} times the variance of chance" in line for line in lines)


def test_too_few_to_judge_the_machine_by_is_said() -> None:
    """The number rests on what was looked through alone."""
    lines = working(reviewed(4, 0, 1))
    assert any("too little to judge the machine by" in line for line in lines)


def test_scatter_of_earlier_samples_is_shown_with_its_weight() -> None:
    """20 × 2.8 of the history against the sample's own χ²."""
    result = estimate_counts([88, 58, 82], [0.25] * 3, house=House(112.0, 40, 20))
    (line,) = [line for line in limits_lines(result, [0.25] * 3) if line.startswith("Scatter")]
    assert "(χ² 6.63 + 20 × 2.8, earlier samples) ÷ (2 + 20) = 2.85" in line
    typed = estimate_counts([88], [0.25], house=House(112.0, 40))
    (line,) = [line for line in limits_lines(typed, [0.25]) if line.startswith("Scatter")]
    assert "(χ² 0 + 20 × 2.8, as given) ÷ (0 + 20)" in line


def test_the_budget_shows_sources_parts_and_a_check() -> None:
    """The largest part first; the draws agree with the formula within 1 %."""
    volumes = parse_volumes_known("vessel ±1 %, pipette 1000 µL", 0.5)
    each = [0.5] * 3
    result = estimate_counts([150, 149, 148], each, vessel_ml=1000.0, volumes=volumes)
    lines = limits_lines(result, each)
    assert "Part: count 4.73 %, 94 % of the variance" in lines
    assert any(
        line.startswith("Uncertainty of the pipette: 1 000 µL set to 0.5")
        for line in [one.replace("\u202f", " ") for one in lines]
    )
    (check,) = [line for line in lines if line.startswith("Check")]
    assert "seed 101" in check
    assert "271\u202f000 to 328\u202f000 in all" in check
    assert lines[-2] == "Total: 298\u202f000 (270\u202f000 to 328\u202f000), 95 % limits"
    assert lines[-1] == "If mixed unevenly: the same limits"


def test_what_fillings_cannot_show_is_said() -> None:
    """One filling shows nothing of the mixing; none counted leaves a guess of 2.8 times chance."""
    lines = limits_lines(estimate_counts([313], [0.75]), [0.75])
    assert lines[0] == "Agreement: one filling cannot show how evenly the vessel is mixed"
    lines = limits_lines(estimate_counts([0, 0], [1.0] * 2), [1.0] * 2)
    (line,) = [line for line in lines if line.startswith("Allowing for uneven mixing")]
    assert line.endswith(
        "up to 10.758 for the count, by a guess of 2.8 times the variance of chance"
    )
    known = limits_lines(estimate_counts([313], [0.75], house=House(40.0, 40)), [0.75])
    assert not any("one filling" in line for line in known)


def test_equal_counts_in_volumes_from_arrays_are_no_more_than_chance() -> None:
    """Areas come from pictures as numpy's numbers; their working is words as well."""
    each = [np.float64(0.5)] * 3
    lines = limits_lines(estimate_counts([7, 7, 7], each), each)
    (line,) = [line for line in lines if line.startswith("Allowing for uneven mixing")]
    assert "by Student's t" in line


def test_none_counted_names_the_one_sided_rule() -> None:
    """The rule of three beside the two-sided limit."""
    lines = limits_lines(estimate_counts([0], [1.0]), [1.0])
    assert any("= 3.00 for the count (the rule of three)" in line for line in lines)


def test_a_small_vessel_shows_its_factor() -> None:
    """√(1 - 0.3) = 0.837 (computed)."""
    lines = limits_lines(estimate_counts([50], [3.0], vessel_ml=10.0), [3.0])
    assert any(line.endswith("√(1 - 0.300) = 0.837") for line in lines)
