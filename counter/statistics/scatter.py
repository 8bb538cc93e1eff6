"""How much wider than chance the limits must be, from how replicate fillings scatter.

Quasi-Poisson: the variance of a count is ``index`` times that of chance. The index of three
fillings is itself uncertain, so that it is joined with what is known beforehand, each weighted by
its degrees of freedom, and Student's t stands in for the normal quantile:

    index = (X² + weight × known) ÷ (df + weight), widened by (t ÷ z)² on df + weight degrees.

What is known beforehand is the pooled index of this hatchery's earlier samples (the ``house``).
Where there is no history, exact Poisson limits stand as long as the fillings agree, and fillings
that do not are joined with a weak guess (:data:`GUESSED_INDEX`). McCullagh P, Nelder JA (1989),
Generalized Linear Models, section 6.2 (from memory); the weights are our own choice, by simulation
(tests/benchmarks/coverage.py).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.special import fdtrc, ndtri, stdtrit

from counter.domain.house import House
from counter.statistics.dispersion import Agreement, Dispersion
from counter.statistics.interval import checked_confidence

WIDEN_BELOW = 0.15
"""Without a history, fillings that scatter so much with a lower probability widen the limits."""
GUESSED_INDEX = 2.0
GUESSED_WEIGHT = 2
"""Between the well-mixed vessels (1.07) and the others (2.8) of open data, worth little."""
MOST_HOUSE_WEIGHT = 20
"""However long the history, a vessel that is mixed worse than usual must still be seen."""
LEAST_HOUSE_DEGREES = 4
UNLIKE_THE_HOUSE_BELOW = 0.01


@dataclass(frozen=True, slots=True)
class Widening:
    """What the variance of chance is multiplied with.

    ``index`` is the index of dispersion in use (1: chance alone), ``degrees_of_freedom`` what it
    rests on (infinite for chance), ``house`` the history that went into it.
    """

    index: float = 1.0
    degrees_of_freedom: float = math.inf
    house: House | None = None

    @property
    def widens(self) -> bool:
        """Whether the limits are wider than those of chance."""
        return math.isfinite(self.degrees_of_freedom)

    def factor(self, confidence: float) -> float:
        """Return the index with Student's allowance for how little it rests on, 1 or more."""
        if not self.widens:
            return 1.0
        tail = (1.0 + checked_confidence(confidence)) / 2.0
        student = float(stdtrit(self.degrees_of_freedom, tail))
        return self.index * (student / float(ndtri(tail))) ** 2


CHANCE = Widening()


def widening(own: Dispersion | None, house: House | None = None) -> Widening:
    """Return how much wider than chance the limits must be.

    ``own`` is how the sample's fillings scatter (None: one filling). A history of fewer than
    :data:`LEAST_HOUSE_DEGREES` degrees of freedom is no history. A vessel that scatters clearly
    more than the history (F test, :data:`UNLIKE_THE_HOUSE_BELOW`) stands for itself.
    """
    if house is None or house.degrees_of_freedom < LEAST_HOUSE_DEGREES:
        return _of_itself(own)
    if own is not None and own.agreement is not Agreement.TOO_FEW and _is_unlike(own, house):
        return max(_of_itself(own), _with_house(own, house), key=lambda one: one.index)
    return _with_house(own, house)


def _of_itself(own: Dispersion | None) -> Widening:
    if own is None or own.agreement is Agreement.TOO_FEW or own.p_upper >= WIDEN_BELOW:
        return CHANCE
    degrees = own.degrees_of_freedom + GUESSED_WEIGHT
    index = (own.chi2 + GUESSED_WEIGHT * GUESSED_INDEX) / degrees
    return Widening(max(1.0, index), degrees)


def _with_house(own: Dispersion | None, house: House) -> Widening:
    weight = min(house.degrees_of_freedom, MOST_HOUSE_WEIGHT)
    chi2, degrees = (0.0, 0) if own is None else (own.chi2, own.degrees_of_freedom)
    index = (chi2 + weight * house.index) / (degrees + weight)
    if index <= 1.0:
        return Widening(house=house)
    return Widening(index, degrees + weight, house)


def _is_unlike(own: Dispersion, house: House) -> bool:
    times = own.index / max(1.0, house.index)
    p = float(fdtrc(own.degrees_of_freedom, house.degrees_of_freedom, times))
    return p < UNLIKE_THE_HOUSE_BELOW
