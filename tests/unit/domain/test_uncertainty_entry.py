"""Uncertainties as people write them."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.domain.uncertainty import UNKNOWN_VOLUMES
from counter.domain.uncertainty_entry import (
    parse_uncertainty,
    parse_volumes_known,
    volumes_known,
    volumes_known_for_people,
)
from counter.errors import CounterError, UsageError


@pytest.mark.parametrize("text", ["1 %", "1%", "1,0 %", " 1.0 % "])
def test_per_cent_is_a_standard_uncertainty(text: str) -> None:
    """With a decimal comma or point, with or without a space."""
    relative, words = parse_uncertainty(text)
    assert relative == pytest.approx(0.01)
    assert words == "1 % (standard uncertainty)"


@pytest.mark.parametrize("text", ["±1 %", "+-1 %", "+/- 1 %", "± 1%", "+−1 %"])
def test_a_tolerance_is_divided_by_the_root_of_three(text: str) -> None:
    """JCGM 100, 4.3.7: within ± a, and nothing more is known."""
    relative, words = parse_uncertainty(text)
    assert relative == pytest.approx(0.01 / math.sqrt(3))
    assert words == "±1 % (tolerance) ÷ √3 = 0.58 %"


@pytest.mark.parametrize("text", ["1", "", "1 mL", "-1 %", "51 %", "one %", "±%", "1 % %"])
def test_anything_else_is_refused_naming_the_field(text: str) -> None:
    """A bare number could be a share or per cent."""
    with pytest.raises(UsageError, match="vessel's uncertainty"):
        parse_uncertainty(text, "vessel's uncertainty")


@given(st.text(max_size=12))
def test_no_text_is_a_crash(text: str) -> None:
    """Read, or refused with a sentence."""
    try:
        relative, _ = parse_uncertainty(text)
    except CounterError:
        return
    assert 0 <= relative <= 0.5


def test_parts_that_are_left_out_are_not_taken_into_account() -> None:
    """Nothing given is nothing known; what is given names its source."""
    assert volumes_known() == volumes_known(vessel="", pipette="") == UNKNOWN_VOLUMES
    known = volumes_known(vessel="±1 %", chamber="2 %", dilution="0.5 %", pipette="1.5 %")
    values = [known.chamber, known.pipette, known.pipette_each, known.dilution]
    assert values == pytest.approx([0.02, 0.015, 0.0, 0.005])
    assert [source.partition(":")[0] for source in known.sources] == [
        "chamber",
        "pipette",
        "dilution",
        "vessel",
    ]


def test_a_pipette_is_named_by_its_size() -> None:
    """ISO 8655 says what it may be off at the volume that it was set to."""
    known = volumes_known(pipette="1000 µL", stroke_ml=0.5)
    assert known.pipette == pytest.approx(0.016 / math.sqrt(3))
    assert known.pipette_each == pytest.approx(0.006)
    assert "ISO 8655-2" in known.sources[0]


def test_a_pipette_by_size_needs_the_volume_it_was_set_to() -> None:
    """The sentence says what to type instead."""
    with pytest.raises(UsageError, match="in per cent, like ±1 %"):
        volumes_known(pipette="1000 µL")


@pytest.mark.parametrize(
    ("text", "shown"),
    [
        ("", ""),
        ("vessel ±1 %, chamber 2 %", "chamber 2 %, vessel ±1 %"),
        ("Vessel 1,5 %; pipette 1000 µL", "pipette 1\u202f000 µL, vessel 1.5 %"),
        ("dilution 0.5%", "dilution 0.5 %"),
    ],
)
def test_what_is_shown_can_be_typed_again(text: str, shown: str) -> None:
    """One line for all parts, in the order in which the total is made."""
    known = parse_volumes_known(text, 0.25)
    assert volumes_known_for_people(known) == shown
    assert parse_volumes_known(shown, 0.25) == known


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("1 %", "write the part"),
        ("vessel", "write the part"),
        ("bucket 1 %", "“bucket 1 %” is not understood"),
        ("vessel 1 %, vessel 2 %", "named twice"),
        ("chamber 2", "uncertainty of the chamber"),
        ("pipette 1000 µL", "in per cent"),
    ],
)
def test_a_line_that_makes_no_sense_is_refused(text: str, said: str) -> None:
    """With what to type instead."""
    with pytest.raises(UsageError, match=said):
        parse_volumes_known(text)
