"""The same slides counted twice: by one person again, or by two readers.

The larvae are the same, so chance of the counts plays no part: what differs is the counting. The
standard deviation of repeatability of pairs is √(Σd²/(2n)) (ISO 5725-2, from memory); whether one
counts more than the other is Student's t of the differences.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import stdtr

from counter.statistics.fieller import two_sided_t


@dataclass(frozen=True, slots=True)
class Repeatability:
    """Pairs of counts of the same slides.

    ``sd`` is the standard deviation of one count and ``cv`` it over the mean count (None where
    none was counted). ``difference`` is the mean of second less first, with limits at
    ``confidence`` and the p value of its being 0; None for a single pair. It rests on the
    ``differences`` of the slides, in order, and has a ``standard_error``.
    """

    pairs: int
    mean: float
    sd: float
    cv: float | None
    difference: float
    low: float | None
    high: float | None
    p_value: float | None
    confidence: float
    differences: tuple[int, ...]
    standard_error: float | None

    @property
    def is_biased(self) -> bool:
        """Whether one of the two counts more, beyond chance."""
        return self.p_value is not None and self.p_value < 1 - self.confidence


def repeatability(
    first: Sequence[int], second: Sequence[int], confidence: float = 0.95
) -> Repeatability:
    """Return how well ``second`` repeats ``first``, slide by slide.

    Raises ValueError for no slides or lists of different lengths.
    """
    if not first or len(first) != len(second):
        raise ValueError("each slide needs both counts")
    differences = np.subtract(second, first).astype(np.float64)
    number, mean = len(first), (sum(first) + sum(second)) / (2 * len(first))
    sd = math.sqrt(float(np.square(differences).sum()) / (2 * number))
    error = float(differences.std(ddof=1)) / math.sqrt(number) if number > 1 else None
    low, high, p_value = _of_differences(float(differences.mean()), error, number, confidence)
    return Repeatability(
        pairs=number,
        mean=mean,
        sd=sd,
        cv=sd / mean if mean else None,
        difference=float(differences.mean()),
        low=low,
        high=high,
        p_value=p_value,
        confidence=confidence,
        differences=tuple(int(entry) for entry in differences),
        standard_error=error,
    )


def _of_differences(
    middle: float, error: float | None, number: int, confidence: float
) -> tuple[float | None, float | None, float | None]:
    if error is None:
        return None, None, None
    half = two_sided_t(confidence, number - 1) * error
    if not error:
        return middle, middle, 1.0 if not middle else 0.0
    p_value = 2.0 * float(stdtr(number - 1, -abs(middle) / error))
    return middle - half, middle + half, p_value
