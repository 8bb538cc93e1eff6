"""How many more to count for limits of ± so many percent, and what is the cheaper way there.

The precision of a count is half the width of its limits over the count. By the normal rule it is
z·√(index/n), which Lund, Kipling and Le Cren (1958), Hydrobiologia 11:143-170, print as 2/√n; here
it is taken from the limits that are shown (Garwood's, or the widened ones), so that a promise of
±10 % is kept by the limits that come out.

Fillings that scatter more than chance allows carry a variance of their own: with k fillings of m
counted each the relative variance of the mean is 1/(k·m) + b/k, b = (index - 1)/m. More squares of
the same fillings shrink only the first part. The number of squares in a filling that costs least
is √(c_f·(1/λ)/(c_s·b)) with λ larvae a square, c_f minutes to load a filling and c_s to count a
square: sampling in two stages, Cochran WG (1977), Sampling Techniques, chapter 10 (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.special import gammaincinv, ndtri

from counter.statistics.interval import Interval, checked_confidence
from counter.statistics.poisson import scaled_garwood

MOST_COUNTED = 100_000_000
"""Nobody counts more than this for a narrower limit."""


def lund_precision(count: int) -> float:
    """Return 2/√count, the rule of Lund, Kipling and Le Cren; infinite for a count of 0."""
    return 2.0 / math.sqrt(count) if count > 0 else math.inf


def precision_of(count: int, confidence: float = 0.95, index: float = 1.0) -> float:
    """Return half the width of the limits of ``count`` over it; infinite for a count of 0.

    ``index`` (above 0) is the variance in times that of chance.
    """
    if count == 0:
        return math.inf
    low, high = scaled_garwood(count, index, confidence)
    return (high - low) / (2 * count)


def counted_by_rule(precision: float, confidence: float = 0.95) -> float:
    """Return (z/precision)², the count of the normal rule for limits of ± ``precision``."""
    return (_z(confidence) / _checked(precision)) ** 2


def counted_for(precision: float, confidence: float = 0.95, index: float = 1.0) -> int | None:
    """Return the smallest count whose limits are within ± ``precision`` (0.1: ±10 %).

    None where that is more than anybody counts. Raises ValueError unless ``precision`` is above 0.
    """
    low, high = 0, 1
    while precision_of(high, confidence, index) > _checked(precision):
        low, high = high, 2 * high
        if high > MOST_COUNTED:
            return None
    while high - low > 1:
        middle = (low + high) // 2
        if precision_of(middle, confidence, index) > precision:
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
    both = _z(confidence) + float(ndtri(power))
    return index * both**2 * (1 + 1 / (1 - loss)) / math.log(1 - loss) ** 2


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


@dataclass(frozen=True, slots=True)
class Minutes:
    """The cost model: minutes to load, settle and clean one filling, and to count one square."""

    per_filling: float
    per_square: float


@dataclass(frozen=True, slots=True)
class Done:
    """What was counted so far, in fillings of equal size.

    ``squares`` is how many squares were looked through in all, None where squares are not counted.
    ``index`` is the index of dispersion of the fillings, 1 where nothing says otherwise.
    """

    counted: int
    volume_ml: float
    fillings: int
    squares: int | None = None
    index: float = 1.0

    @property
    def per_filling(self) -> float:
        """How many were counted in a filling, on average."""
        return self.counted / self.fillings

    @property
    def between(self) -> float:
        """The relative variance from filling to filling, b."""
        return max(0.0, self.index - 1) / self.per_filling


@dataclass(frozen=True, slots=True)
class Effort:
    """What it takes to reach ± ``precision`` from ± ``now``.

    ``more_larvae``, ``more_ml`` and ``more_squares`` go on in fillings like these;
    ``more_fillings`` is how many of them that is, rounded up. ``squares_in_these`` is how many
    squares would do in the fillings that are loaded already; None where no number of them would,
    or squares are not counted. All are None where nobody could count that many. ``minutes_*`` are
    None without a cost model.
    """

    precision: float
    now: float
    more_larvae: int | None
    more_ml: float | None
    more_fillings: int | None
    more_squares: int | None
    squares_in_these: int | None
    minutes_fillings: float | None = None
    minutes_squares: float | None = None
    best_squares_per_filling: float | None = None

    @property
    def is_reached(self) -> bool:
        """Whether the limits are as narrow already."""
        return self.now <= self.precision


def effort(
    done: Done, precision: float = 0.1, confidence: float = 0.95, minutes: Minutes | None = None
) -> Effort | None:
    """Return what it takes to reach ± ``precision``; None while none was counted.

    Fillings are at most as even as chance: an ``index`` below 1 counts as 1.
    """
    if done.counted == 0 or done.fillings == 0 or not done.volume_ml > 0:
        return None
    index = max(1.0, done.index)
    needed = counted_for(precision, confidence, index)
    more = None if needed is None else max(0, needed - done.counted)
    per_ml = done.counted / done.volume_ml
    fillings = None if more is None else math.ceil(more / done.per_filling)
    squares = None if more is None else _squares(more, done)
    here = _squares_in_these(done, precision, confidence)
    return Effort(
        precision=precision,
        now=precision_of(done.counted, confidence, index),
        more_larvae=more,
        more_ml=None if more is None else more / per_ml,
        more_fillings=fillings,
        more_squares=squares,
        squares_in_these=here,
        minutes_fillings=_minutes_of_fillings(fillings, done, minutes),
        minutes_squares=None if minutes is None or here is None else here * minutes.per_square,
        best_squares_per_filling=_best_squares(done, minutes),
    )


def _squares(more: float, done: Done) -> int | None:
    return None if not done.squares else math.ceil(more * done.squares / done.counted)


def _squares_in_these(done: Done, precision: float, confidence: float) -> int | None:
    """Return how many more squares of the same fillings would do, by the budget 1/n + b/k."""
    left = (precision / _z(confidence)) ** 2 - done.between / done.fillings
    if left <= 0:
        return None
    needed = counted_for(_z(confidence) * math.sqrt(left), confidence)
    return None if needed is None else _squares(max(0, needed - done.counted), done)


def _minutes_of_fillings(fillings: int | None, done: Done, minutes: Minutes | None) -> float | None:
    if fillings is None or minutes is None:
        return None
    squares = (done.squares or 0) / done.fillings
    return fillings * (minutes.per_filling + squares * minutes.per_square)


def _best_squares(done: Done, minutes: Minutes | None) -> float | None:
    """Return the squares in a filling that cost least; None where fillings do not differ."""
    if minutes is None or not done.squares or not done.between or not minutes.per_square:
        return None
    per_square = done.counted / done.squares
    best = minutes.per_filling / (minutes.per_square * per_square * done.between)
    return max(1.0, math.sqrt(best))


def _checked(precision: float) -> float:
    if not precision > 0:
        raise ValueError(f"limits of ±{precision!r} cannot be reached by counting")
    return precision


def _z(confidence: float) -> float:
    return float(ndtri((1 + checked_confidence(confidence)) / 2))
