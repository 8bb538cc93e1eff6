"""The working of a dilution series and of slides counted twice comes out on paper."""

from __future__ import annotations

import math

import pytest

from counter.statistics.method_working import proportionality_working, repeatability_working
from counter.statistics.proportionality import Level, proportionality
from counter.statistics.repeatability import repeatability

SERIES = [
    Level(0.1, (11, 9, 12)),
    Level(0.3, (29, 33, 31)),
    Level(0.5, (52, 47, 50)),
    Level(0.7, (69, 72)),
    Level(1.0, (100, 96, 104)),
]


def plain(lines: tuple[str, ...]) -> str:
    """The lines with ordinary spaces."""
    return "\n".join(lines).replace("\u202f", " ")


def test_a_series_comes_out_on_paper() -> None:
    """By hand: 32 + 93 + 149 + 141 + 300 = 715 over 3 × (0.1 + 0.3 + 0.5 + 1) + 2 × 0.7 = 7.1."""
    found = proportionality(SERIES)
    text = plain(proportionality_working(found))
    assert "715 ÷ 7.1 = 100.7 at fraction 1" in text
    assert "Fraction 0.1: mean (11 + 9 + 12) ÷ 3 = 10.667; line 0.1 × 100.7 = 10.07" in text
    assert "Index: Σ |off| ÷ Σ means = 2.7817 ÷ 261.83 = 1.0624 %" in text
    assert "+ (300 − 302.11)² ÷ 302.11 = 0.21045 on 4 degrees of freedom" in text
    pairs = [(32, 30.211), (93, 90.634), (149, 151.06), (141, 140.99), (300, 302.11)]
    by_hand = sum((counted - expected) ** 2 / expected for counted, expected in pairs)
    assert found.fit.chi2 == pytest.approx(by_hand, abs=1e-3)
    assert "0.14827 times the variance of chance, no more than chance, so X² has χ²" in text
    assert "The densest fraction (second) beside the thinner ones (first):" in text
    assert "Share of the second: 300 ÷ (415 + 300) = 0.4196" in text


def test_replicates_that_scatter_take_f_and_single_counts_have_none() -> None:
    """More than chance among them; and nothing to say of a scatter where there is one of each."""
    wild = proportionality([Level(0.5, (20, 60, 40)), Level(1.0, (40, 120, 90))])
    text = plain(proportionality_working(wild))
    assert "so F = " in text
    assert "on 1 and 4 degrees of freedom" in text
    single = plain(proportionality_working(proportionality([Level(0.5, (40,)), Level(1.0, (90,))])))
    assert "No replicates show a scatter of their own, so X² has χ²" in single
    assert "Scatter of replicates" not in single


def test_slides_counted_twice_come_out_on_paper() -> None:
    """By hand: 4 + 4 + 25 + 9 + 4 = 46; √4.6 = 2.1448; √(26 ÷ 4 ÷ 5) = 1.1402; t(4) = 2.7764."""
    found = repeatability([97, 103, 88, 110, 95], [99, 101, 93, 113, 97])
    assert found.standard_error == pytest.approx(math.sqrt(1.3))
    text = plain(repeatability_working(found))
    assert "Second − first: 2, -2, 5, 3, 2; sum of squares 46" in text
    assert "√(46 ÷ (2 × 5)) = 2.1448" in text
    assert "Mean difference: 10 ÷ 5 = 2" in text
    assert "√((46 − 5 × 2²) ÷ 4 ÷ 5) = 1.1402" in text
    assert "Limits (95 %): 2 ± 2.7764 × 1.1402 = -1.1656 to 5.1656" in text
    assert "t = |mean| ÷ standard error = 1.754: p = 0.15" in text


def test_one_slide_has_a_scatter_and_no_limits() -> None:
    """Nor has nothing counted a CV, nor a difference without scatter a t."""
    assert "Limits" not in plain(repeatability_working(repeatability([97], [99])))
    assert "CV" not in plain(repeatability_working(repeatability([0], [0])))
    always = plain(repeatability_working(repeatability([97, 9], [99, 11])))
    assert "2 to 2" in always
    assert "t = |" not in always
