"""The fillings of a sample as replicates: counts by class in a known volume."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field

from counter.domain.classes import stage_and_state
from counter.domain.edges import EdgeRule
from counter.domain.field import Compared, PictureField
from counter.domain.sample import Filling, Sample
from counter.errors import UsageError


@dataclass(frozen=True, slots=True)
class Replicate:
    """One filling that was looked at: its ``number`` for people, counts by class, volume in mL.

    ``unchecked`` are the classes on pictures that a person has neither looked through nor
    corrected, one count for each such picture in ``unchecked_pictures``; ``reviewed`` is what a
    person made of each picture that was looked through; both hold only pictures that are counted
    alike (:func:`judged_by_review`). ``seen`` are the classes on all that was looked through and
    in squares tallied by eye, in ``seen_ml``.
    """

    number: int
    counts: Mapping[str, int]
    volume_ml: float
    unchecked: Mapping[str, int] = field(default_factory=dict)
    unchecked_pictures: tuple[int, ...] = ()
    reviewed: tuple[Compared, ...] = ()
    seen: Mapping[str, int] = field(default_factory=dict)
    seen_ml: float = 0.0

    @property
    def count(self) -> int:
        """How many of all classes."""
        return sum(self.counts.values())

    @property
    def by_stage(self) -> Counter[str | None]:
        """How many of each stage, whatever their state."""
        return pooled(self.counts, stage_of)

    @property
    def by_state(self) -> Counter[str | None]:
        """How many of each state, whatever their stage; None: nothing was said of them."""
        return pooled(self.counts, state_of)


Part = Callable[[str], str | None]
"""What of a class is asked for: its stage, or its state."""


def stage_of(tally_class: str) -> str | None:
    """Return the stage of a class."""
    return stage_and_state(tally_class)[0]


def state_of(tally_class: str) -> str | None:
    """Return the state of a class; None where nothing was said."""
    return stage_and_state(tally_class)[1]


def pooled(counts: Mapping[str, int], part: Part) -> Counter[str | None]:
    """Return ``counts`` by class added up by stage or by state."""
    total: Counter[str | None] = Counter()
    for tally_class, count in counts.items():
        total[part(tally_class)] += count
    return total


def replicates(sample: Sample) -> tuple[tuple[Replicate, ...], tuple[str, ...]]:
    """Return the fillings that were looked at, and what is missing of others, in words."""
    found: list[Replicate] = []
    missing: list[str] = []
    about = judged_by_review(sample)
    for number, filling in enumerate(sample.fillings, start=1):
        try:
            volume_ml = filling.volume_ul(sample.chamber) / 1000.0
        except UsageError as error:
            missing.append(str(error))
            continue
        if volume_ml > 0:
            found.append(_replicate(number, filling, volume_ml, sample.edges, about))
    return tuple(found), tuple(dict.fromkeys(missing))


def judged_by_review(sample: Sample) -> bool | None:
    """Return which pictures a person's look at some can judge; None: all, they are counted alike.

    Where corrections taught the lens in between, some pictures were counted with what it learnt
    (True) and some without (False), and errors on these say nothing of those. The pictures that
    nobody has looked through are judged by their like; where both have some, the more marks decide.
    """
    pictures = list(sample.picture_fields())
    if len({was_adjusted(entry) for entry in pictures}) < 2:
        return None
    left: Counter[bool] = Counter()
    for entry in pictures:
        if not entry.reviewed and not entry.is_corrected:
            left[was_adjusted(entry)] += 1 + len(entry.counted(sample.edges))
    looked = {was_adjusted(entry) for entry in pictures if entry.reviewed}
    return max((True, False), key=lambda each: (each in looked and left[each] > 0, left[each]))


def was_adjusted(entry: PictureField) -> bool:
    """Whether what a lens had learnt took part in the count of a picture."""
    return entry.picture.adjusted_by > 0


def _replicate(
    number: int, filling: Filling, volume_ml: float, rule: EdgeRule, about: bool | None
) -> Replicate:
    counts, unchecked, seen = Counter[str](), Counter[str](), Counter[str]()
    pictures, reviewed, seen_mm2 = [], [], 0.0
    for entry in filling.fields:
        classes = entry.count_by_class(rule)
        counts.update(classes)
        if not isinstance(entry, PictureField) or entry.reviewed:
            seen.update(classes)
            seen_mm2 += entry.area_mm2
            if isinstance(entry, PictureField) and _is_about(entry, about):
                reviewed.append(entry.compared(rule))
        elif not entry.is_corrected and _is_about(entry, about):
            unchecked.update(classes)
            pictures.append(sum(classes.values()))
    whole_mm2 = sum(entry.area_mm2 for entry in filling.fields)
    return Replicate(
        number,
        counts,
        volume_ml,
        unchecked,
        tuple(pictures),
        tuple(reviewed),
        seen,
        volume_ml * seen_mm2 / whole_mm2 if whole_mm2 else 0.0,
    )


def _is_about(entry: PictureField, about: bool | None) -> bool:
    return about is None or was_adjusted(entry) == about
