"""How narrow the limits shall be and what counting costs, as typed."""

from __future__ import annotations

import pytest

from counter.errors import UsageError
from counter.statistics.effort import Minutes
from counter.statistics.effort_entry import both_minutes, parse_minutes, parse_precision


@pytest.mark.parametrize("text", ["5%", "5 %", "±5 %", "5", " 5,0 % "])
def test_a_precision_is_read_with_or_without_its_signs(text: str) -> None:
    """All of them are a twentieth."""
    assert parse_precision(text) == pytest.approx(0.05)


@pytest.mark.parametrize("text", ["0.5 %", "101", "wide", "", "-5 %"])
def test_a_precision_that_nobody_can_use_is_refused(text: str) -> None:
    """1 to 100 per cent."""
    with pytest.raises(UsageError, match="aim"):
        parse_precision(text, "aim")


def test_minutes_come_in_pairs() -> None:
    """Both or none; one alone is refused and named."""
    assert both_minutes(None, None, "a", "b") is None
    assert both_minutes("5", "0,2", "a", "b") == Minutes(5.0, 0.2)
    with pytest.raises(UsageError, match="The b are missing"):
        both_minutes("5", None, "a", "b")


@pytest.mark.parametrize("text", ["0", "-1", "1000", "soon"])
def test_impossible_minutes_are_refused(text: str) -> None:
    """Above 0 and under 1000."""
    with pytest.raises(UsageError, match="minutes"):
        parse_minutes(text)
