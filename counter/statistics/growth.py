"""Growth between two samples: µm a day, with limits.

The difference of two means over the days between, with Welch's limits (Welch BL 1947, Biometrika
34:28-35): each sample keeps its own scatter. Grading moves a mean too: what was screened off in
between did not grow.
"""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass
from typing import Any

from counter.domain.rounding import for_people, on_paper, whole_for_people
from counter.statistics.cautions import percent
from counter.statistics.fieller import two_sided_t
from counter.statistics.sizes import Sizes


@dataclass(frozen=True, slots=True)
class Growth:
    """µm a day between two samples, with limits at ``confidence``, over ``days``.

    The limits are those of the ``difference`` of the means in µm, its ``standard_error`` and
    Welch's ``degrees_of_freedom`` (infinite where no length differs), over the days.
    """

    um_per_day: float
    low: float
    high: float
    days: float
    confidence: float
    difference: float
    standard_error: float
    degrees_of_freedom: float

    @property
    def is_shown(self) -> bool:
        """Whether the limits leave no growth out."""
        return not self.low <= 0 <= self.high

    def as_json(self) -> dict[str, Any]:
        """Return the ``growth`` object of the JSON; degrees of freedom without end are null."""
        freedom = self.degrees_of_freedom
        return {
            **asdict(self),
            "degrees_of_freedom": freedom if math.isfinite(freedom) else None,
            "is_shown": self.is_shown,
            "method": "welch",
        }


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
        difference=difference,
        standard_error=math.sqrt(whole),
        degrees_of_freedom=freedom,
    )


def growth_words(found: Growth) -> str:
    """Return the growth in one sentence."""
    rate = (
        f"{for_people(found.um_per_day, 2)} µm a day ({percent(found.confidence)} limits "
        f"{for_people(found.low, 2)} to {for_people(found.high, 2)}) over "
        f"{for_people(found.days, 2)} day{'' if found.days == 1 else 's'}"
    )
    if found.is_shown and found.um_per_day > 0:
        return f"Growth {rate}."
    if found.is_shown:
        return f"The larvae are smaller than last time: {rate}; were the large ones graded off?"
    return f"No growth is shown: {rate}."


def growth_working(before: Sizes, after: Sizes, found: Growth) -> tuple[str, ...]:
    """Return the way from the lengths of both samples to the limits, line by line as on paper."""
    errors = [_error(one) for one in (before, after)]
    t = two_sided_t(found.confidence, found.degrees_of_freedom)
    difference, error = on_paper(found.difference), on_paper(found.standard_error)
    times = on_paper(t)
    days = on_paper(found.days)
    how = (
        ""
        if math.isinf(found.degrees_of_freedom)
        else (f" on {for_people(found.degrees_of_freedom)} degrees of freedom (Welch 1947)")
    )
    return (
        f"Before: {_mean(before)}",
        f"After: {_mean(after)}",
        f"Growth: {on_paper(after.mean)} − {on_paper(before.mean)} = {difference} µm; ÷ {days} "
        f"days = {on_paper(found.um_per_day)} µm a day",
        f"Standard error: √({errors[0]} + {errors[1]}) = {error} µm; Student's t = {times}{how}",
        f"Limits ({percent(found.confidence)}): ({difference} ± {times} × {error}) ÷ {days} = "
        f"{on_paper(found.low)} to {on_paper(found.high)} µm a day",
    )


def _mean(one: Sizes) -> str:
    assert one.sd is not None
    spread = f"mean {on_paper(one.mean)} µm, standard deviation {on_paper(one.sd)} µm"
    return f"{whole_for_people(one.measured)} measured, {spread}"


def _error(one: Sizes) -> str:
    assert one.sd is not None
    return f"{on_paper(one.sd)}² ÷ {whole_for_people(one.measured)}"
