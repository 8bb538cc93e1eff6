"""Limits of a ratio of two numbers, each with a variance: Fieller's theorem.

Fieller EC (1954), Some problems in interval estimation. J. R. Stat. Soc. B 16:175-185. With
g = t²·v22/b² the limits of r = a/b are
[r - g·v12/v22 ± (t/b)·√(v11 - 2·r·v12 + r²·v22 - g·(v11 - v12²/v22))]/(1 - g). They are the
ratios R for which a - R·b does not differ from 0. Where the lower number itself may be 0 (g ≥ 1)
no finite limits exist, and that is what is returned: never a pair that looks like limits.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.special import ndtri, stdtrit

from counter.statistics.interval import checked_confidence


@dataclass(frozen=True, slots=True)
class FiellerRatio:
    """A ratio with limits; ``g`` says how well the lower number is known (0: exactly).

    ``is_bounded`` is False from g = 1 on; then ``low`` is minus infinity and ``high`` infinity,
    and ``ratio`` is None where the lower number is 0.
    """

    ratio: float | None
    low: float
    high: float
    g: float

    @property
    def is_bounded(self) -> bool:
        """Whether there are limits at all."""
        return self.g < 1


def fieller(
    upper: float,
    lower: float,
    upper_variance: float,
    lower_variance: float,
    *,
    covariance: float = 0.0,
    confidence: float = 0.95,
    degrees_of_freedom: float = math.inf,
) -> FiellerRatio:
    """Return ``upper`` / ``lower`` with Fieller's limits.

    The variances (0 or more) are those of the two numbers themselves, in the square of one unit.
    ``degrees_of_freedom`` (above 0) of the variances widen the limits by Student's t. Raises
    ValueError for what cannot be a variance.
    """
    if not all(0 <= entry < math.inf for entry in (upper_variance, lower_variance)):
        raise ValueError("a variance must be finite and not below 0")
    if covariance**2 > upper_variance * lower_variance * (1 + 1e-12):
        raise ValueError("a covariance cannot exceed the variances")
    ratio = upper / lower if lower else None
    t = two_sided_t(confidence, degrees_of_freedom)
    g = t * t * lower_variance / lower**2 if lower else math.inf
    if g >= 1 or ratio is None:
        return FiellerRatio(ratio, -math.inf, math.inf, g)
    shared = covariance / lower_variance if lower_variance else 0.0
    middle = ratio - g * shared
    inside = upper_variance - 2 * ratio * covariance + ratio**2 * lower_variance
    inside -= g * (upper_variance - covariance * shared)
    half = t / abs(lower) * math.sqrt(max(0.0, inside))
    return FiellerRatio(ratio, (middle - half) / (1 - g), (middle + half) / (1 - g), g)


def two_sided_t(confidence: float, degrees_of_freedom: float = math.inf) -> float:
    """Return the quantile of Student's t (the normal one for infinite degrees of freedom)."""
    if not degrees_of_freedom > 0:
        raise ValueError("degrees of freedom must be above 0")
    level = (1 + checked_confidence(confidence)) / 2
    if math.isinf(degrees_of_freedom):
        return float(ndtri(level))
    return float(stdtrit(degrees_of_freedom, level))
