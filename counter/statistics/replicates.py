"""The fillings of a sample as replicates: counts by class in a known volume."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from counter.domain.sample import Sample
from counter.errors import UsageError


@dataclass(frozen=True, slots=True)
class Replicate:
    """One filling that was looked at: its ``number`` for people, counts by class, volume in mL."""

    number: int
    counts: Mapping[str, int]
    volume_ml: float

    @property
    def count(self) -> int:
        """How many of all classes."""
        return sum(self.counts.values())


def replicates(sample: Sample) -> tuple[tuple[Replicate, ...], tuple[str, ...]]:
    """Return the fillings that were looked at, and what is missing of others, in words."""
    found: list[Replicate] = []
    missing: list[str] = []
    for number, filling in enumerate(sample.fillings, start=1):
        try:
            volume_ml = filling.volume_ul(sample.chamber) / 1000.0
        except UsageError as error:
            missing.append(str(error))
            continue
        if volume_ml > 0:
            found.append(Replicate(number, filling.count_by_stage(sample.edges), volume_ml))
    return tuple(found), tuple(dict.fromkeys(missing))
