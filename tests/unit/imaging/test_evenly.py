"""The spacing of lines from many places on each: exact where they are, with an honest error."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.imaging.evenly import Placed, even_spacing


def placed(
    period_px: float, lean: float, lines: tuple[int, ...], line_error: float = 0.0, seed: int = 3
) -> Placed:
    """Lines of one or two families, each placed nine times along it, leaning alike."""
    rng = np.random.default_rng(seed)
    along = np.linspace(-400.0, 400.0, 9)
    rows = []
    for family, count in enumerate(lines):
        for number in range(count):
            off = rng.normal(0.0, line_error) if line_error else 0.0
            at = 17.0 + 31.0 * family + period_px * number / math.cos(math.atan(lean)) + off
            rows.append(
                np.array([at + lean * along, 0 * along + number, 0 * along + family, along])
            )
    across, number, family, along = np.concatenate(rows, axis=1)
    return Placed(across, number, family.astype(np.int64), along)


@given(
    period_px=st.floats(8.0, 900.0),
    lean=st.floats(-0.004, 0.004),
    lines=st.sampled_from([(3,), (2, 2), (9, 4), (40,)]),
)
def test_exact_lines_give_the_exact_spacing(
    period_px: float, lean: float, lines: tuple[int, ...]
) -> None:
    """The spacing is what is between them at right angles, however they lean."""
    found = even_spacing(placed(period_px, lean, lines))
    assert found is not None
    assert found.period_px == pytest.approx(period_px, rel=1e-6)
    assert found.lean_deg == pytest.approx(math.degrees(math.atan(lean)), abs=1e-4)
    assert (found.lines, found.divisions) == (sum(lines), sum(lines) - len(lines))


def test_the_standard_error_is_what_repeats_scatter_by() -> None:
    """Lines that are each off by 0.4 px, in 300 repeats, whose scatter is itself good to 4 %."""
    repeats = [even_spacing(placed(50.0, 0.001, (8, 6), 0.4, seed)) for seed in range(300)]
    found = [each for each in repeats if each is not None]
    assert len(found) == 300
    told = math.sqrt(np.mean([each.error_px**2 for each in found]))
    assert told == pytest.approx(np.std([each.period_px for each in found]), rel=0.15)


def test_a_body_on_a_line_is_left_out() -> None:
    """One place of 36 that is 9 px off changes nothing."""
    lines = placed(50.0, 0.0, (4,))
    lines.across[5] += 9.0
    found = even_spacing(lines)
    assert found is not None
    assert found.period_px == pytest.approx(50.0, abs=1e-6)


def test_no_line_is_taken_for_better_than_the_least() -> None:
    """Lines at exact places have the standard error of the least spread."""
    found = even_spacing(placed(50.0, 0.0, (5,)), least_spread_px=0.15)
    assert found is not None
    assert found.error_px == pytest.approx(0.15 / math.sqrt(10.0))


@pytest.mark.parametrize("lines", [(2,), (1,), (1, 1), (2, 1)])
def test_too_few_lines_tell_nothing(lines: tuple[int, ...]) -> None:
    """A gap that no other agrees with has no error."""
    assert even_spacing(placed(50.0, 0.0, lines)) is None
