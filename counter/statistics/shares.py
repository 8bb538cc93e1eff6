"""Two shares against each other: fertilised, live, eyed or deformed, here and there.

The limits of the difference are Newcombe's (:func:`~.proportion.newcombe_difference`). They are
those of chance in which bodies are looked at: each share must come from well-mixed water.
"""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from counter.domain.rounding import for_people, whole_for_people
from counter.domain.share_entry import Share
from counter.statistics.cautions import percent
from counter.statistics.comparison import Answer
from counter.statistics.precision import seen_to_show
from counter.statistics.proportion import clopper_pearson, newcombe_difference, wilson
from counter.statistics.proportion_working import share_working

METHOD = "newcombe-hybrid-score"
TO_SHOW = 0.1
"""The difference of which it is said how many it would take: ten percentage points."""


@dataclass(frozen=True, slots=True)
class LimitedShare:
    """``counted`` of the ``of`` that were looked at; ``share`` with Wilson's limits, 0 to 1.

    ``exact_low`` and ``exact_high`` are the limits of Clopper and Pearson, which hold the truth at
    least as often as they say and are wider for it.
    """

    counted: int
    of: int
    share: float
    low: float
    high: float
    exact_low: float
    exact_high: float

    @classmethod
    def typed(cls, entry: Share, confidence: float) -> LimitedShare:
        """Return a share with its limits; ValueError for one of none."""
        found = wilson(*entry, confidence)
        if found.value is None or found.low is None or found.high is None:
            raise ValueError("a share of none is not defined")
        exact = clopper_pearson(*entry, confidence)
        assert exact.low is not None
        assert exact.high is not None
        return cls(*entry, found.value, found.low, found.high, exact.low, exact.high)

    @property
    def words(self) -> str:
        """``80.0 %``."""
        return _rounded(self.share)

    def working(self, confidence: float) -> tuple[str, ...]:
        """Return the way to the share and its limits, line by line as on paper."""
        return share_working(self.counted, self.of, confidence)

    def sentence(self, confidence: float) -> str:
        """``56 of 70: 80.0 % (95 % limits 69.2 % to 87.7 %; exact ones 68.7 % to 88.6 %).``"""
        return (
            f"{_of(self)}: {self.words} ({percent(confidence)} limits {_rounded(self.low)} to "
            f"{_rounded(self.high)}; exact ones {_rounded(self.exact_low)} to "
            f"{_rounded(self.exact_high)})."
        )


@dataclass(frozen=True, slots=True)
class SharesCompared:
    """``difference`` is the ``first`` share minus the ``second``, -1 to 1, with its limits."""

    first: LimitedShare
    second: LimitedShare
    difference: float
    low: float
    high: float
    confidence: float
    method: str = METHOD

    @property
    def answer(self) -> Answer:
        """What the second share is to the first, as far as the limits show it."""
        if self.low <= 0 <= self.high:
            return Answer.NOT_SHOWN
        return Answer.LESS if self.difference > 0 else Answer.MORE

    def as_json(self) -> dict[str, Any]:
        """Return the ``shares`` object of the JSON that the command line writes."""
        return {**asdict(self), "answer": str(self.answer)}

    def words(self) -> tuple[str, ...]:
        """Return the answer in a sentence, both shares, and what it would take to show more."""
        shown = "does not show" if self.answer is Answer.NOT_SHOWN else "shows"
        level = f"{percent(self.confidence)} limits"
        sides = (("First", self.first), ("Second", self.second))
        return (
            f"{self.first.words} against {self.second.words} {shown} a change: the second is "
            f"{self._by_how_much()} ({level} {_between(self.low, self.high)}).",
            *(f"{place}, {one.sentence(self.confidence)}" for place, one in sides),
            *self._what_would_show(),
        )

    def working(self) -> tuple[str, ...]:
        """Return the way to the limits, line by line as on paper, in percent."""
        first, second = self.first, self.second
        difference = _in_percent(self.difference)
        below = _root(first.share, first.low, second.high, second.share)
        above = _root(first.high, first.share, second.share, second.low)
        return (
            f"First share: {_sum(first)}",
            *first.working(self.confidence)[1:],
            f"Second share: {_sum(second)}",
            *second.working(self.confidence)[1:],
            f"First − second: {_in_percent(first.share)} − {_in_percent(second.share)} = "
            f"{difference}",
            f"Lower limit (Newcombe 1998, hybrid score): {difference} − {below} = "
            f"{_in_percent(self.low)}",
            f"Upper limit: {difference} + {above} = {_in_percent(self.high)}",
        )

    def _by_how_much(self) -> str:
        if self.difference == 0:
            return "the same"
        way = "lower" if self.difference > 0 else "higher"
        return f"{_points(abs(self.difference))} percentage points {way}"

    def _what_would_show(self) -> list[str]:
        if self.answer is not Answer.NOT_SHOWN:
            return []
        both = (self.first.counted + self.second.counted) / (self.first.of + self.second.of)
        needed = seen_to_show(TO_SHOW, both, self.confidence)
        return [
            f"To be fairly sure of seeing a difference of {100 * TO_SHOW:g} percentage points, "
            f"look at about {for_people(needed, 2)} each time."
        ]


def compare_shares(first: Share, second: Share, confidence: float = 0.95) -> SharesCompared:
    """Return what two shares, each (how many, of how many), show of a difference.

    Raises ValueError unless each part is 0 to its whole, and each whole at least 1.
    """
    one, two = LimitedShare.typed(first, confidence), LimitedShare.typed(second, confidence)
    found = newcombe_difference(first, second, confidence)
    assert found.value is not None
    assert found.low is not None
    assert found.high is not None
    return SharesCompared(one, two, found.value, found.low, found.high, confidence)


def _rounded(share: float) -> str:
    return f"{for_people(100 * share)} %"


def _between(low: float, high: float) -> str:
    """Return ``5.24 to 33.4 lower``, or ``3.81 higher to 19.3 lower`` where 0 lies between.

    What is positive says by how much the second is lower.
    """
    if low < 0 < high:
        return f"{_points(-low)} higher to {_points(high)} lower"
    near, far = sorted((abs(low), abs(high)))
    return f"{_points(near)} to {_points(far)} {'lower' if high > 0 else 'higher'}"


def _points(share: float) -> str:
    """Return percentage points; what is nearly none is said to be so, and stays on its side."""
    points = 100 * share
    return for_people(points) if points == 0 or points >= 0.01 else "less than 0.01"


def _of(one: LimitedShare) -> str:
    return f"{whole_for_people(one.counted)} of {whole_for_people(one.of)}"


def _sum(one: LimitedShare) -> str:
    whole = f"{whole_for_people(one.counted)} ÷ {whole_for_people(one.of)}"
    limits = f"{_in_percent(one.low)} to {_in_percent(one.high)}"
    return f"{whole} = {_in_percent(one.share)} %, Wilson's limits {limits} %"


def _root(first: float, first_end: float, second: float, second_end: float) -> str:
    parts = ((first, first_end), (second, second_end))
    squares = " + ".join(f"({_in_percent(a)} − {_in_percent(b)})²" for a, b in parts)
    return f"√({squares})"


def _in_percent(share: float) -> str:
    """Return a share in percent with two decimals, so that the sum comes out on paper."""
    return f"{round(100 * share, 2) + 0.0:.2f}".replace("-", "−")
