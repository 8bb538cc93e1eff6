"""The ratio of two densities that were counted.

Given their sum, the first count is binomial with p = R·t1/(R·t1 + t2), so that the exact limits of
Clopper and Pearson on p are exact limits of the ratio R. Przyborowski J, Wilenski H (1940),
Biometrika 31:313-323; Fay MP, vignette of the R package rateratio.test.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.special import bdtr, bdtrc, gammaln

from counter.statistics.proportion import clopper_pearson

METHOD = "poisson-exact-conditional"


@dataclass(frozen=True, slots=True)
class PoissonRatio:
    """A ratio with exact limits and the p value (twice the smaller tail) of its being 1.

    ``ratio`` and ``high`` are infinite where the second count is 0; ``ratio`` is None where both
    are: then nothing is known (limits 0 to infinity, p 1).
    """

    ratio: float | None
    low: float
    high: float
    p_value: float
    method: str = METHOD


def poisson_ratio(
    first_count: int,
    first_volume: float,
    second_count: int,
    second_volume: float,
    confidence: float = 0.95,
) -> PoissonRatio:
    """Return (first_count/first_volume) / (second_count/second_volume) with its exact limits.

    The volumes share one unit and are above 0. Raises ValueError otherwise, and for counts below 0.
    """
    if min(first_count, second_count) < 0:
        raise ValueError("a count must not be below 0")
    if not (0 < first_volume < math.inf and 0 < second_volume < math.inf):
        raise ValueError("a volume must be above 0")
    total = first_count + second_count
    share = clopper_pearson(first_count, total, confidence)
    if share.low is None or share.high is None:
        return PoissonRatio(None, 0.0, math.inf, 1.0)
    turn = second_volume / first_volume
    return PoissonRatio(
        ratio=_odds(first_count, second_count) * turn,
        low=_odds(share.low, 1 - share.low) * turn,
        high=_odds(share.high, 1 - share.high) * turn,
        p_value=_twice_smaller_tail(first_count, total, first_volume, second_volume),
    )


def minimum_likelihood_p(
    first_count: int, first_volume: float, second_count: int, second_volume: float
) -> float:
    """Return the other p value in use: of all outcomes no likelier than the one seen.

    It belongs to the same hypothesis (a ratio of 1) as the p value of :func:`poisson_ratio`, but
    sums both tails by their likelihood, as the R function poisson.test does; so it may be smaller
    than twice the smaller tail and disagree with the exact limits. It is here so that a number
    from elsewhere can be checked; what the program says rests on :attr:`PoissonRatio.p_value`.
    1 where both counts are 0.
    """
    if min(first_count, second_count) < 0:
        raise ValueError("a count must not be below 0")
    if not (0 < first_volume < math.inf and 0 < second_volume < math.inf):
        raise ValueError("a volume must be above 0")
    total, share = first_count + second_count, first_volume / (first_volume + second_volume)
    if first_count > total * share:  # mirrored, so that what was seen lies below what is expected
        first_count, share = second_count, 1 - share
    most = _log_likelihood(first_count, total, share) + 1e-7
    low, high = math.floor((total + 1) * share) + 1, total + 1
    while low < high:  # the likelihood falls above its peak: find where it is low enough
        middle = (low + high) // 2
        if _log_likelihood(middle, total, share) <= most:
            high = middle
        else:
            low = middle + 1
    below = float(bdtr(first_count, total, share))
    above = float(bdtrc(low - 1, total, share)) if low <= total else 0.0
    at_peak = most >= _log_likelihood(min(total, math.floor((total + 1) * share)), total, share)
    return 1.0 if at_peak else min(1.0, below + above)


def _log_likelihood(count: int, total: int, share: float) -> float:
    ways = gammaln(total + 1) - gammaln(count + 1) - gammaln(total - count + 1)
    return float(ways) + count * math.log(share) + (total - count) * math.log1p(-share)


def _odds(part: float, rest: float) -> float:
    return part / rest if rest > 0 else math.inf


def _twice_smaller_tail(count: int, total: int, first: float, second: float) -> float:
    expected = first / (first + second)
    at_most = float(bdtr(count, total, expected))
    at_least = float(bdtrc(count - 1, total, expected)) if count else 1.0
    return min(1.0, 2.0 * min(at_most, at_least))
