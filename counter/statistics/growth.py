"""Growth between two samples: µm a day, with limits.

The difference of two means over the days between, with Welch's limits (Welch BL 1947, Biometrika
34:28-35): each sample keeps its own scatter. Grading moves a mean too: what was screened off in
between did not grow.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from counter.domain.rounding import for_people
from counter.statistics.cautions import percent
from counter.statistics.fieller import two_sided_t
from counter.statistics.sizes import Sizes


@dataclass(frozen=True, slots=True)
class Growth:
    """µm a day between two samples, with limits at ``confidence``, over ``days``."""

    um_per_day: float
    low: float
    high: float
    days: float
    confidence: float

    @property
    def is_shown(self) -> bool:
        """Whether the limits leave no growth out."""
        return not self.low <= 0 <= self.high


def growth(before: Sizes, after: Sizes, days: float, confidence: float = 0.95) -> Growth | None:
    """Return the growth from ``before`` to ``after``, ``days`` (above 0) later.

    None where a sample has fewer than two lengths, or no time lies between.
    """
    if before.sd is None or after.sd is None or not 0 < days < math.inf:
        return None
    variances = (before.sd**2 / before.measured, after.sd**2 / after.measured)
    whole = sum(variances)
    parts = zip(variances, (before.measured, after.measured), strict=True)
    spread = sum(variance**2 / (number - 1) for variance, number in parts)
    freedom = whole**2 / spread if spread else math.inf
    half = two_sided_t(confidence, freedom) * math.sqrt(whole)
    difference = after.mean - before.mean
    return Growth(
        um_per_day=difference / days,
        low=(difference - half) / days,
        high=(difference + half) / days,
        days=days,
        confidence=confidence,
    )


def growth_words(found: Growth) -> str:
    """Return the growth in one sentence."""
    rate = (
        f"{for_people(found.um_per_day, 2)} µm a day ({percent(found.confidence)} limits "
        f"{for_people(found.low, 2)} to {for_people(found.high, 2)}) over "
        f"{for_people(found.days, 2)} days"
    )
    if found.is_shown and found.um_per_day > 0:
        return f"Growth {rate}."
    if found.is_shown:
        return f"The larvae are smaller than last time: {rate}; were the large ones graded off?"
    return f"No growth is shown: {rate}."
