"""One group of lengths, or two."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import linprog

from counter.statistics.cohorts import CRITICAL, cohorts, critical, dip

DRAWS = np.random.default_rng(20)


def test_two_cohorts_are_told_apart_and_described() -> None:
    """60 larvae of about 80 µm and 40 of about 110 µm."""
    lengths = np.concatenate([DRAWS.normal(80, 5, 60), DRAWS.normal(110, 6, 40)])
    found = cohorts(DRAWS.permutation(lengths))
    assert found is not None
    small, large = found
    assert small.mean_um == pytest.approx(80, abs=2)
    assert large.mean_um == pytest.approx(110, abs=3)
    assert small.share == pytest.approx(0.6, abs=0.05)
    assert small.share + large.share == pytest.approx(1)
    assert small.sd_um == pytest.approx(5, abs=1.5)


def test_the_shorter_group_comes_first_whatever_its_share() -> None:
    """A few small ones left of a torn screen, in any order."""
    lengths = np.concatenate([DRAWS.normal(200, 9, 80), DRAWS.normal(120, 8, 25)])
    found = cohorts(lengths)
    assert found is not None
    assert found[0].mean_um < 140 < 180 < found[1].mean_um


@pytest.mark.parametrize(
    "lengths",
    [
        DRAWS.normal(72, 5, 200),
        DRAWS.lognormal(4.4, 0.25, 200),
        np.full(40, 72.0),
        np.concatenate([DRAWS.normal(80, 5, 20), DRAWS.normal(120, 5, 9)]),
        np.array([]),
    ],
    ids=["one cohort", "skewed", "all alike", "too few", "none"],
)
def test_one_hump_is_no_cohorts(lengths: np.ndarray[tuple[int], np.dtype[np.float64]]) -> None:
    """Nothing is said."""
    assert cohorts(lengths) is None


def test_two_lengths_alone_are_two_groups() -> None:
    """Rounded lengths leave no scatter inside a group."""
    found = cohorts([70.0] * 20 + [120.0] * 20)
    assert found is not None
    assert [group.mean_um for group in found] == pytest.approx([70, 120])
    assert all(group.sd_um < 1 for group in found)


def test_many_lengths_are_thinned_evenly() -> None:
    """10 000 lengths of two cohorts: the same two groups."""
    lengths = np.concatenate([DRAWS.normal(80, 5, 6000), DRAWS.normal(110, 6, 4000)])
    found = cohorts(lengths)
    assert found is not None
    assert found[0].share == pytest.approx(0.6, abs=0.02)


Row = tuple[dict[int, float], float]
"""Columns with their factors, and what their sum is at most."""


def bends(columns: list[int], places: list[float], sign: float) -> list[Row]:
    """Rows that make a part rise, convex (1) or concave (-1)."""
    rows: list[Row] = [({a: 1.0, b: -1.0}, 0.0) for a, b in pairwise(columns)]
    for k in range(1, len(columns) - 1):
        one, two = places[k] - places[k - 1], places[k + 1] - places[k]
        factors = (-sign / one, sign * (1 / one + 1 / two), -sign / two)
        rows.append((dict(zip(columns[k - 1 : k + 2], factors, strict=True)), 0.0))
    return rows


def with_hump_at(x: list[float], hump: int) -> float:
    """The least D for which a function, convex before x[hump] and concave after it, stays within
    D of the distribution. Column i is its value at x[i], the last but one its value just before
    the hump, where it may jump, the last one D."""
    number = len(x)
    before, last = number, number + 1
    rows: list[Row] = [({before: 1.0, hump: -1.0}, 0.0)]
    for i in range(number):
        rows.append(({i: -1.0, last: -1.0}, -(i + 1) / number))
        just_before = before if i == hump else i
        rows.append(({just_before: 1.0, last: -1.0}, i / number))
    rows.append(({hump: 1.0, last: -1.0}, (hump + 1) / number))
    rows += bends([*range(hump), before], x[: hump + 1], 1.0)
    rows += bends([*range(hump, number)], x[hump:], -1.0)
    matrix = np.zeros((len(rows), number + 2))
    for place, (factors, _) in enumerate(rows):
        for column, factor in factors.items():
            matrix[place, column] = factor
    aim = np.zeros(number + 2)
    aim[last] = 1.0
    solved = linprog(aim, A_ub=matrix, b_ub=[most for _, most in rows], bounds=(0, 1))
    assert solved.fun is not None
    return float(solved.fun)


@pytest.mark.parametrize("seed", range(6))
def test_the_dip_is_the_distance_to_the_nearest_single_hump(seed: int) -> None:
    """Against a linear programme that knows only the definition."""
    draws = np.random.default_rng(seed)
    values = np.sort(np.concatenate([draws.normal(0, 1, 4), draws.normal(3, 1, 5)]))
    x = values.tolist()
    by_definition = min(with_hump_at(x, hump) for hump in range(len(x)))
    assert dip(values) == pytest.approx(by_definition, abs=1e-7)


@given(st.lists(st.integers(0, 1000), min_size=2, max_size=30), st.floats(0.1, 10))
def test_the_dip_knows_no_units_and_no_direction(values: list[int], times: float) -> None:
    """Scaled, shifted or mirrored lengths have the same dip, 1/(2n) to 1/4."""
    lengths = np.array(values, dtype=np.float64)
    found = dip(lengths)
    assert 1 / (2 * len(values)) <= found <= 0.25
    assert dip(lengths * times + 7) == pytest.approx(found, abs=1e-9)
    assert dip(-lengths) == pytest.approx(found, abs=1e-9)


def test_two_spikes_have_the_largest_dip() -> None:
    """Half and half: 1/4."""
    assert dip([0.0] * 10 + [1.0] * 10) == pytest.approx(0.25)
    assert dip([3.0]) == 0.5


def test_critical_values_are_interpolated_and_end_with_the_table() -> None:
    """At the entries, between them, and beyond the last."""
    for number, point in CRITICAL:
        assert critical(number) == pytest.approx(point)
    assert (
        min(CRITICAL[0][1], CRITICAL[1][1]) <= critical(40) <= max(CRITICAL[0][1], CRITICAL[1][1])
    )
    assert critical(10_000) == CRITICAL[-1][1]
