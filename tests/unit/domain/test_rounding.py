"""Rounding for people: the last step, and the same everywhere."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.domain.rounding import (
    for_people,
    limits_for_people,
    quantity_for_people,
    volume_for_people,
    whole_for_people,
)


def plain(text: str) -> str:
    """The text with ordinary spaces, so that the tests can be read."""
    return text.replace("\u202f", " ")


@pytest.mark.parametrize(
    ("value", "text"),
    [
        (0, "0"),
        (0.00775, "0.00775"),
        (0.25, "0.250"),
        (8, "8.00"),
        (417.3333, "417"),
        (999.6, "1 000"),
        (1548.387, "1 550"),
        (317_173, "317 000"),
        (999_600, "1.00 million"),
        (30_967_741.9, "31.0 million"),
        (1.216e8, "122 million"),
        (2.5e9, "2 500 million"),
        (-1548.387, "-1 550"),
        (math.nan, "not defined"),
        (math.inf, "unlimited"),
    ],
)
def test_a_number_is_rounded_to_three_digits_and_said_in_words(value: float, text: str) -> None:
    """Thousands stand apart; from a million on the number is said in millions (never billions)."""
    assert plain(for_people(value)) == text


def test_the_number_of_digits_can_be_chosen() -> None:
    """More digits for those who want them."""
    assert plain(for_people(317_173, significant=4)) == "317 200"


@pytest.mark.parametrize(
    ("numbers", "text"),
    [
        ((317_173, 283_005, 354_330), "317 000 (283 000 to 354 000)"),
        ((30_967_741.9, 16_001_000, 54_093_000), "31.0 million (16.0 to 54.1 million)"),
        ((0, 0, 1_229_633), "0 (0 to 1.23 million)"),
        ((0, 0, 3.6889), "0 (0 to 3.69)"),
        ((990_000, 900_000, 1_080_000), "990 000 (900 000 to 1 080 000)"),
        ((math.nan, 0, 1), "not defined (0 to 1.00)"),
    ],
)
def test_limits_are_rounded_like_their_number(
    numbers: tuple[float, float, float], text: str
) -> None:
    """The number and its limits are said in one unit and with the same last digit."""
    assert plain(limits_for_people(*numbers)) == text


@given(st.floats(0.01, 1e12), st.floats(0, 1), st.floats(1, 10))
def test_rounded_limits_still_hold_their_number(value: float, below: float, above: float) -> None:
    """Rounding never moves a limit past its number, and the number reads the same alone."""
    text = plain(limits_for_people(value, value * below, value * above))
    said, _, limits = text.partition(" (")
    low, _, high = limits.rstrip(")").replace(" million", "").partition(" to ")
    middle = float(said.replace(" million", "").replace(" ", ""))
    assert float(low.replace(" ", "")) <= middle <= float(high.replace(" ", ""))
    assert said == plain(for_people(value))


@pytest.mark.parametrize(
    ("ml", "text"),
    [(0.00775, "7.75 µL"), (0.25, "0.25 mL"), (760, "760 mL"), (2e4, "20 L"), (1e7, "10 000 L")],
)
def test_a_volume_is_said_in_the_unit_that_suits_it(ml: float, text: str) -> None:
    """µL for chambers, mL for beakers, L for tanks, without superfluous zeros."""
    assert plain(volume_for_people(ml)) == text


@given(st.floats(-1e20, 1e20))
def test_a_given_quantity_keeps_six_digits(value: float) -> None:
    """What was given is shown to six digits, whatever its size."""
    shown = float(plain(quantity_for_people(value)).replace(" ", ""))
    assert shown == pytest.approx(value, rel=1e-5, abs=1e-300)


def test_a_whole_number_has_its_thousands_apart() -> None:
    """Every digit of a whole number is shown."""
    assert plain(whole_for_people(317_172.6)) == "317 173"
