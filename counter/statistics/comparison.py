"""Two counts against each other: a change, a survival, a yield, a loss, two readers.

Counts that scatter as chance would have it are compared by the exact conditional method
(:mod:`counter.statistics.ratio`). Where the fillings of the two, or those of earlier samples,
scatter more than chance allows, that method finds changes that are none; then the limits are
Fieller's (:mod:`counter.statistics.fieller`) with the variance of a Poisson count times an index
of dispersion, and Student's t on its degrees of freedom. With a history of earlier samples the
index is the one that widens an estimate too (:mod:`counter.statistics.scatter`), pooled over both.
Without one it is that of the fillings at hand, as soon as it has a probability under 0.3: waiting
for surer signs lets vessels that are badly mixed raise false alarms (tests/accuracy).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Any

from scipy.special import chdtr, chdtrc, stdtr

from counter.domain.house import House
from counter.statistics.dispersion import Agreement, Dispersion, dispersion
from counter.statistics.fieller import fieller
from counter.statistics.ratio import poisson_ratio
from counter.statistics.scatter import CHANCE, Widening, is_known, widening

FIELLER = "fieller-quasi-poisson"
WIDEN_BELOW = 0.3


@dataclass(frozen=True, slots=True)
class Side:
    """One of two things that are compared: fillings, ``counts`` (0 or more) and their volumes.

    ``scale`` is what one counted per mL stands for: the dilution's factor, times the vessel's mL
    where totals are compared.
    """

    counts: Sequence[int]
    volumes_ml: Sequence[float]
    scale: float = 1.0

    @property
    def counted(self) -> int:
        """All that was counted."""
        return sum(self.counts)

    @property
    def volume_ml(self) -> float:
        """All that was looked through, in mL."""
        return math.fsum(self.volumes_ml)

    @property
    def weight(self) -> float:
        """The volume in which one counted stands for one of the ratio."""
        return self.volume_ml / self.scale


class Answer(StrEnum):
    """What two counts show."""

    LESS = "less"
    MORE = "more"
    NOT_SHOWN = "no change shown"
    NOTHING = "nothing to compare"


@dataclass(frozen=True, slots=True)
class Comparison:
    """The second count against the first, as a ratio with limits at ``confidence``.

    ``ratio`` and ``high`` are infinite where none was counted first; ``ratio`` is None where none
    was counted at all. ``low`` may be minus infinity and ``high`` infinite by Fieller's theorem:
    then the counts set no limit. ``index`` is the pooled index of dispersion, None for single
    fillings; ``degrees_of_freedom`` is what a widening rests on. ``method`` names how the limits
    were made.
    """

    first: int
    second: int
    ratio: float | None
    low: float
    high: float
    p_value: float
    confidence: float
    method: str
    index: float | None
    degrees_of_freedom: float = math.inf

    @property
    def answer(self) -> Answer:
        """What is shown at this confidence."""
        if self.ratio is None:
            return Answer.NOTHING
        if self.p_value > 1 - self.confidence or self.low <= 1 <= self.high:
            return Answer.NOT_SHOWN
        return Answer.LESS if self.ratio < 1 else Answer.MORE

    def as_json(self) -> dict[str, Any]:
        """Return the numbers for JSON; what is infinite or not defined is null."""
        return {
            "first": self.first,
            "second": self.second,
            "ratio": _finite(self.ratio),
            "low": _finite(self.low),
            "high": _finite(self.high),
            "p_value": self.p_value,
            "confidence": self.confidence,
            "method": self.method,
            "index": self.index,
            "answer": str(self.answer),
        }


def compare(
    first: Side, second: Side, confidence: float = 0.95, house: House | None = None
) -> Comparison:
    """Return what ``second`` is of ``first``: densities, or totals, as their scales say.

    ``house`` is how fillings scattered in earlier samples (None: no history). Raises ValueError
    for a count below 0, a volume or scale not above 0, or no fillings.
    """
    own = _pooled(first, second)
    wider = _widening(own, house)
    if wider.widens and first.counted + second.counted:
        return _by_fieller(first, second, wider, confidence)
    exact = poisson_ratio(second.counted, second.weight, first.counted, first.weight, confidence)
    return Comparison(
        first=first.counted,
        second=second.counted,
        ratio=exact.ratio,
        low=exact.low,
        high=exact.high,
        p_value=exact.p_value,
        confidence=confidence,
        method=exact.method,
        index=None if own is None else own.index,
    )


def _pooled(first: Side, second: Side) -> Dispersion | None:
    """Return how the fillings scatter within each side, both together; None without replicates."""
    found = [dispersion(side.counts, side.volumes_ml) for side in (first, second)]
    replicated = [entry for entry in found if entry is not None]
    if not replicated:
        return None
    chi2 = math.fsum(entry.chi2 for entry in replicated)
    degrees = sum(entry.degrees_of_freedom for entry in replicated)
    too_few = all(entry.agreement is Agreement.TOO_FEW for entry in replicated)
    return Dispersion(
        index=chi2 / degrees,
        chi2=chi2,
        degrees_of_freedom=degrees,
        p_upper=float(chdtrc(degrees, chi2)),
        p_lower=float(chdtr(degrees, chi2)),
        agreement=Agreement.TOO_FEW if too_few else Agreement.CHANCE,
        expected=tuple(mean for entry in replicated for mean in entry.expected),
    )


def _widening(own: Dispersion | None, house: House | None) -> Widening:
    if is_known(house):
        return widening(own, house)
    if own is None or own.agreement is Agreement.TOO_FEW or own.p_upper >= WIDEN_BELOW:
        return CHANCE
    return Widening(max(1.0, own.index), own.degrees_of_freedom)


def _by_fieller(first: Side, second: Side, wider: Widening, confidence: float) -> Comparison:
    above, below = second.counted / second.weight, first.counted / first.weight
    variances = (
        wider.index * second.counted / second.weight**2,
        wider.index * first.counted / first.weight**2,
    )
    degrees = wider.degrees_of_freedom
    limits = fieller(above, below, *variances, confidence=confidence, degrees_of_freedom=degrees)
    t = abs(above - below) / math.sqrt(sum(variances))
    return Comparison(
        first=first.counted,
        second=second.counted,
        ratio=math.inf if limits.ratio is None else limits.ratio,
        low=max(0.0, limits.low) if limits.is_bounded else limits.low,
        high=limits.high,
        p_value=2.0 * float(stdtr(degrees, -t)),
        confidence=confidence,
        method=FIELLER,
        index=wider.index,
        degrees_of_freedom=degrees,
    )


def _finite(value: float | None) -> float | None:
    return value if value is not None and math.isfinite(value) else None
