"""Numbers as people write them."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.domain.numerals import SPACES, number, plainly
from counter.errors import UsageError


@given(st.floats(-1e12, 1e12))
def test_a_number_is_read_back(value: float) -> None:
    """With a decimal point or a decimal comma, as Python writes it."""
    text = repr(value)
    assert number(text, "field") == value
    assert number(text.replace(".", ","), "field", may_be_thousands=False) == value


@given(st.integers(0, 10**12), st.sampled_from([" ", "'", "\u2019", *SPACES]))
def test_thousands_may_stand_apart(value: int, space: str) -> None:
    """Spaces of every kind and the apostrophe group digits by three."""
    assert number(f"{value:,}".replace(",", space), "field") == value


@given(st.integers(1, 999), st.integers(0, 999))
def test_one_comma_before_three_digits_is_refused(whole: int, rest: int) -> None:
    """1,200 is 1.2 to some and 1200 to others; both readings are shown."""
    with pytest.raises(UsageError) as caught:
        number(f"{whole},{rest:03}", "tank")
    for said in ("tank", f"{whole}.{rest:03}", f"{whole}{rest:03}"):
        assert said in str(caught.value)
    assert number(f"{whole},{rest:03}", "tank", may_be_thousands=False) == pytest.approx(
        whole + rest / 1000
    )


@given(st.integers(1_000_000, 10**12))
def test_two_commas_or_two_points_are_thousands(value: int) -> None:
    """1,200,000 and 1.200.000 can only be read in one way."""
    assert number(f"{value:,}", "field") == value
    assert number(f"{value:,}".replace(",", "."), "field") == value


@pytest.mark.parametrize(
    "text", ["", "-", ".", "1..2", "1,2,3", "12 34", "1 20", "0x10", "1_000", "٣", "1e", "--1"]
)
def test_what_is_no_number_is_refused(text: str) -> None:
    """The field is named."""
    with pytest.raises(UsageError, match="tank"):
        number(text, "tank")


@pytest.mark.parametrize("text", ["inf", "-Infinity", "nan", "∞", "1e999"])
def test_what_is_not_finite_is_refused(text: str) -> None:
    """The field is named, with what to do."""
    with pytest.raises(UsageError, match=r"tank .*digits"):
        number(text, "tank")


def test_special_signs_become_plain() -> None:
    """Both micro signs, the minus sign and the special spaces."""
    assert plainly(" \u22125\u202fµm μm ") == "-5 um um"
    assert number("\u22125", "field") == -5
    assert number("+5", "field") == 5
