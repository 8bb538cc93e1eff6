"""How much wider than chance the limits must be, from how replicate fillings scatter.

Quasi-Poisson: the variance of a count is ``index`` times that of chance. The index of three
fillings is itself uncertain, so that it is joined with what is known beforehand, each weighted by
its degrees of freedom, and Student's t stands in for the normal quantile:

    index = (X² + weight × known) ÷ (df + weight), widened by (t ÷ z)² on df + weight degrees.

What is known beforehand is the pooled index of this hatchery's earlier samples (the ``house``).

Where there is no history, nobody knows how badly a vessel is mixed, and two or three fillings tell
little of it. Exact Poisson limits then stand as long as the fillings agree, and beside them those
that also hold where the vessel is mixed unevenly (:func:`allowance`): Student's limits of the
fillings themselves, never narrower than chance, the upper one further out as clumps call for
(:func:`~.poisson.clumped_garwood`). Two fillings, or few counted, lean on a guess
(:data:`GUESSED_INDEX`). Where fillings disagree, or chance alone would scatter them as much less
often than :data:`~.dispersion.PERHAPS_CLUMPED_BELOW`, those wider limits are the ones shown.
McCullagh P, Nelder JA (1989), Generalized Linear Models, section 6.2 (from memory); the weights are
our own choice, the smallest that hold (tests/benchmarks/coverage.py).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from scipy.special import fdtrc, ndtri, stdtrit

from counter.domain.house import House
from counter.statistics.dispersion import PERHAPS_CLUMPED_BELOW, Agreement, Dispersion
from counter.statistics.interval import checked_confidence

GUESSED_INDEX = 2.8
"""That of 26 published triplets of hatch counts, C. gigas 2017, open data: index 2.81, df 52."""
PAIR_WEIGHT = 1.5
"""How many degrees of freedom the guess is worth beside two fillings, which have one."""
GUESSED_COUNT = 60
"""The guess is worth a degree of freedom beside so many counted, half of one beside twice as
many: few bodies scatter by chance alone so much that they tell nothing else."""
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

    @property
    def is_clumped(self) -> bool:
        """Whether it rests on the fillings themselves, which are few and skewed where clumped."""
        return self.widens and self.house is None

    def clumped(self, confidence: float) -> float:
        """Return how far the upper limit must go out for clumps, 0 to 1: normal ÷ Student.

        0 where a history says how vessels scatter, or chance alone does.
        """
        if not self.is_clumped:
            return 0.0
        tail = (1.0 + checked_confidence(confidence)) / 2.0
        return float(ndtri(tail)) / float(stdtrit(self.degrees_of_freedom, tail))

    def factor(self, confidence: float) -> float:
        """Return the index with Student's allowance for how little it rests on, 1 or more."""
        if not self.widens:
            return 1.0
        tail = (1.0 + checked_confidence(confidence)) / 2.0
        student = float(stdtrit(self.degrees_of_freedom, tail))
        return max(1.0, self.index * (student / float(ndtri(tail))) ** 2)


CHANCE = Widening()


def widening(own: Dispersion | None, house: House | None = None) -> Widening:
    """Return how much wider than chance the limits must be.

    ``own`` is how the sample's fillings scatter (None: one filling). A history of fewer than
    :data:`LEAST_HOUSE_DEGREES` degrees of freedom is no history. A vessel that scatters clearly
    more than the history (F test, :data:`UNLIKE_THE_HOUSE_BELOW`) stands for itself.
    """
    if not is_known(house):
        return _of_itself(own)
    assert house is not None
    if own is not None and own.agreement is not Agreement.TOO_FEW and _is_unlike(own, house):
        return max(_of_itself(own), _with_house(own, house), key=lambda one: one.index)
    return _with_house(own, house)


def is_known(house: House | None) -> bool:
    """Return whether ``house`` is history enough to say how vessels are mixed."""
    return house is not None and house.degrees_of_freedom >= LEAST_HOUSE_DEGREES


def allowance(own: Dispersion | None, fillings: int) -> Widening:
    """Return how much wider than chance limits are that allow for a vessel mixed unevenly.

    ``own`` is how the ``fillings`` (2 or more) scatter, None where none was counted. With m degrees
    of freedom that the guess is worth, index = (X² + m × guess) ÷ (df + m), to be widened by
    Student's t on df + m. m is :data:`GUESSED_COUNT` ÷ (counted + 1), and :data:`PAIR_WEIGHT` more
    for two fillings: Student's t on one degree of freedom would hold no better and be twice as
    wide. Raises ValueError for fewer than two fillings, which cannot be compared.
    """
    if fillings < 2:
        raise ValueError("one filling does not tell how unevenly a vessel is mixed")
    if own is None:
        return Widening(GUESSED_INDEX, GUESSED_COUNT)
    weight = GUESSED_COUNT / (math.fsum(own.expected) + 1.0)
    if own.degrees_of_freedom == 1:
        weight += PAIR_WEIGHT
    degrees = own.degrees_of_freedom + weight
    return Widening((own.chi2 + weight * GUESSED_INDEX) / degrees, degrees)


def _of_itself(own: Dispersion | None) -> Widening:
    if own is None or own.p_upper >= PERHAPS_CLUMPED_BELOW:
        return CHANCE
    wider = allowance(own, len(own.expected))
    return Widening(max(1.0, wider.index), wider.degrees_of_freedom)


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
