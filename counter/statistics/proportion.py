"""Limits of a proportion and of the difference of two.

Wilson EB (1927), J. Am. Stat. Assoc. 22:209-212; Clopper CJ, Pearson ES (1934), Biometrika
26:404-413; Newcombe RG (1998), Stat. Med. 17:857-872 and 17:873-890.
"""

from __future__ import annotations

import math

from scipy.special import betaincinv, ndtri

from counter.statistics.interval import NOT_DEFINED, Interval, checked_confidence


def wilson(successes: float, total: float, confidence: float = 0.95) -> Interval:
    """Return the share with Wilson's score limits; not defined where ``total`` is 0.

    Both may be fractions: a sample whose members count for less than one each.
    Raises ValueError unless 0 ≤ ``successes`` ≤ ``total``.
    """
    if _checked(successes, total) == 0:
        return NOT_DEFINED
    z = _z(confidence)
    share = successes / total
    middle = share + z * z / (2 * total)
    half = z * math.sqrt(share * (1 - share) / total + (z / (2 * total)) ** 2)
    whole = 1 + z * z / total
    low = 0.0 if successes == 0 else (middle - half) / whole
    high = 1.0 if successes == total else (middle + half) / whole
    return Interval(share, low, high)


def clopper_pearson(successes: int, total: int, confidence: float = 0.95) -> Interval:
    """Return the share with the exact limits of the binomial; see :func:`wilson`."""
    if _checked(successes, total) == 0:
        return NOT_DEFINED
    tail = (1 - checked_confidence(confidence)) / 2
    failures = total - successes
    low = 0.0 if successes == 0 else float(betaincinv(successes, failures + 1, tail))
    high = 1.0 if failures == 0 else float(betaincinv(successes + 1, failures, 1 - tail))
    return Interval(successes / total, low, high)


def newcombe_difference(
    first: tuple[int, int], second: tuple[int, int], confidence: float = 0.95
) -> Interval:
    """Return share of ``first`` (successes, total) - share of ``second`` with hybrid score limits.

    Newcombe 1998b, method 10. Not defined where either total is 0.
    """
    one, two = wilson(*first, confidence), wilson(*second, confidence)
    if one.value is None or one.low is None or one.high is None:
        return NOT_DEFINED
    if two.value is None or two.low is None or two.high is None:
        return NOT_DEFINED
    difference = one.value - two.value
    below = math.hypot(one.value - one.low, two.high - two.value)
    above = math.hypot(one.high - one.value, two.value - two.low)
    return Interval(difference, difference - below, difference + above)


def _checked(successes: float, total: float) -> float:
    if not 0 <= successes <= total:
        raise ValueError(f"{successes} of {total} is not a proportion")
    return total


def _z(confidence: float) -> float:
    return float(ndtri((1 + checked_confidence(confidence)) / 2))
