"""What the volumes add to the uncertainty of a total.

total = count ÷ (fillings × chamber or pipette) × dilution × vessel: a product, so that the squares
of the relative standard uncertainties add (JCGM 100:2008, 5.1.6). Limits are combined on the log
scale, each side for itself: the distance of the count's exact limit and that of the volumes add by
their squares, so that no limit goes below 0. :func:`monte_carlo` propagates whole distributions
with seeded draws as a check (JCGM 101:2008).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.special import ndtri

from counter.domain.uncertainty import VolumeUncertainty
from counter.statistics.interval import checked_confidence

FINITE_FROM = 0.05
"""Less than this share of the vessel looked through leaves the limits as they are."""
COUNT = "count"
DRAWS = 100_000
SEED = 101


@dataclass(frozen=True, slots=True)
class BudgetLine:
    """One part of the uncertainty: relative standard uncertainty, and its share of the variance."""

    part: str
    relative: float
    share: float

    def as_json(self) -> dict[str, Any]:
        """Return the entry of ``budget`` in the JSON that the command line writes."""
        return {"part": self.part, "relative": self.relative, "share": self.share}


def each_averaged(pipette_each: float, volumes_ml: Sequence[float]) -> float:
    """Return what is left of an uncertainty from stroke to stroke in a sum of volumes."""
    whole = math.fsum(volumes_ml)
    if not whole:
        return 0.0
    return pipette_each * math.sqrt(math.fsum(v * v for v in volumes_ml)) / whole


def density_relative(volumes: VolumeUncertainty, volumes_ml: Sequence[float]) -> float:
    """Return the relative standard uncertainty that the volumes give the density."""
    each = each_averaged(volumes.pipette_each, volumes_ml)
    return math.hypot(volumes.chamber, volumes.pipette, each, volumes.dilution)


def budget(
    count_relative: float, volumes: VolumeUncertainty, volumes_ml: Sequence[float], *, vessel: bool
) -> tuple[BudgetLine, ...]:
    """Return which part matters how much, the largest first; parts of 0 are left out.

    ``count_relative`` is √index ÷ √count. ``vessel``: whether there is a total, which the vessel's
    volume goes into.
    """
    parts = {
        COUNT: count_relative,
        "chamber": volumes.chamber,
        "pipette": volumes.pipette,
        "pipette, stroke to stroke": each_averaged(volumes.pipette_each, volumes_ml),
        "dilution": volumes.dilution,
        "vessel": volumes.vessel if vessel else 0.0,
    }
    given = {name: part for name, part in parts.items() if part > 0}
    whole = math.fsum(part * part for part in given.values())
    lines = [BudgetLine(name, part, part * part / whole) for name, part in given.items()]
    return tuple(sorted(lines, key=lambda line: -line.relative))


def combined(lines: Sequence[BudgetLine]) -> float:
    """Return the relative standard uncertainty of all parts together."""
    return math.hypot(*(line.relative for line in lines))


def finite_factor(share: float) -> float:
    """Return √(1 - share) when a ``share`` (0 to 1) of all there is was looked through.

    What was looked through is known, only the rest is not: the standard error shrinks by this.
    1 for a share under :data:`FINITE_FROM`, and over 1 (then a volume is wrong).
    """
    return math.sqrt(1.0 - share) if FINITE_FROM <= share <= 1.0 else 1.0


def widened(
    value: float,
    limits: tuple[float, float],
    relative: float,
    confidence: float,
    *,
    finite: float = 1.0,
    least: float = 1.0,
) -> tuple[float, float]:
    """Return the ``limits`` of a count of ``value`` when volumes add ``relative`` uncertainty.

    ``finite`` (see :func:`finite_factor`) first draws the count's own limits together. For a
    ``value`` of 0 the distance of the upper limit is measured from ``least``. A large uncertainty
    counts for (1 + its square) times as much, since an error that is normal, above or below the
    fraction line, is longer on one side than on the log scale (tests/benchmarks/coverage.py).
    """
    low, high = limits
    if relative == 0.0 and finite == 1.0:
        return low, high
    normal = float(ndtri((1.0 + checked_confidence(confidence)) / 2.0))
    also = normal * relative * (1.0 + relative**2)
    up = math.log(high / max(value, least)) if value < least else math.log(high / value)
    above = max(value, least) * math.exp(math.hypot(up * finite, also))
    if low <= 0.0:
        return 0.0, above
    return value * math.exp(-math.hypot(math.log(value / low) * finite, also)), above


def monte_carlo(
    value: float,
    index: float,
    volumes: VolumeUncertainty,
    volumes_ml: Sequence[float],
    confidence: float = 0.95,
    *,
    vessel: bool = True,
    seed: int = SEED,
    draws: int = DRAWS,
) -> tuple[float, float]:
    """Return the limits of a count of ``value`` by ``draws`` seeded draws of count and volumes.

    The count is drawn from a gamma distribution (that of Jeffreys for a Poisson mean, its variance
    ``index`` times that of chance), each volume from a normal one. The same seed gives the same
    limits.
    """
    random = np.random.default_rng(seed)
    drawn = random.gamma(value / index + 0.5, index, draws)
    each = each_averaged(volumes.pipette_each, volumes_ml)
    for relative in (volumes.chamber, volumes.pipette, each):
        drawn /= np.maximum(random.normal(1.0, relative, draws), 1e-3)
    for relative in (volumes.dilution, volumes.vessel if vessel else 0.0):
        drawn *= np.maximum(random.normal(1.0, relative, draws), 0.0)
    tail = (1.0 - checked_confidence(confidence)) / 2.0
    low, high = np.quantile(drawn, [tail, 1.0 - tail])
    return float(low), float(high)
