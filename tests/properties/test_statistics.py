"""What must hold of limits whatever was counted."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.domain.sample import Dilution
from counter.statistics.dispersion import dispersion
from counter.statistics.estimate import QUASI_POISSON, Estimate, estimate_counts
from counter.statistics.interval import Interval
from counter.statistics.poisson import clumped_garwood, garwood, scaled_garwood
from counter.statistics.proportion import clopper_pearson, newcombe_difference, wilson
from counter.statistics.ratio import poisson_ratio

LEVELS = st.floats(0.5, 0.999)
COUNTS = st.integers(0, 1_000_000)
VOLUMES = st.floats(1e-5, 1e4)
FILLINGS = st.lists(st.tuples(st.integers(0, 5000), VOLUMES), min_size=1, max_size=6)
SHARES = st.integers(1, 10_000).flatmap(lambda n: st.tuples(st.integers(0, n), st.just(n)))


@given(COUNTS, LEVELS)
def test_poisson_limits_hold_the_count_and_are_never_negative(count: int, level: float) -> None:
    """0 ≤ low ≤ count < high."""
    low, high = garwood(count, level)
    assert 0 <= low <= count < high


@given(COUNTS, LEVELS)
def test_poisson_limits_grow_with_the_count(count: int, level: float) -> None:
    """One more counted moves both limits up."""
    assert garwood(count, level) < garwood(count + 1, level)
    assert garwood(count, level)[1] < garwood(count + 1, level)[1]


@given(COUNTS, LEVELS, LEVELS)
def test_poisson_limits_nest_with_the_level(count: int, one: float, two: float) -> None:
    """The limits of a higher level hold those of a lower one."""
    (low, high), (lower, higher) = garwood(count, min(one, two)), garwood(count, max(one, two))
    assert lower <= low
    assert high <= higher


@given(COUNTS, st.floats(1, 1000), LEVELS)
def test_widened_limits_hold_the_exact_ones(count: int, index: float, level: float) -> None:
    """More scatter than chance never narrows the limits, and never makes them negative."""
    (low, high), (lower, higher) = garwood(count, level), scaled_garwood(count, index, level)
    assert 0 <= lower <= low * (1 + 1e-9)
    assert high <= higher * (1 + 1e-9)


@given(COUNTS, st.floats(1, 200), LEVELS, st.floats(0, 1))
def test_limits_for_clumps_hold_the_widened_ones_and_grow_with_the_count(
    count: int, index: float, level: float, clumped: float
) -> None:
    """The lower limit is the same, the upper one no nearer; one more never lowers it."""
    low, high = scaled_garwood(count, index, level)
    lower, higher = clumped_garwood(count, index, level, clumped=clumped)
    assert lower == low
    assert higher >= high
    more = clumped_garwood(count + 1, index, level, clumped=clumped)[1]
    assert more >= higher * (1 - 1e-9)


@given(st.integers(0, 5_000), st.floats(1, 50), st.floats(0, 1))
def test_limits_for_clumps_nest_with_the_level(count: int, index: float, clumped: float) -> None:
    """At the levels in use."""
    highest = [
        clumped_garwood(count, index, level, clumped=clumped)[1]
        for level in (0.8, 0.9, 0.95, 0.99, 0.999)
    ]
    assert highest == sorted(highest)


def test_widened_limits_of_a_large_count_stretch_by_the_root_of_the_index() -> None:
    """For large counts the half width is √index times that of chance."""
    low, high = garwood(1_000_000)
    lower, higher = scaled_garwood(1_000_000, 2.25)
    assert (higher - lower) / (high - low) == pytest.approx(1.5, rel=1e-3)


def limits(interval: Interval) -> tuple[float, float, float]:
    """Low limit, value and high limit of an interval that is defined."""
    assert interval.low is not None
    assert interval.value is not None
    assert interval.high is not None
    return interval.low, interval.value, interval.high


@given(SHARES, LEVELS)
def test_limits_of_a_share_hold_it_and_mirror(share: tuple[int, int], level: float) -> None:
    """0 ≤ low ≤ share ≤ high ≤ 1, and what is left over has the mirrored limits."""
    successes, total = share
    for method in (wilson, clopper_pearson):
        low, value, high = limits(method(successes, total, level))
        assert 0 <= low <= value * (1 + 1e-9)
        assert value * (1 - 1e-9) <= high <= 1
        low_rest, _, high_rest = limits(method(total - successes, total, level))
        assert (low, high) == pytest.approx((1 - high_rest, 1 - low_rest), abs=1e-9)


@given(SHARES, LEVELS, LEVELS)
def test_limits_of_a_share_nest_with_the_level(
    share: tuple[int, int], one: float, two: float
) -> None:
    """The limits of a higher level hold those of a lower one."""
    for method in (wilson, clopper_pearson):
        low, _, high = limits(method(*share, min(one, two)))
        lower, _, higher = limits(method(*share, max(one, two)))
        assert lower <= low + 1e-12
        assert high <= higher + 1e-12


@given(SHARES, SHARES)
def test_a_difference_turned_round_is_its_negative(
    first: tuple[int, int], second: tuple[int, int]
) -> None:
    """Limits of a - b are those of b - a with the sign changed, within -1 and 1."""
    low, value, high = limits(newcombe_difference(first, second))
    low_back, value_back, high_back = limits(newcombe_difference(second, first))
    assert (low, value, high) == pytest.approx((-high_back, -value_back, -low_back), abs=1e-12)
    assert -1 - 1e-12 <= low <= value + 1e-12
    assert value - 1e-12 <= high <= 1 + 1e-12


@given(st.integers(1, 10_000), VOLUMES, st.integers(1, 10_000), VOLUMES)
def test_a_ratio_turned_round_is_its_inverse(
    first: int, first_volume: float, second: int, second_volume: float
) -> None:
    """The limits hold the ratio; exchanging the two counts inverts it and keeps p."""
    there = poisson_ratio(first, first_volume, second, second_volume)
    back = poisson_ratio(second, second_volume, first, first_volume)
    assert there.ratio is not None
    assert back.ratio is not None
    assert 0 < there.low <= there.ratio <= there.high
    assert there.ratio == pytest.approx(1 / back.ratio)
    assert (there.low, there.high) == pytest.approx((1 / back.high, 1 / back.low), rel=1e-6)
    assert there.p_value == pytest.approx(back.p_value, rel=1e-6, abs=1e-12)
    assert 0 <= there.p_value <= 1


@given(FILLINGS, st.floats(1e-3, 1e3))
def test_dispersion_knows_neither_unit_nor_order(
    fillings: list[tuple[int, float]], unit: float
) -> None:
    """Volumes in another unit, or fillings in another order, scatter alike."""
    plain = dispersion(*zip(*fillings, strict=True))
    turned = [(count, volume * unit) for count, volume in reversed(fillings)]
    other = dispersion(*zip(*turned, strict=True))
    if plain is None or other is None:
        assert plain is other
        return
    assert other.chi2 == pytest.approx(plain.chi2, rel=1e-6, abs=1e-9)
    assert 0 <= plain.p_upper <= 1
    assert plain.p_upper + plain.p_lower == pytest.approx(1)


def numbers(result: Estimate) -> tuple[float, float, float]:
    """Low limit, total and high limit of an estimate with a vessel."""
    assert result.low is not None
    assert result.total is not None
    assert result.high is not None
    return result.low, result.total, result.high


@given(FILLINGS, st.floats(1, 1e7), LEVELS)
def test_a_total_is_never_outside_its_limits_nor_negative(
    fillings: list[tuple[int, float]], vessel_ml: float, level: float
) -> None:
    """0 ≤ low ≤ total ≤ high, whatever the fillings hold."""
    counts, volumes = zip(*fillings, strict=True)
    result = estimate_counts(counts, volumes, vessel_ml=vessel_ml, confidence=level)
    low, total, high = numbers(result)
    assert 0 <= low <= total * (1 + 1e-9)
    assert total <= high * (1 + 1e-9)


@given(FILLINGS, st.floats(1, 1e7))
def test_a_total_is_a_ratio_of_sums(fillings: list[tuple[int, float]], vessel_ml: float) -> None:
    """Σ counts ÷ Σ volumes × vessel, also where volumes differ."""
    counts, volumes = zip(*fillings, strict=True)
    _, total, _ = numbers(estimate_counts(counts, volumes, vessel_ml=vessel_ml))
    assert total == pytest.approx(sum(counts) / math.fsum(volumes) * vessel_ml, rel=1e-12)


@given(FILLINGS, st.floats(0.01, 100), st.integers(0, 99))
def test_a_total_scales_with_vessel_and_dilution(
    fillings: list[tuple[int, float]], times: float, water: int
) -> None:
    """A vessel so many times larger, or water so many times thinner, holds that many times more."""
    counts, volumes = zip(*fillings, strict=True)
    vessel_ml = 1e9  # so large that hardly any of it is looked through
    plain = numbers(estimate_counts(counts, volumes, vessel_ml=vessel_ml))
    larger = numbers(estimate_counts(counts, volumes, vessel_ml=vessel_ml * times))
    thinner = numbers(estimate_counts(counts, volumes, Dilution(1, water), vessel_ml))
    assert larger == pytest.approx([number * times for number in plain])
    assert thinner == pytest.approx([number * (1 + water) for number in plain])


@given(FILLINGS)
def test_fillings_that_disagree_never_narrow_the_limits(fillings: list[tuple[int, float]]) -> None:
    """The limits hold the exact ones of the pooled count; wider ones are named."""
    counts, volumes = zip(*fillings, strict=True)
    result = estimate_counts(counts, volumes)
    low, high = garwood(sum(counts))
    if result.method == QUASI_POISSON:
        assert result.widening.factor(0.95) > 1
        assert result.count_low <= low
        assert result.count_high > high
    else:
        assert (result.count_low, result.count_high) == (low, high)
