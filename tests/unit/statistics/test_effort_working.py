"""The working of a plan comes out on paper."""

from __future__ import annotations

import math

import pytest

from counter.statistics.effort import Done, Minutes, effort
from counter.statistics.effort_working import effort_working, inverse_working
from counter.statistics.poisson import garwood
from counter.statistics.precision import inverse_sampling

COUNTED = Done(313, 0.75, 3)


def lines_of(done: Done, precision: float, minutes: Minutes | None = None) -> str:
    """The working with ordinary spaces, a line each."""
    found = effort(done, precision, 0.95, minutes)
    assert found is not None
    return "\n".join(effort_working(found, done, 0.95, minutes)).replace("\u202f", " ")


def test_more_larvae_and_fillings_come_out_on_paper() -> None:
    """By hand: 313 ÷ 0.75 = 417.33; 1557 − 313 = 1244; 1244 ÷ 417.33 = 2.9808; 313 + 12 × 104.33
    = 1565, whereas 11 make 1460.7 of the 1557."""
    text = lines_of(COUNTED, 0.05)
    low, high = garwood(313)
    assert f"limits of 313 counted are {low:.3f} to {high:.3f}" in text
    assert f"= ±{100 * (high - low) / 626:.3f} %" in text
    assert "More: 1 557 − 313 = 1 244, in 1 244 ÷ 417.33 per mL = 2.9808 mL" in text
    assert "Fillings: 313 + 12 × 104.33 in each = 1 565, the first number that is enough" in text
    assert "Scatter" not in text


def test_squares_and_minutes_come_out_on_paper() -> None:
    """By hand: b = 8 ÷ 50 = 0.16; √(6 ÷ (0.2 × 1 × 0.16)) = 13.693; more squares cannot do it."""
    done = Done(200, 0.2, 4, squares=200, index=9.0, degrees_of_freedom=3, clumped=True)
    text = lines_of(done, 0.2, Minutes(6.0, 0.2))
    assert "b = (9 − 1) ÷ 50 = 0.16; for the squares of the 4 loaded (20 % ÷ 1.96)²" in text
    assert "more squares of them cannot do it" in text
    assert "× (6 + 50 × 0.2) min" in text
    assert "√(6 ÷ (0.2 × 1 counted in one × 0.16)) = 13.693, 1 at least" in text
    assert "9 times the variance of chance × 1.6237²" in text
    even = lines_of(Done(100, 0.2, 4, squares=200), 0.1, Minutes(6.0, 0.2))
    needed = effort(Done(100, 0.2, 4, squares=200), 0.1)
    assert needed is not None
    assert needed.more_larvae is not None
    assert f"({needed.more_larvae + 100} − 100) × 200 ÷ 100 = {needed.squares_in_these}" in even
    assert "More squares: " in even


def test_the_volumes_part_is_taken_off_first() -> None:
    """By hand: √(0.1² − (1.96 × 0.04)²) = 0.062078; with 6 % nothing is left."""
    text = lines_of(Done(313, 0.75, 3, fixed=0.04), 0.1)
    assert "Left for the count: (10 %)² − (1.96 × 4 %)²: √ = ±6.2078 %" in text
    assert math.sqrt(0.01 - (1.959964 * 0.04) ** 2) == pytest.approx(0.062078, abs=1e-6)
    assert "nothing is left for counting" in lines_of(Done(313, 0.75, 3, fixed=0.06), 0.1)


def test_what_is_reached_ends_with_its_width() -> None:
    """There is nothing more to plan."""
    assert lines_of(Done(2010, 2.0, 2), 0.1).count("\n") == 0


def test_counting_until_a_number_comes_out_on_paper() -> None:
    """99 ÷ 0.43 = 230.23; χ² on 200 degrees of freedom is 162.73 and 241.06 (any table)."""
    density, limits = inverse_working(100, 0.43, inverse_sampling(100, 0.43))
    assert density == "Density: (100 − 1) ÷ 0.43 mL = 230.23 per mL (Haldane 1945)"
    assert "162.73 and 241.06, ÷ (2 × 0.43 mL) = 189.22 to 280.3 per mL" in limits
