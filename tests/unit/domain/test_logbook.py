"""Ages are computed from the time of fertilisation."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta, timezone

import pytest

from counter.domain.logbook import Batch, age_for_people

SPAWNED = datetime(2031, 5, 6, 9, 30, tzinfo=UTC)


def test_an_age_is_the_time_since_fertilisation() -> None:
    """In whatever zones the two times are written."""
    batch = Batch(1, "B1", "eastern-oyster", fertilised_at=SPAWNED)
    east = (SPAWNED + timedelta(days=6)).astimezone(timezone(timedelta(hours=9)))
    assert batch.age_at(east) == timedelta(days=6)
    assert Batch(1, "B1", "eastern-oyster").age_at(east) is None


@pytest.mark.practice
@pytest.mark.parametrize(
    ("age", "words"),
    [
        (None, "age unknown"),
        (timedelta(minutes=-1), "before fertilisation"),
        (timedelta(0), "0 h"),
        (timedelta(hours=4, minutes=59), "4 h"),
        (timedelta(hours=47, minutes=59), "47 h"),
        (timedelta(hours=48), "day 2"),
        (timedelta(days=6, hours=23), "day 6"),
    ],
)
def test_an_age_is_told_as_hatcheries_tell_it(age: timedelta | None, words: str) -> None:
    """Hours while stages change by the hour, then days."""
    assert age_for_people(age) == words
