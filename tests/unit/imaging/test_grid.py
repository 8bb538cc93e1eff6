"""Lines of two families share a period, or there is none."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.imaging.grid import best_grid

NONE = np.empty(0)


@given(
    period=st.floats(220, 900),
    first=st.integers(2, 6),
    second=st.integers(2, 6),
    shift=st.floats(-400, 400),
    wobble=st.integers(0, 1000),
)
def test_the_period_that_was_laid_out_is_found(
    period: float, first: int, second: int, shift: float, wobble: int
) -> None:
    """Within the error that comes with it, for places good to a fifth of a pixel."""
    rng = np.random.default_rng(wobble)
    u = shift + period * np.arange(first) + rng.normal(0, 0.1, first)
    v = -shift + period * np.arange(second) + rng.normal(0, 0.1, second)
    grid = best_grid(u, v)
    assert grid is not None
    assert grid.period_px == pytest.approx(period, abs=6 * grid.error_px)
    assert grid.lines == first + second
    assert grid.divisions == first + second - 2


@pytest.mark.parametrize(
    ("u", "v"),
    [
        (NONE, NONE),
        (np.array([0.0]), np.array([5.0])),
        (np.array([0.0, 500.0]), NONE),
        (np.array([0.0, 500.0]), np.array([3.0])),
        (np.array([0.0, 500.0]), np.array([0.0, 530.0])),
        (np.array([0.0, 500.0, 1100.0]), NONE),
    ],
)
def test_what_checks_nothing_or_disagrees_is_no_grid(
    u: np.typing.NDArray[np.float64], v: np.typing.NDArray[np.float64]
) -> None:
    """One gap alone, or gaps that differ."""
    assert best_grid(u, v) is None


def test_a_stray_line_and_a_missing_one_do_not_disturb() -> None:
    """A fibre between the lines, and a line that dirt hides."""
    u = np.array([0.0, 200.0, 270.0, 400.0, 800.0, 1000.0])
    v = np.array([50.0, 250.0, 450.0, 650.0])
    grid = best_grid(u, v)
    assert grid is not None
    assert grid.period_px == pytest.approx(200.0, abs=0.01)
    assert grid.lines == 9
    assert grid.complete < 1
    assert grid.pure < 1
