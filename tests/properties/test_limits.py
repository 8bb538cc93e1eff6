"""What must hold of the limits whatever they rest on: scatter, volumes, pictures checked."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.domain.field import Compared
from counter.domain.house import House
from counter.domain.uncertainty import VolumeUncertainty
from counter.statistics.checked import checked
from counter.statistics.estimate import Estimate, estimate_counts
from counter.statistics.poisson import garwood, mid_p
from counter.statistics.uncertainty import widened

LEVELS = st.floats(0.5, 0.999)
SHARES = st.floats(0.0, 0.3)
VOLUMES = st.builds(VolumeUncertainty, SHARES, SHARES, SHARES, SHARES, SHARES)
HOUSES = st.none() | st.builds(
    lambda index, degrees: House(index * degrees, degrees), st.floats(0.3, 15.0), st.integers(1, 80)
)
FILLINGS = st.lists(st.tuples(st.integers(0, 3000), st.floats(0.01, 5.0)), min_size=1, max_size=6)
VESSELS = st.floats(1.0, 1e7)
REVIEWED = st.lists(
    st.tuples(st.integers(0, 60), st.integers(0, 60), st.integers(0, 60)).map(
        lambda n: Compared(n[0] + n[1], n[1], n[1] + n[2])
    ),
    min_size=1,
    max_size=6,
)


def limits(result: Estimate) -> tuple[float, float, float]:
    """Low limit, total and high limit."""
    assert result.low is not None
    assert result.total is not None
    assert result.high is not None
    return result.low, result.total, result.high


@given(FILLINGS, VESSELS, LEVELS, VOLUMES, HOUSES)
def test_a_total_lies_between_its_limits_and_is_never_negative(
    fillings: list[tuple[int, float]],
    vessel_ml: float,
    level: float,
    volumes: VolumeUncertainty,
    house: House | None,
) -> None:
    """0 ≤ low ≤ total ≤ high, also for a vessel that was nearly all looked through."""
    counts, each = zip(*fillings, strict=True)
    result = estimate_counts(
        counts, each, vessel_ml=vessel_ml, confidence=level, volumes=volumes, house=house
    )
    low, total, high = limits(result)
    assert 0 <= low <= total * (1 + 1e-9)
    assert total <= high * (1 + 1e-9)


@given(FILLINGS, VESSELS, LEVELS, LEVELS, VOLUMES, HOUSES)
def test_limits_nest_with_the_level(
    fillings: list[tuple[int, float]],
    vessel_ml: float,
    one: float,
    two: float,
    volumes: VolumeUncertainty,
    house: House | None,
) -> None:
    """The limits of a higher level hold those of a lower one, by the same method."""
    counts, each = zip(*fillings, strict=True)
    inner, outer = (
        estimate_counts(
            counts, each, vessel_ml=vessel_ml, confidence=level, volumes=volumes, house=house
        )
        for level in sorted((one, two))
    )
    assert inner.method == outer.method
    low, _, high = limits(inner)
    lower, _, higher = limits(outer)
    assert lower <= low * (1 + 1e-9)
    assert high <= higher * (1 + 1e-9)


@given(st.integers(0, 50_000), LEVELS, VOLUMES, HOUSES)
def test_limits_of_one_filling_grow_with_the_count(
    count: int, level: float, volumes: VolumeUncertainty, house: House | None
) -> None:
    """One more counted never moves a limit down."""
    fewer, more = (
        estimate_counts([n], [1.0], vessel_ml=1e4, confidence=level, volumes=volumes, house=house)
        for n in (count, count + 1)
    )
    low, _, high = limits(fewer)
    low_more, _, high_more = limits(more)
    assert low <= low_more * (1 + 1e-9)
    assert high <= high_more * (1 + 1e-9)


@given(FILLINGS, VESSELS, LEVELS, LEVELS, VOLUMES)
def test_limits_for_uneven_mixing_hold_all_others(
    fillings: list[tuple[int, float]],
    vessel_ml: float,
    one: float,
    two: float,
    volumes: VolumeUncertainty,
) -> None:
    """They are never narrower than those shown first, and nest with the level."""
    counts, each = zip(*fillings, strict=True)
    inner, outer = (
        estimate_counts(counts, each, vessel_ml=vessel_ml, confidence=level, volumes=volumes)
        for level in sorted((one, two))
    )
    assert (inner.uneven is None) == (outer.uneven is None)
    if inner.uneven is None or outer.uneven is None:
        assert len(fillings) == 1 or inner.widening.widens
        return
    low, _, high = limits(inner)
    assert inner.uneven.low is not None
    assert inner.uneven.high is not None
    assert outer.uneven.low is not None
    assert outer.uneven.high is not None
    assert 0 <= inner.uneven.low <= low * (1 + 1e-9)
    assert high <= inner.uneven.high * (1 + 1e-9)
    assert outer.uneven.low <= inner.uneven.low * (1 + 1e-9)
    assert inner.uneven.high <= outer.uneven.high * (1 + 1e-9)


@given(FILLINGS, st.floats(0.1, 100.0), VOLUMES, HOUSES)
def test_limits_scale_with_the_vessel(
    fillings: list[tuple[int, float]],
    times: float,
    volumes: VolumeUncertainty,
    house: House | None,
) -> None:
    """A vessel so many times larger holds that many times more, limits and all, while hardly any
    of it is looked through."""
    counts, each = zip(*fillings, strict=True)
    one, other = (
        limits(estimate_counts(counts, each, vessel_ml=ml, volumes=volumes, house=house))
        for ml in (1e6, 1e6 * times)
    )
    assert other == pytest.approx([number * times for number in one])


@given(st.integers(0, 5000), SHARES, SHARES, LEVELS)
def test_a_volume_known_less_well_never_narrows_the_limits(
    count: int, one: float, two: float, level: float
) -> None:
    """More uncertainty, wider limits; none leaves them as they are."""
    exact = garwood(count, level)
    assert widened(count, exact, 0.0, level) == exact
    low, high = widened(count, exact, min(one, two), level)
    lower, higher = widened(count, exact, max(one, two), level)
    assert 0 <= lower <= low * (1 + 1e-9)
    assert high <= higher * (1 + 1e-9)


@given(st.integers(0, 3000), LEVELS)
def test_mid_p_limits_lie_within_the_exact_ones(count: int, level: float) -> None:
    """And hold the count."""
    low, high = garwood(count, level)
    inner_low, inner_high = mid_p(count, level)
    assert low <= inner_low <= count < inner_high < high


@given(REVIEWED, st.lists(st.integers(0, 80), min_size=1, max_size=8))
def test_checking_never_gives_less_than_chance_nor_less_than_was_seen(
    reviewed: list[Compared], unchecked: list[int]
) -> None:
    """The variance is that of chance or more; what is on checked pictures is there."""
    seen = checked(reviewed, unchecked)
    assert seen is not None
    assert seen.spread >= 1.0
    assert seen.unevenness >= 1.0
    assert seen.corrected == sum(one.counted for one in reviewed)
    if seen.is_enough:
        assert seen.estimated >= seen.corrected
        assert seen.with_more(len(unchecked)).spread == 1.0
