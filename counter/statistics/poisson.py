"""Exact limits of a Poisson count.

Garwood F (1936), Fiducial limits for the Poisson distribution. Biometrika 28:437-442. The limits
are chi² quantiles, L = χ²(α/2; 2n)/2 and U = χ²(1 - α/2; 2n + 2)/2, here taken from the inverse of
the incomplete gamma function, which is the same number.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.special import gammainc, gammainccinv, gammaincinv, ndtri

from counter.statistics.interval import checked_confidence


def garwood(count: float, confidence: float = 0.95) -> tuple[float, float]:
    """Return the exact two-sided limits of the mean of which ``count`` was seen.

    The lower limit of 0 is 0. ``count`` may be a fraction (an effective count). Raises ValueError
    for a count below 0 or not finite, and for a confidence outside (0, 1).
    """
    if not 0 <= count < math.inf:
        raise ValueError("a count must be finite and not below 0")
    tail = (1.0 - checked_confidence(confidence)) / 2.0
    low = float(gammaincinv(count, tail)) if count > 0 else 0.0
    return low, float(gammainccinv(count + 1.0, tail))


def scaled_garwood(
    count: float, index: float, confidence: float = 0.95, step: float = 1.0
) -> tuple[float, float]:
    """Return limits of ``count`` whose variance is ``index`` (above 0) times that of chance.

    Quasi-Poisson: count/index is taken as a Poisson count and its exact limits are multiplied by
    ``index``. For large counts that multiplies the standard error by √index; unlike a symmetric
    interval it never goes below 0. What is counted goes up in a ``step`` of one, not of ``index``:
    the lower limit is that of count/index + (1 - step/index)/2, though never above the exact one
    (by simulation, tests/benchmarks/coverage.py). McCullagh P, Nelder JA (1989), Generalized Linear
    Models, section 6.2 (from memory). How uncertain the index itself is: :mod:`.scatter`.
    """
    if not 0 < index < math.inf:
        raise ValueError(f"an index of dispersion of {index!r} widens nothing")
    low, high = garwood(count / index, confidence)
    if count == 0 or index <= step:
        return index * low, index * high
    tail = (1.0 - confidence) / 2.0
    raised = index * float(gammaincinv(count / index + (1.0 - step / index) / 2.0, tail))
    return min(raised, step * garwood(count / step, confidence)[0]), index * high


def clumped_garwood(
    count: float,
    index: float,
    confidence: float = 0.95,
    step: float = 1.0,
    *,
    clumped: float,
    without: float = 1.0,
) -> tuple[float, float]:
    """Return :func:`scaled_garwood`, the upper limit further out where clumps make the variance.

    Without clumps the variance would be ``without`` times that of chance, with them ``index``.
    Clumps scatter more the more there are: the variance of the negative binomial grows with the
    square of the mean, and its limits lie evenly about the count on the log scale. Who counts few
    of what is clumped sees it scatter little too. So the upper limit goes from the quasi-Poisson
    one towards the mirror image of the lower one on that scale (:func:`clump_image`), by
    ``clumped`` (0 to 1: the less, the more Student's t allows for already) × (1 - (without ÷
    index)^1.5). The image is that of z² × ``index`` bodies where fewer are counted, and is gone to
    in proportion below half of them, so that the limit never falls as the count grows. The power is
    our own choice, by simulation (tests/benchmarks/coverage.py).
    """
    low, high = scaled_garwood(count, index, confidence, step)
    if not clumped or count == 0 or index <= without:
        return low, high
    image = clump_image(count, index, confidence, step)
    part = clumped * (1.0 - (without / index) ** 1.5) * min(1.0, 2.0 * count / image.reach)
    return low, max(high, high ** (1.0 - part) * image.mirror**part)


@dataclass(frozen=True, slots=True)
class ClumpImage:
    """The ``mirror`` image of the lower limit of ``of`` bodies, ``of``² ÷ that limit.

    ``reach`` is how many must be counted for a lower limit to be more than next to nothing.
    """

    reach: float
    of: float
    mirror: float


def clump_image(
    count: float, index: float, confidence: float = 0.95, step: float = 1.0
) -> ClumpImage:
    """Return what :func:`clumped_garwood` draws the upper limit towards."""
    z = float(ndtri((1.0 + checked_confidence(confidence)) / 2.0))
    reach = max(1.0, z * z) * index
    of = max(count, reach)
    return ClumpImage(reach, of, of**2 / scaled_garwood(of, index, confidence, step)[0])


def one_sided_upper(count: int, confidence: float = 0.95) -> float:
    """Return the one-sided upper limit: for a count of 0, -ln(1 - confidence)."""
    return float(gammainccinv(count + 1.0, 1.0 - checked_confidence(confidence)))


def mid_p(count: int, confidence: float = 0.95) -> tuple[float, float]:
    """Return the mid-P limits of a Poisson mean of which ``count`` was seen.

    Half the probability of the count itself is left out of each tail: shorter than Garwood's, they
    hold the truth as often as they say on average, not always. Lancaster HO (1961), J. Am. Stat.
    Assoc. 56:223-234 (from memory). The lower limit of 0 is 0.
    """
    low, high = garwood(count, confidence)
    tail = (1.0 - confidence) / 2.0

    def above(mean: float) -> float:
        """P(more than count) + P(count)/2: grows with the mean."""
        at_least = float(gammainc(count, mean)) if count else 1.0
        return (at_least + float(gammainc(count + 1.0, mean))) / 2.0

    from scipy.optimize import brentq  # late: slow to load, and nothing else here needs it

    lower = float(brentq(lambda mean: above(mean) - tail, low, count)) if count else 0.0
    return lower, float(brentq(lambda mean: 1.0 - above(mean) - tail, count + 1e-12, high))
