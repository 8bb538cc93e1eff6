"""A series and pairs as they are typed; what makes no sense is refused with the remedy."""

from __future__ import annotations

import pytest

from counter.errors import UsageError
from counter.statistics.method_entry import pairs_of, parse_fraction, series_of


def test_a_typed_series_is_read_with_its_lost_counts_left_out() -> None:
    """Two levels, one count lost; the slope is Σ counted ÷ Σ fractions."""
    found = series_of(["0.5", "1"], ["52,47,50", "100,x,96"])
    assert found.levels[1].counts == (100, 96)
    assert found.slope == pytest.approx((149 + 196) / (1.5 + 2))


@pytest.mark.parametrize(
    ("fractions", "counts", "said"),
    [
        (["0.5"], ["5"], "two or more different fractions (left)"),
        (["0.5", "0.5"], ["5", "6"], "two or more different fractions (left)"),
        (["0.5", "2"], ["5", "6"], "The fraction “2” (left) is impossible"),
        (["0.5", "half"], ["5", "6"], "The fraction (left) “half” is not a number"),
        (["0.5", "1"], ["x", "6"], "Each level needs a count"),
        (["0.5", "1"], ["0", "0"], "some must be above 0"),
        (["0.5", "1"], ["5"], "2 fractions but 1 levels"),
        (["0.5", "1"], ["5", "many"], "counts (right)"),
    ],
)
def test_what_is_no_series_is_refused(fractions: list[str], counts: list[str], said: str) -> None:
    """Each sentence names the field that is wrong."""
    with pytest.raises(UsageError) as refused:
        series_of(fractions, counts, fields=("left", "right"))
    assert said in str(refused.value)


def test_a_fraction_is_read_with_a_decimal_comma() -> None:
    """0,25 is a quarter."""
    assert parse_fraction("0,25") == 0.25


def test_slides_that_lack_a_count_are_left_out() -> None:
    """Only the second slide has both."""
    found = pairs_of([97, 103, None], [None, 101, 90])
    assert (found.pairs, found.difference) == (1, -2.0)


def test_pairs_need_both_counts() -> None:
    """Lists of different lengths, or no slide with both, are refused."""
    with pytest.raises(UsageError, match="1 first and 2 second"):
        pairs_of([1], [1, 2])
    with pytest.raises(UsageError, match="No slide has both"):
        pairs_of([1, None], [None, 2])
