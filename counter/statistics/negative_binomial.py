"""The negative binomial distribution, for counts that are clumped: variance = m + m²/k.

Fitted by maximum likelihood. Bliss CI, Fisher RA (1953), Fitting the negative binomial
distribution to biological data, Biometrics 9:176-200. The smaller k, the more clumped; an infinite
k is chance.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import digamma, gammaln

LARGEST_K = 1e7
SMALLEST_K = 1e-6


@dataclass(frozen=True, slots=True)
class NegativeBinomial:
    """``mean`` and ``k`` (infinite: the counts scatter no more than chance), log-likelihood."""

    mean: float
    k: float
    log_likelihood: float

    def probability(self, count: int) -> float:
        """Return the probability of ``count``."""
        return math.exp(_log_probability(count, self.mean, self.k))


def fit(counts: Sequence[int]) -> NegativeBinomial | None:
    """Return the most likely distribution of ``counts`` (0 or more, of equal volumes).

    None where there is nothing to fit: fewer than two counts, or none counted.
    """
    if len(counts) < 2 or sum(counts) == 0:
        return None
    times = Counter(counts)
    seen = np.fromiter(times.keys(), dtype=np.float64)
    weight = np.fromiter(times.values(), dtype=np.float64)
    mean = float(weight @ seen / weight.sum())

    def slope(log_k: float) -> float:
        """The derivative of the log-likelihood by k: positive while k is too small."""
        k = math.exp(log_k)
        terms = digamma(seen + k) - digamma(k)
        return float(weight @ terms) - float(weight.sum()) * math.log1p(mean / k)

    variance = float(weight @ (seen - mean) ** 2 / weight.sum())
    if variance <= mean or slope(math.log(LARGEST_K)) >= 0:
        k = math.inf
    else:
        from scipy.optimize import brentq  # late: slow to load, and seldom needed

        k = math.exp(brentq(slope, math.log(SMALLEST_K), math.log(LARGEST_K), xtol=1e-12))
    likelihood = sum(n * _log_probability(c, mean, k) for c, n in times.items())
    return NegativeBinomial(mean, k, likelihood)


def moment_k(counts: Sequence[int], *, divisor_n: bool = False) -> float:
    """Return k from mean and variance, m²/(s² - m); infinite where s² does not exceed m.

    ``divisor_n`` divides the squares by n, as Student did, instead of n - 1.
    """
    values = np.asarray(counts, dtype=np.float64)
    mean = float(values.mean())
    excess = float(values.var(ddof=0 if divisor_n else 1)) - mean
    return mean * mean / excess if excess > 0 else math.inf


def _log_probability(count: int, mean: float, k: float) -> float:
    if math.isinf(k):
        return count * math.log(mean) - mean - math.lgamma(count + 1)
    shared = float(gammaln(count + k) - gammaln(k)) - math.lgamma(count + 1)
    return shared - k * math.log1p(mean / k) + count * math.log(mean / (mean + k))
