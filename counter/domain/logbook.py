"""Batch → Tank → Sample: what the log book holds besides the counts themselves.

A batch is one spawn. Its age is always computed from the time of fertilisation, never stored.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime, timedelta

_TWO_DAYS = timedelta(days=2)


@dataclass(frozen=True, slots=True)
class Batch:
    """One spawn.

    ``species`` is the key of its species, ``parents`` what is known of them, in words.
    ``fertilised_at`` is a moment with time zone, None while unknown.
    """

    batch_id: int
    name: str
    species: str
    parents: str = ""
    fertilised_at: datetime | None = None

    def age_at(self, moment: datetime) -> timedelta | None:
        """Return the age at ``moment`` (with time zone); None while fertilisation is unknown.

        Negative before fertilisation: a sign that one of the two times was mistyped.
        """
        return None if self.fertilised_at is None else moment - self.fertilised_at


@dataclass(frozen=True, slots=True)
class Tank:
    """One tank of a batch; ``volume_ml`` is None while unknown."""

    tank_id: int
    batch_id: int
    name: str
    volume_ml: float | None = None


@dataclass(frozen=True, slots=True)
class SampleEntry:
    """A sample as the log book lists it; times have a time zone.

    ``tank_id`` is None for a quick count without a tank. ``taken_at`` is when the water was taken,
    ``created_at`` when the record was begun, ``changed_at`` when its last event happened.
    """

    sample_id: int
    name: str
    tank_id: int | None
    taken_at: datetime
    created_at: datetime
    changed_at: datetime


def age_for_people(age: timedelta | None) -> str:
    """Return an age in words: hours up to two days, then whole days, as hatcheries count them."""
    if age is None:
        return "age unknown"
    if age < timedelta():
        return "before fertilisation"
    if age < _TWO_DAYS:
        return f"{age // timedelta(hours=1)} h"
    return f"day {age.days}"
