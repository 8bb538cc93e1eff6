"""A dilution series against a computed example."""

from __future__ import annotations

import pytest

from counter.statistics.comparison import Side, compare
from counter.statistics.proportionality import r_squared, through_origin

FRACTIONS = [0.1, 0.3, 0.5, 0.7, 1.0]
MEANS = [11, 29, 52, 69, 100]


def test_the_computed_example_comes_out() -> None:
    """Unweighted line through the origin: slope 100.0543, Σ|e| 5.076, R² 0.99854 (computed)."""
    slope = through_origin(FRACTIONS, MEANS, [1.0] * 5)
    assert slope == pytest.approx(100.0543, abs=0.51e-4)
    off = sum(abs(m - slope * f) for f, m in zip(FRACTIONS, MEANS, strict=True))
    assert off == pytest.approx(5.076, abs=0.51e-3)
    assert r_squared(FRACTIONS, MEANS, slope) == pytest.approx(0.99854, abs=0.51e-5)


def test_two_people_with_one_sample_come_out() -> None:
    """447 against 430 in 3 × 0.5 mL each: ratio 1.0395, 0.909-1.189 (computed)."""
    found = compare(Side((430,), (1.5,)), Side((447,), (1.5,)))
    assert found.ratio == pytest.approx(1.0395, abs=0.51e-4)
    assert (found.low, found.high) == pytest.approx((0.909, 1.189), abs=0.51e-3)
