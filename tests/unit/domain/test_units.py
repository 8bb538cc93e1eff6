"""What a technician types into a field, well or badly."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.domain import units
from counter.domain.sample import Dilution
from counter.errors import UsageError


@pytest.mark.parametrize(
    ("text", "ml"),
    [
        ("20 L", 20000.0),
        ("20l", 20000.0),
        ("800 mL", 800.0),
        ("800ML", 800.0),
        ("250 µL", 0.25),  # micro sign U+00B5
        ("250 μL", 0.25),  # Greek mu U+03BC
        ("250uL", 0.25),
        ("250 UL", 0.25),
        ("0,25 mL", 0.25),
        ("0,250 mL", 0.25),
        (".25 mL", 0.25),
        ("1.5 m³", 1_500_000.0),
        ("1.5 m3", 1_500_000.0),
        ("25 cl", 250.0),
        ("10 litres", 10_000.0),
        ("10 Liter", 10_000.0),
        ("3 cc", 3.0),
        ("1e3 mL", 1000.0),
        ("10\u202f000 L", 10_000_000.0),
        ("10\u2009000\u00a0L", 10_000_000.0),
        ("10 000 L", 10_000_000.0),
        ("1,200,000 mL", 1_200_000.0),
        ("1.200,5 mL", 1200.5),
        ("1,200.5 mL", 1200.5),
        ("1200,500 mL", 1200.5),
        ("  7.75 µL ", 0.00775),
    ],
)
def test_a_volume_is_read_as_people_write_it(text: str, ml: float) -> None:
    """Decimal comma, special spaces, every µ, any case: all become mL."""
    assert units.parse_volume_ml(text) == pytest.approx(ml, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "remedy"),
    [
        ("20", "like 20 L or 20 mL"),
        ("", "like 20 L or 800 mL"),
        ("mL", "like 20 L or 800 mL"),
        ("20 kg", "use L, mL, µL or m³"),
        ("5 gal", "write it in litres"),
        ("0 L", "must be above 0"),
        ("-3 L", "must be above 0"),
        ("inf L", "type its digits"),
        ("nan mL", "type its digits"),
        ("1e999 L", "check its digits"),
        ("1,200 L", "write 1.200 for the first or 1200 for the second"),
        ("1.2.3 L", "like 12.5"),
        ("12 34 L", "like 12.5"),
        ("10² mL", "use L, mL, µL or m³"),
    ],
)
def test_a_bad_volume_names_the_field_and_the_remedy(text: str, remedy: str) -> None:
    """The error says which field it is about and what to write instead."""
    with pytest.raises(UsageError) as caught:
        units.parse_volume_ml(text, "vessel volume")
    assert "vessel volume" in str(caught.value)
    assert remedy in str(caught.value)


@pytest.mark.parametrize(
    ("text", "volumes_ml"),
    [
        ("0.25 mL", (0.25,)),
        ("0,25 mL, 0,3 mL", (0.25, 0.3)),
        ("250 µL;0.3 mL,1 cm³", (0.25, 0.3, 1.0)),
        ("1 m3, 2 m3", (1e6, 2e6)),
    ],
)
def test_several_volumes_each_have_their_unit(text: str, volumes_ml: tuple[float, ...]) -> None:
    """The comma after a unit separates, the one in a number is decimal."""
    assert units.parse_volumes_ml(text) == pytest.approx(volumes_ml)


@pytest.mark.parametrize("text", ["", "0.25, 0.3 mL", "0.25 mL,", "0.25 mL, x"])
def test_a_volume_missing_among_several_is_refused(text: str) -> None:
    """Each needs its number and its unit."""
    with pytest.raises(UsageError, match="volume counted"):
        units.parse_volumes_ml(text, "volume counted")


@given(st.floats(1e-6, 1e9))
def test_a_volume_written_for_people_is_read_back(ml: float) -> None:
    """What is shown can be typed in again, to six digits."""
    assert units.parse_volume_ml(units.volume_for_people(ml)) == pytest.approx(ml, rel=1e-5)


@given(st.text(max_size=20))
def test_any_text_is_read_or_refused_with_a_sentence(text: str) -> None:
    """No text whatever makes a parser fail in another way than with a sentence."""
    for parse in (
        units.parse_volume_ml,
        units.parse_dilution,
        units.parse_counts,
        units.parse_length_range_um,
        units.parse_um_per_px,
        units.parse_confidence,
    ):
        try:
            parse(text)
        except UsageError as error:
            said = str(error)
        else:
            continue
        assert said.endswith(".")


@pytest.mark.parametrize(
    ("text", "dilution"),
    [
        ("1+9", Dilution(1, 9)),
        (" 1 + 9 ", Dilution(1, 9)),
        ("1+0", Dilution(1, 0)),
        ("0,5+9,5", Dilution(0.5, 9.5)),
        ("1 mL + 9 mL", Dilution(1, 9)),
        ("100 µL + 0.9 mL", Dilution(0.1, 0.9)),
        ("1 mL + 0 mL", Dilution(1, 0)),
    ],
)
def test_a_dilution_is_parts_of_sample_plus_parts_of_water(text: str, dilution: Dilution) -> None:
    """A + B, as parts or as two volumes."""
    read = units.parse_dilution(text)
    assert read.sample_parts == pytest.approx(dilution.sample_parts)
    assert read.water_parts == pytest.approx(dilution.water_parts)


@pytest.mark.parametrize(
    ("text", "readings"),
    [
        ("1:10", ("1+9", "1+10")),
        ("1/10", ("1+9", "1+10")),
        ("1 in 10", ("1+9", "1+10")),
        ("2:5", ("2+3", "2+5")),
        ("10:1", ("1+9", "1+10")),
        ("x:y", ("1+9", "1+10")),
    ],
)
def test_a_ratio_is_refused_with_both_its_readings(text: str, readings: tuple[str, str]) -> None:
    """1:10 means tenfold to some and elevenfold to others; the error shows both."""
    with pytest.raises(UsageError) as caught:
        units.parse_dilution(text)
    for reading in readings:
        assert f"{reading} (" in str(caught.value)


@pytest.mark.parametrize(
    "text",
    ["", "10", "1+", "+9", "1+2+3", "0+9", "-1+9", "1+-1", "a+b", "1 mL + 9", "inf+1", "0 mL+1 mL"],
)
def test_a_bad_dilution_is_refused(text: str) -> None:
    """Anything that is not A + B with A above 0 is refused, naming the field."""
    with pytest.raises(UsageError, match=r"dilution|volume"):
        units.parse_dilution(text)


@given(st.integers(1, 1000), st.integers(0, 100_000))
def test_a_dilution_written_for_people_is_read_back(sample: int, water: int) -> None:
    """What is shown can be typed in again."""
    dilution = Dilution(sample, water)
    assert units.parse_dilution(units.dilution_for_people(dilution)) == dilution


@pytest.mark.parametrize(
    ("text", "counts"),
    [
        ("112,98,103", (112, 98, 103)),
        ("112, 98 ; 103", (112, 98, 103)),
        ("112\t98\n103", (112, 98, 103)),
        ("x,98,103", (None, 98, 103)),
        ("112,,X", (112, None, None)),
        ("112, - ,lost", (112, None, None)),
        ("0", (0,)),
        ("007", (7,)),
        ("x", (None,)),
    ],
)
def test_counts_are_whole_and_a_lost_one_is_missing(
    text: str, counts: tuple[int | None, ...]
) -> None:
    """A blank or an x is a lost aliquot: None, never 0."""
    assert units.parse_counts(text) == counts


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("112.5", "entry 1 “112.5” is not a whole number"),
        ("112,98.0", "entry 2 “98.0”"),
        ("-3", "entry 1 “-3”"),
        ("1 200", "entry 1 “1 200”"),
        ("12e3", "entry 1"),
        ("11²", "entry 1"),
        ("abc", "entry 1"),
        ("99999999999", "check its digits"),
        ("9" * 5000, "check its digits"),
        ("", "are empty"),
        ("  ", "are empty"),
    ],
)
def test_bad_counts_are_refused_by_entry(text: str, said: str) -> None:
    """The error says which entry is wrong."""
    with pytest.raises(UsageError) as caught:
        units.parse_counts(text)
    assert said in str(caught.value)


@given(st.lists(st.one_of(st.none(), st.integers(0, 10**9)), min_size=1, max_size=12))
def test_counts_are_read_back(counts: list[int | None]) -> None:
    """Counts joined by commas, a lost one as x, are read back as they were."""
    text = ",".join("x" if count is None else str(count) for count in counts)
    assert units.parse_counts(text) == tuple(counts)


@pytest.mark.parametrize(
    ("text", "limits"),
    [
        ("60-350", (60.0, 350.0)),
        ("60–350 µm", (60.0, 350.0)),
        ("60 to 350um", (60.0, 350.0)),
        ("60..350", (60.0, 350.0)),
        ("0.06-0.35 mm", (60.0, 350.0)),
        ("62,5-350", (62.5, 350.0)),
    ],
)
def test_a_length_range_is_read_in_um(text: str, limits: tuple[float, float]) -> None:
    """The shortest and the longest length; mm are turned into µm."""
    assert units.parse_length_range_um(text) == pytest.approx(limits)


@pytest.mark.parametrize(
    ("text", "words"), [("1e200 L", "billion"), ("1e-200 mL", "picolitre"), ("1e300 m³", "billion")]
)
def test_a_volume_that_no_hatchery_has_is_refused(text: str, words: str) -> None:
    """So that no total ever overflows."""
    with pytest.raises(UsageError, match=words):
        units.parse_volume_ml(text)


@pytest.mark.parametrize("text", ["1+99999999999999999", "1e-9 mL + 1e9 L"])
def test_a_dilution_to_nothing_is_refused(text: str) -> None:
    """Likewise."""
    with pytest.raises(UsageError, match="hardly a drop"):
        units.parse_dilution(text)


@pytest.mark.parametrize(
    "text", ["", "60", "60-1000000", "350-60", "60-60", "0-60", "-5-60", "60-inf", "a-b"]
)
def test_a_bad_length_range_is_refused(text: str) -> None:
    """Anything but two growing lengths above 0 is refused, naming the field."""
    with pytest.raises(UsageError, match="length range"):
        units.parse_length_range_um(text)


@pytest.mark.parametrize(
    ("text", "um_per_px"),
    [("1.24", 1.24), ("1,24", 1.24), ("1,240", 1.24), ("1.24 µm/px", 1.24), ("2 um per pixel", 2)],
)
def test_a_scale_is_read_in_um_per_pixel(text: str, um_per_px: float) -> None:
    """The comma is always decimal: no microscope has thousands of µm per pixel."""
    assert units.parse_um_per_px(text) == um_per_px


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("0", "must be above 0"),
        ("-1", "must be above 0"),
        ("0.01", "not plausible"),
        ("60", "not plausible"),
        ("nan", "finite"),
        ("1.24 px/µm", "how many µm one pixel is"),
        ("", "how many µm one pixel is"),
    ],
)
def test_a_bad_scale_is_refused(text: str, said: str) -> None:
    """What no light microscope has is refused with the reason."""
    with pytest.raises(UsageError, match=said):
        units.parse_um_per_px(text)


@pytest.mark.parametrize(
    ("text", "level"), [("0.95", 0.95), ("0,9", 0.9), ("95 %", 0.95), ("99%", 0.99)]
)
def test_a_confidence_is_a_share_or_a_percentage(text: str, level: float) -> None:
    """Both ways of writing it are read."""
    assert math.isclose(units.parse_confidence(text), level)


@pytest.mark.parametrize("text", ["0", "1", "95", "100%", "0.4", "nan", "-0.95", "", "%"])
def test_a_bad_confidence_is_refused(text: str) -> None:
    """A level outside 0.5 to 0.9999 is refused, naming the field."""
    with pytest.raises(UsageError, match="confidence"):
        units.parse_confidence(text)
