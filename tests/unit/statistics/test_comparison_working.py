"""The working of two counts compared."""

from __future__ import annotations

import re
from math import sqrt

import pytest

from counter.statistics.comparison_working import comparison_working
from counter.statistics.vessels import Vessel, compare_vessels


def worked(first: Vessel, second: Vessel) -> tuple[str, ...]:
    """The lines, with ordinary spaces."""
    lines = comparison_working(compare_vessels(first, second))
    return tuple(line.replace("\u202f", " ") for line in lines)


def test_the_exact_limits_come_out_on_paper() -> None:
    """45 in 0.5 mL against 120 in 1 mL: 0.7500, 0.5202 to 1.0647 (trade reference, 2.3)."""
    share, ratio, limits, chance, other = worked(Vessel([120], [1.0]), Vessel([45], [0.5]))
    assert share.startswith("Share of the second: 45 ÷ (120 + 45) = 0.2727")
    assert ratio == "Ratio: 0.2727 ÷ 0.7273 × 2 = 0.7500"
    found = re.findall(r"([\d.]+) ÷ ([\d.]+) × 2 = ([\d.]+)", limits)
    assert [float(limit) for *_, limit in found] == pytest.approx([0.5202, 1.0647], abs=0.0006)
    for part, rest, limit in found:
        assert 2 * float(part) / float(rest) == pytest.approx(float(limit), rel=1e-3)
    assert "1 ÷ (1 + 2) = 0.3333" in chance
    assert chance.endswith("p = 0.11")
    assert other.startswith("Programs that sum all outcomes as unlikely as this one print p = 0.1")


def test_the_p_value_of_other_programs_is_told_beside_ours() -> None:
    """11 in 800 against 21 in 3011: twice the tail 0.1120, the R manual prints 0.0797."""
    *_, ours, theirs = worked(Vessel([21], [3011.0]), Vessel([11], [800.0]))
    assert ours.endswith("p = 0.11")
    assert theirs.endswith("p = 0.08")


def test_the_widened_limits_come_out_on_paper() -> None:
    """Fieller's formula, with the numbers as they are printed."""
    *_, g_line, limits = worked(Vessel([112, 60, 103], [0.25] * 3), Vessel([88, 91], [0.25] * 2))
    g = float(g_line.split(" = ")[-1].split()[0])
    ratio, t, index, *_rest = (float(text) for text in re.findall(r"\d+\.\d+", limits))
    half = t * sqrt(index * ((1 - g) / 179 + 1 / 275))
    low, high = (float(text) for text in limits.split(" = ")[-1].split(" to "))
    assert ratio * (1 - half) / (1 - g) == pytest.approx(low, rel=2e-3)
    assert ratio * (1 + half) / (1 - g) == pytest.approx(high, rel=2e-3)


def test_without_limits_or_ratio_it_says_so_or_nothing() -> None:
    """A first count too poor for limits; none counted first."""
    poor = worked(Vessel([0, 9], [1.0, 1.0]), Vessel([20, 30], [1.0, 1.0]))
    assert poor[-1] == "g is 1 or more: the first count is too poor to set limits"
    assert worked(Vessel([0], [1.0]), Vessel([12], [1.0])) == ()
