"""What the count of a sample rests on: all marks, or those that a person has looked through."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import chain

from counter.statistics.checked import Checked, checked
from counter.statistics.method import CHECKED_ONLY, DOUBLE_SAMPLING, POISSON_EXACT
from counter.statistics.replicates import Replicate

Counts = Mapping[str | None, int]
"""How many of each stage or state in one filling."""


@dataclass(frozen=True, slots=True)
class Basis:
    """One number and one volume for each filling, which the estimate is made from.

    ``counted`` is how many are marked in ``volume_ml``, all that was looked at. ``counts`` may be
    estimates, in ``volumes_ml``, which may be a part of it; ``index`` is what that multiplies the
    variance of chance with. ``method`` names what it is, ``numbers`` are the fillings' for people.
    """

    counts: tuple[float, ...]
    volumes_ml: tuple[float, ...]
    numbers: tuple[int, ...]
    counted: int
    volume_ml: float
    index: float = 1.0
    method: str = POISSON_EXACT
    checked: Checked | None = None

    @property
    def step(self) -> float:
        """By how much one body more moves the count."""
        return self.index if self.method == CHECKED_ONLY else 1.0

    @property
    def count(self) -> float:
        """What stands for the count in all of ``volume_ml``."""
        whole = math.fsum(self.volumes_ml)
        return math.fsum(self.counts) * (self.volume_ml / whole if whole else 1.0)


@dataclass(frozen=True, slots=True)
class Review:
    """What the pictures that were looked through say of the others; see :mod:`.checked`."""

    checked: Checked
    index: float

    @property
    def ratio(self) -> float:
        """How many bodies there are for one mark of the machine."""
        return self.checked.ratio


def review_of(found: Sequence[Replicate]) -> Review | None:
    """Return the review of a sample; None where all was looked through, or nothing was."""
    result = checked(
        list(chain.from_iterable(entry.reviewed for entry in found)),
        list(chain.from_iterable(entry.unchecked_pictures for entry in found)),
    )
    if result is None:
        return None
    if not result.is_enough:
        whole = math.fsum(entry.volume_ml for entry in found)
        return Review(result, whole / math.fsum(entry.seen_ml for entry in found))
    certain = sum(entry.count for entry in found) - result.corrected - result.unchecked
    count = certain + result.estimated
    index = (certain + result.estimated * result.index) / count if count else result.index
    return Review(result, index)


def basis_of(
    found: Sequence[Replicate],
    review: Review | None,
    counts: Sequence[Counts],
    unchecked: Sequence[Counts],
    seen: Sequence[Counts],
    part: str | None,
) -> Basis:
    """Return the basis for ``part`` of what was counted; one mapping for each filling."""
    marked = [entry[part] for entry in counts]
    volumes = tuple(entry.volume_ml for entry in found)
    plain = Basis(
        tuple(marked),
        volumes,
        tuple(entry.number for entry in found),
        sum(marked),
        math.fsum(volumes),
    )
    if review is None:
        return plain
    if not review.checked.is_enough:
        looked = [(e.number, s[part], e.seen_ml) for e, s in zip(found, seen, strict=True)]
        kept = [(number, count, volume) for number, count, volume in looked if volume > 0]
        return Basis(
            tuple(count for _, count, _ in kept),
            tuple(volume for _, _, volume in kept),
            tuple(number for number, _, _ in kept),
            plain.counted,
            plain.volume_ml,
            review.index,
            CHECKED_ONLY,
            review.checked,
        )
    more = review.ratio - 1.0
    return Basis(
        tuple(m + more * u[part] for m, u in zip(marked, unchecked, strict=True)),
        volumes,
        plain.numbers,
        plain.counted,
        plain.volume_ml,
        review.index,
        DOUBLE_SAMPLING,
        review.checked,
    )
