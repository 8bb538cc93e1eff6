"""How many to count, against the published rule."""

from __future__ import annotations

import pytest

from counter.statistics.precision import (
    counted_by_rule,
    counted_for,
    lund_precision,
    measured_for,
    precision_of,
)

# Lund, Kipling & Le Cren 1958, Hydrobiologia 11:143-170 (the rule 2/√n, from memory): number
# counted and ± percent at 95 %
LUND = [
    (4, 100),
    (16, 50),
    (25, 40),
    (50, 28.3),
    (100, 20),
    (200, 14.1),
    (400, 10),
    (1000, 6.3),
    (1600, 5),
    (10_000, 2),
]

# ± percent and the number for it at z = 1.96, computed, rounded to whole numbers
NEEDED = [(5, 1537), (10, 384), (15, 171), (20, 96), (25, 61), (30, 43), (50, 15)]


@pytest.mark.parametrize(("count", "percent"), LUND)
def test_the_table_of_lund_kipling_and_le_cren_comes_out(count: int, percent: float) -> None:
    """Each entry to its printed digit."""
    digit = 0.05 if percent % 1 else 0.5
    assert 100 * lund_precision(count) == pytest.approx(percent, abs=digit)


@pytest.mark.parametrize(("count", "percent"), [entry for entry in LUND if entry[0] >= 100])
def test_the_limits_that_are_shown_keep_close_to_the_rule(count: int, percent: float) -> None:
    """Half the width of Garwood's limits is within a twentieth of 2/√n from 100 on."""
    assert 100 * precision_of(count) == pytest.approx(percent, rel=0.05)


@pytest.mark.parametrize(("percent", "count"), NEEDED)
def test_the_number_needed_comes_out(percent: float, count: int) -> None:
    """(1.96/x)², and a few more by the exact limits."""
    assert round(counted_by_rule(percent / 100)) == count
    exact = counted_for(percent / 100)
    assert exact is not None
    assert count < exact <= count + 21


@pytest.mark.parametrize(("plus_minus_um", "number"), [(2, 96), (5, 15)])
def test_the_number_of_lengths_comes_out(plus_minus_um: float, number: int) -> None:
    """(1.96 s/d)² with s = 10 µm (computed)."""
    assert round(measured_for(10.0, plus_minus_um)) == number
