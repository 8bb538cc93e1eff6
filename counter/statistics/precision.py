"""How narrow the limits of a count are, and how many must be counted for them to be narrow.

The precision of a count is half the width of its limits over the count. By the normal rule it is
z·√(index/n), which Lund, Kipling and Le Cren (1958), Hydrobiologia 11:143-170, print as 2/√n; here
it is taken from the limits that are shown (Garwood's, or the widened ones), so that a promise of
±10 % is kept by the limits that come out.
"""

from __future__ import annotations

import math

from scipy.special import gammaincinv, ndtri

from counter.statistics.interval import Interval, checked_confidence
from counter.statistics.poisson import clumped_garwood

MOST_COUNTED = 100_000_000
"""Nobody counts more than this for a narrower limit."""


def lund_precision(count: int) -> float:
    """Return 2/√count, the rule of Lund, Kipling and Le Cren; infinite for a count of 0."""
    return 2.0 / math.sqrt(count) if count > 0 else math.inf


def precision_of(
    count: int, confidence: float = 0.95, index: float = 1.0, *, clumped: float = 0.0
) -> float:
    """Return half the width of the limits of ``count`` over it; infinite for a count of 0.

    ``index`` (above 0) is the variance in times that of chance, ``clumped`` how far the upper limit
    goes out for clumps (:func:`~.poisson.clumped_garwood`).
    """
    if count == 0:
        return math.inf
    low, high = clumped_garwood(count, index, confidence, clumped=clumped)
    return (high - low) / (2 * count)


def counted_by_rule(precision: float, confidence: float = 0.95) -> float:
    """Return (z/precision)², the count of the normal rule for limits of ± ``precision``."""
    return (normal_quantile(confidence) / checked_precision(precision)) ** 2


def counted_for(
    precision: float, confidence: float = 0.95, index: float = 1.0, *, clumped: float = 0.0
) -> int | None:
    """Return the smallest count whose limits are within ± ``precision`` (0.1: ±10 %).

    None where that is more than anybody counts. Raises ValueError unless ``precision`` is above 0.
    """
    low, high = 0, 1
    while precision_of(high, confidence, index, clumped=clumped) > checked_precision(precision):
        low, high = high, 2 * high
        if high > MOST_COUNTED:
            return None
    while high - low > 1:
        middle = (low + high) // 2
        if precision_of(middle, confidence, index, clumped=clumped) > precision:
            low = middle
        else:
            high = middle
    return high


def counted_to_show(
    loss: float, confidence: float = 0.95, power: float = 0.8, index: float = 1.0
) -> float:
    """Return how many must be counted first so that a ``loss`` (0 to 1) is seen after.

    By the normal approximation on the log ratio: index·(z + z_power)²·(1 + 1/(1 - loss))/ln²(1 -
    loss), ``power`` being the probability of seeing it.
    """
    if not 0 < loss < 1:
        raise ValueError(f"a loss of {loss!r} is not between 0 and 1")
    both = normal_quantile(confidence) + float(ndtri(power))
    return index * both**2 * (1 + 1 / (1 - loss)) / math.log(1 - loss) ** 2


def seen_to_show(
    difference: float, share: float, confidence: float = 0.95, power: float = 0.8
) -> float:
    """Return how many must be looked at on each side so that a ``difference`` of shares is seen.

    By the normal approximation: (z + z_power)²·(p₁(1 - p₁) + p₂(1 - p₂))/difference², the two
    shares lying on either side of ``share`` as far as 0 and 1 leave room. Fleiss JL (1981),
    Statistical Methods for Rates and Proportions, chapter 3 (from memory), without the pooled
    variance under no difference.
    """
    if not 0 < difference < 1:
        raise ValueError(f"a difference of {difference!r} is not between 0 and 1")
    middle = min(max(share, difference / 2), 1 - difference / 2)
    ends = (middle - difference / 2, middle + difference / 2)
    both = normal_quantile(confidence) + float(ndtri(power))
    return both**2 * sum(end * (1 - end) for end in ends) / difference**2


def inverse_sampling(count: int, volume_ml: float, confidence: float = 0.95) -> Interval:
    """Return the density per mL where it was counted until the ``count``-th was met.

    ``volume_ml`` reaches up to that one. (count - 1)/volume does not favour either side, whereas
    count/volume is too high; the limits χ²(2·count)/(2·volume) are exact. Haldane JBS (1945),
    Biometrika 33:222-225, for proportions; for a Poisson process the volume is a gamma variable.
    Raises ValueError for a count below 2 or a volume not above 0.
    """
    if count < 2 or not 0 < volume_ml < math.inf:
        raise ValueError("counting until a number takes 2 or more and a volume above 0")
    tail = (1 - checked_confidence(confidence)) / 2
    low, high = (float(gammaincinv(count, share)) / volume_ml for share in (tail, 1 - tail))
    return Interval((count - 1) / volume_ml, low, high)


def measured_for(sd_um: float, plus_minus_um: float, confidence: float = 0.95) -> float:
    """Return how many lengths give their mean to ± ``plus_minus_um``: (z·sd/±)².

    Raises ValueError unless both are above 0.
    """
    if not (0 < sd_um < math.inf and 0 < plus_minus_um < math.inf):
        raise ValueError("a scatter and a precision must be above 0")
    return (normal_quantile(confidence) * sd_um / plus_minus_um) ** 2


def checked_precision(precision: float) -> float:
    """Return ``precision`` if it is above 0; ValueError otherwise."""
    if not precision > 0:
        raise ValueError(f"limits of ±{precision!r} cannot be reached by counting")
    return precision


def normal_quantile(confidence: float) -> float:
    """Return z, the two-sided quantile of the normal distribution."""
    return float(ndtri((1 + checked_confidence(confidence)) / 2))
