"""When a person has looked through only some of the pictures: double sampling.

The machine counted every picture, a person corrected some of them. With S of the machine's marks
on the checked pictures, C bodies there after correction and U marks on the others, the number on
all of them is C + U × C/S, the ratio estimator of double sampling: Cochran WG (1977), Sampling
Techniques, 3rd ed., section 12 (from memory). Its variance, when what is missed and what is
wrongly found are counts by chance, by the delta method, in units of that of chance:

    index = 1 + U × (removed + added + 1) ÷ S²

where 1 more correction stands for what a few pictures cannot show. No machine counts equally well
on every picture, and a few checked ones tell little of how unequally: corrections are multiplied
by their own index of dispersion, widened by Student's t and never less than chance; two pictures,
and few corrections, lean on a guess (:func:`_guessed`; the weights are our own choice, by
simulation).

A regression line instead of the ratio would be narrower where what is wrongly found is alike on
every picture, whatever it holds. By simulation (tests/benchmarks/coverage.py, and by hand for the
line) the limits of the ratio hold there too, up to twice as wide where a third of the marks are
wrong and pictures differ much; those of the line miss the truth up to one time in ten where the
machine finds more on some pictures than on others, and gain nothing elsewhere. So there is only
the ratio: the pictures are drawn by lot, which is what it needs.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from scipy.special import ndtri, stdtrit

from counter.domain.field import Compared

LEAST_FOUND = 10
"""Fewer of the machine's marks than this on checked pictures don't tell how well it counts."""
PAIR_INDEX = 2.0
PAIR_WEIGHT = 1.5
"""What two pictures, which have one degree of freedom, are joined with: a machine whose corrections
scatter twice as chance from picture to picture, worth so many degrees of freedom."""
FEW_CORRECTIONS = 10
"""So many degrees of freedom for chance where one correction was made or none; few tell nothing."""
_TAIL = 0.975
"""The allowance is that of limits at 95 %, whatever the level."""


@dataclass(frozen=True, slots=True)
class Checked:
    """Pictures that were looked through (``checked`` of ``pictures``), and what they teach.

    ``found`` of the machine's marks are on the checked pictures, ``removed`` and ``added`` is what
    a person corrected there; ``unchecked`` marks are on pictures that nobody has looked at.
    ``scatter`` is how the corrections vary from picture to picture, in times chance.
    """

    pictures: int
    checked: int
    found: int
    removed: int
    added: int
    unchecked: int
    scatter: float = 1.0

    @property
    def unevenness(self) -> float:
        """What the variance of the corrections is multiplied with: :attr:`scatter` with Student's
        allowance for the few pictures that it rests on, 1 or more."""
        degrees = self.checked - 1 + sum(_guessed(self.checked, self.removed + self.added))
        student = float(stdtrit(degrees, _TAIL)) / float(ndtri(_TAIL))
        return max(1.0, self.scatter * student**2)

    @property
    def is_enough(self) -> bool:
        """Whether the checked pictures show enough to judge the machine by."""
        return self.found >= LEAST_FOUND

    @property
    def corrected(self) -> int:
        """How many bodies are on the checked pictures."""
        return self.found - self.removed + self.added

    @property
    def ratio(self) -> float:
        """How many bodies there are for one mark of the machine."""
        return self.corrected / self.found

    @property
    def estimated(self) -> float:
        """How many bodies are on all these pictures."""
        return self.corrected + self.unchecked * self.ratio

    @property
    def index(self) -> float:
        """The variance of :attr:`estimated`, in units of that of chance."""
        corrections = self.unevenness * (self.removed + self.added + 1)
        return 1.0 + self.unchecked * corrections / self.found**2

    @property
    def spread(self) -> float:
        """The variance of the number in units of that of chance, whatever it rests on."""
        return self.index if self.is_enough else self.pictures / self.checked

    def with_more(self, more: int) -> Checked:
        """Return what may be expected once ``more`` pictures are checked too.

        They are taken to scatter alike; what is known of that grows with them.
        """
        left = self.pictures - self.checked
        share = min(more, left) / left
        moved = self.unchecked * share
        times = (self.found + moved) / self.found
        return Checked(
            self.pictures,
            self.checked + min(more, left),
            round(self.found + moved),
            round(self.removed * times),
            round(self.added * times),
            round(self.unchecked - moved),
            self.scatter,
        )

    def as_json(self) -> dict[str, Any]:
        """Return the ``checked`` object of the JSON that the command line writes."""
        return {
            "pictures": self.pictures,
            "checked": self.checked,
            "found": self.found,
            "removed": self.removed,
            "added": self.added,
            "unchecked": self.unchecked,
            "ratio": self.ratio if self.found else None,
        }


def checked(reviewed: Sequence[Compared], unchecked: Sequence[int]) -> Checked | None:
    """Return what the ``reviewed`` pictures teach of those that hold ``unchecked`` marks each.

    None where there is nothing to learn (no picture reviewed) or nothing to learn it for.
    """
    if not reviewed or not unchecked:
        return None
    return Checked(
        pictures=len(reviewed) + len(unchecked),
        checked=len(reviewed),
        found=sum(one.found for one in reviewed),
        removed=sum(one.removed for one in reviewed),
        added=sum(one.added for one in reviewed),
        unchecked=sum(unchecked),
        scatter=_scatter(reviewed),
    )


def _scatter(reviewed: Sequence[Compared]) -> float:
    """Return the index of dispersion of the corrections, joined with what is guessed of them.

    A single picture tells nothing of others: it is joined with the guess of two.
    """
    found = sum(one.found for one in reviewed)
    chi2 = _chi2(reviewed, found) if len(reviewed) > 1 and found else 0.0
    corrections = sum(one.removed + one.added for one in reviewed)
    by_chance, guess = _guessed(len(reviewed), corrections)
    degrees = len(reviewed) - 1 + by_chance + guess
    return (chi2 + by_chance + guess * PAIR_INDEX) / degrees


def _guessed(pictures: int, corrections: int) -> tuple[float, float]:
    """Return how many degrees of freedom chance is worth, and how many the guess of two."""
    return FEW_CORRECTIONS / (corrections + 1), PAIR_WEIGHT if pictures <= 2 else 0.0


def _chi2(reviewed: Sequence[Compared], found: int) -> float:
    """Return how bodies scatter about ``ratio`` × marks, in units of what chance corrects."""
    kept = sum(one.kept for one in reviewed)
    added = sum(one.added for one in reviewed)
    ratio = (kept + added) / found
    variance = added + (1 - ratio) ** 2 * kept + ratio**2 * (found - kept) + 1
    return math.fsum(
        (one.counted - ratio * one.found) ** 2 / (variance * max(one.found, 0.5) / found)
        for one in reviewed
    )
