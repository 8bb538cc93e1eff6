"""How many more to count for limits of ± so many percent, and what is the cheaper way there.

Fillings that scatter more than chance allows carry a variance of their own: with k fillings of m
counted each the relative variance of the mean is 1/(k·m) + b/k, b = (index - 1)/m. More squares of
the same fillings shrink only the first part. The number of squares in a filling that costs least
is √(c_f·(1/λ)/(c_s·b)) with λ larvae a square, c_f minutes to load a filling and c_s to count a
square: sampling in two stages, Cochran WG (1977), Sampling Techniques, chapter 10 (from memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from counter.statistics.fieller import two_sided_t
from counter.statistics.precision import (
    MOST_COUNTED,
    checked_precision,
    counted_for,
    normal_quantile,
    precision_of,
)


@dataclass(frozen=True, slots=True)
class Minutes:
    """The cost model: minutes to load, settle and clean one filling, and to count one square."""

    per_filling: float
    per_square: float


@dataclass(frozen=True, slots=True)
class Done:
    """What was counted so far, in fillings of equal size.

    ``squares`` is how many squares were looked through in all, None where squares are not counted.
    ``index`` is the variance in times that of chance, 1 where nothing says otherwise, and
    ``degrees_of_freedom`` what that rests on: Student's t widens for it, less with every filling
    more; ``clumped`` says that it rests on these fillings alone. ``fixed`` is the relative standard
    uncertainty that counting does not shrink: that of the volumes.
    """

    counted: int
    volume_ml: float
    fillings: int
    squares: int | None = None
    index: float = 1.0
    degrees_of_freedom: float = math.inf
    fixed: float = 0.0
    clumped: bool = False

    @property
    def per_filling(self) -> float:
        """How many were counted in a filling, on average."""
        return self.counted / self.fillings

    @property
    def between(self) -> float:
        """The relative variance from filling to filling, b."""
        return max(0.0, self.index - 1) / self.per_filling

    def allowance(self, more_fillings: int, confidence: float) -> float:
        """Student's t over the normal quantile, once so many fillings more are counted."""
        degrees = self.degrees_of_freedom + more_fillings
        return two_sided_t(confidence, degrees) / normal_quantile(confidence)

    def index_with(self, more_fillings: int, confidence: float) -> float:
        """The index with Student's allowance, once so many fillings more are counted."""
        return max(1.0, self.index) * self.allowance(more_fillings, confidence) ** 2

    def clumped_with(self, more_fillings: int, confidence: float) -> float:
        """How far the upper limit goes out for clumps then (:func:`~.poisson.clumped_garwood`)."""
        return 1.0 / self.allowance(more_fillings, confidence) if self.clumped else 0.0


@dataclass(frozen=True, slots=True)
class Effort:
    """What it takes to reach ± ``precision`` from ± ``now``.

    ``more_larvae``, ``more_ml`` and ``more_squares`` go on in fillings like these;
    ``more_fillings`` is how many of them that is, rounded up. ``squares_in_these`` is how many
    squares would do in the fillings that are loaded already; None where no number of them would,
    or squares are not counted. All are None where nobody could count that many. ``minutes_*`` are
    None without a cost model. ``volumes_forbid``: no count at all would do.
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
    volumes_forbid: bool = False

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
    z = normal_quantile(confidence)
    left = checked_precision(precision) ** 2 - (z * done.fixed) ** 2
    aim = math.sqrt(left) if left > 0 else None
    fillings = None if aim is None else _fillings(done, aim, confidence)
    more = None
    if aim is not None and fillings is not None:
        index = done.index_with(fillings, confidence)
        clumped = done.clumped_with(fillings, confidence)
        needed = counted_for(aim, confidence, index, clumped=clumped)
        more = None if needed is None else max(0, needed - done.counted)
    per_ml = done.counted / done.volume_ml
    squares = None if more is None else _squares(more, done)
    here = None if aim is None else _squares_in_these(done, aim, confidence)
    index = done.index_with(0, confidence)
    now = precision_of(done.counted, confidence, index, clumped=done.clumped_with(0, confidence))
    return Effort(
        precision=precision,
        now=math.hypot(now, z * done.fixed),
        more_larvae=more,
        more_ml=None if more is None else more / per_ml,
        more_fillings=fillings,
        more_squares=squares,
        squares_in_these=here,
        minutes_fillings=_minutes_of_fillings(fillings, done, minutes),
        minutes_squares=None if minutes is None or here is None else here * minutes.per_square,
        best_squares_per_filling=_best_squares(done, minutes),
        volumes_forbid=aim is None,
    )


def _fillings(done: Done, aim: float, confidence: float) -> int | None:
    """Return how many fillings like these must follow; None where nobody counts as many."""

    def is_enough(fillings: int) -> bool:
        counted = round(done.counted + fillings * done.per_filling)
        index = done.index_with(fillings, confidence)
        clumped = done.clumped_with(fillings, confidence)
        return precision_of(counted, confidence, index, clumped=clumped) <= aim

    low, high = -1, 0
    while not is_enough(high):
        low, high = high, 2 * high + 1
        if high * done.per_filling > MOST_COUNTED:
            return None
    while high - low > 1:
        middle = (low + high) // 2
        low, high = (low, middle) if is_enough(middle) else (middle, high)
    return high


def _squares(more: float, done: Done) -> int | None:
    return None if not done.squares else math.ceil(more * done.squares / done.counted)


def _squares_in_these(done: Done, precision: float, confidence: float) -> int | None:
    """Return how many more squares of the same fillings would do, by the budget 1/n + b/k."""
    left = (precision / normal_quantile(confidence)) ** 2 - done.between / done.fillings
    if left <= 0:
        return None
    needed = counted_for(normal_quantile(confidence) * math.sqrt(left), confidence)
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
