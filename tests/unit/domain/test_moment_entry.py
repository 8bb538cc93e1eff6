"""A day and a time as people type them."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.domain.moment_entry import moment_for_people, parse_moment
from counter.errors import UsageError

NOW = datetime(2031, 5, 6, 14, 0).astimezone()


@pytest.mark.parametrize(
    ("text", "day", "clock"),
    [
        ("2031-05-04 09:30", 4, (9, 30)),
        ("2031-5-4T9:30", 4, (9, 30)),
        ("4.5.2031 9:30", 4, (9, 30)),
        ("04.05.2031, 9.30", 4, (9, 30)),
        ("2031-05-04", 4, (12, 0)),
        ("8:15", 6, (8, 15)),
    ],
)
def test_the_usual_ways_are_read(text: str, day: int, clock: tuple[int, int]) -> None:
    """A day alone is its noon, a time alone is today's."""
    assert parse_moment(text, "time", NOW) == datetime(2031, 5, day, *clock).astimezone()


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("5/4/2031", "two ways"),
        ("2031-13-04", "no day and time"),
        ("2031-05-04 25:10", "no day and time"),
        ("2031-05-07", "lies ahead"),
        ("soon", "not understood"),
        ("", "not understood"),
        ("2031-05-04 9", "not understood"),
    ],
)
def test_what_can_be_misread_or_cannot_be_is_refused(text: str, said: str) -> None:
    """The field is named."""
    with pytest.raises(UsageError, match=said) as refused:
        parse_moment(text, "time of fertilisation", NOW)
    assert "time of fertilisation" in str(refused.value)


@given(st.integers(0, 20_000))
def test_what_is_shown_is_read_as_the_same_moment(hours: int) -> None:
    """To the minute, also across the changes of the clock that are not doubled."""
    moment = (NOW - timedelta(hours=hours)).astimezone()
    again = parse_moment(moment_for_people(moment), "time", NOW)
    assert moment_for_people(again) == moment_for_people(moment)


def test_nothing_is_said_of_no_moment() -> None:
    """An unknown time is an empty line."""
    assert moment_for_people(None) == ""
