"""The fillings of a sample as replicates: counts by class in a known volume."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass

from counter.domain.classes import stage_and_state
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

    @property
    def by_stage(self) -> Counter[str | None]:
        """How many of each stage, whatever their state."""
        return self._pooled(lambda stage, _: stage)

    @property
    def by_state(self) -> Counter[str | None]:
        """How many of each state, whatever their stage; None: nothing was said of them."""
        return self._pooled(lambda _, state: state)

    def _pooled(self, part: Callable[[str, str | None], str | None]) -> Counter[str | None]:
        total: Counter[str | None] = Counter()
        for tally_class, count in self.counts.items():
            total[part(*stage_and_state(tally_class))] += count
        return total


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
            found.append(Replicate(number, filling.count_by_class(sample.edges), volume_ml))
    return tuple(found), tuple(dict.fromkeys(missing))
