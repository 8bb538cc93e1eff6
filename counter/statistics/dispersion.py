"""Do the fillings of a chamber agree as well as chance allows?

The index of dispersion: X² = Σ(count - expected)²/expected against χ² with one degree of freedom
less than there are fillings; for equal volumes X² = (n - 1)s²/mean. Fisher RA (1925), Statistical
Methods for Research Workers, section 16; Elliott JM (1977), Freshwater Biological Association
Scientific Publication 25 (both from memory).
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from itertools import chain
from typing import Any

from scipy.special import chdtr, chdtrc, gammaln

CLUMPED_BELOW = 0.05
PERHAPS_CLUMPED_BELOW = 0.15
"""Chance alone scatters as much one time in seven. Without a history the limits are widened from
here on (:mod:`.scatter`), so that this is not called chance."""
EVEN_BELOW = 0.05
TOO_REGULAR_BELOW = 0.025
LEAST_EXPECTED = 2.0
"""χ² is no guide where fewer than this are expected in a filling; nothing is said then."""


class Agreement(StrEnum):
    """What the index says, in words."""

    CHANCE = "as chance would have it"
    PERHAPS = "perhaps clumped"
    CLUMPED = "clumped"
    EVEN = "even"
    TOO_REGULAR = "too regular"
    TOO_FEW = "too few to say"


@dataclass(frozen=True, slots=True)
class Dispersion:
    """How the counts of replicate fillings scatter.

    ``index`` is X² over its degrees of freedom: about 1 for a well-mixed vessel. ``p_upper`` is the
    probability of scatter at least this large by chance, ``p_lower`` of at most this large.
    ``expected`` holds the count expected of each filling from all of them.
    """

    index: float
    chi2: float
    degrees_of_freedom: int
    p_upper: float
    p_lower: float
    agreement: Agreement
    expected: tuple[float, ...]

    def as_json(self) -> dict[str, Any]:
        """Return the numbers as the JSON of the command line has them."""
        return {
            "index": self.index,
            "chi2": self.chi2,
            "degrees_of_freedom": self.degrees_of_freedom,
            "p_upper": self.p_upper,
            "agreement": str(self.agreement),
        }


def dispersion(counts: Sequence[float], volumes: Sequence[float]) -> Dispersion | None:
    """Return how ``counts`` scatter, found in ``volumes`` (any unit, above 0).

    Counts are 0 or more; estimated ones need not be whole.

    None where there is nothing to compare: fewer than two fillings, or none counted. Raises
    ValueError for lists of different lengths or a volume not above 0.
    """
    if len(counts) != len(volumes) or not all(0 < volume < math.inf for volume in volumes):
        raise ValueError("each count needs its volume, above 0")
    total = sum(counts)
    if len(counts) < 2 or total == 0:
        return None
    whole = math.fsum(volumes)
    expected = tuple(total * volume / whole for volume in volumes)
    chi2 = sum((seen - mean) ** 2 / mean for seen, mean in zip(counts, expected, strict=True))
    degrees = len(counts) - 1
    p_upper, p_lower = float(chdtrc(degrees, chi2)), float(chdtr(degrees, chi2))
    by_chance = p_lower
    if p_lower < EVEN_BELOW:
        by_chance = max(p_lower, _probability(counts, volumes))
    return Dispersion(
        index=chi2 / degrees,
        chi2=chi2,
        degrees_of_freedom=degrees,
        p_upper=p_upper,
        p_lower=p_lower,
        agreement=_agreement(p_upper, by_chance, min(expected)),
        expected=expected,
    )


def pooled_dispersion(
    groups: Iterable[tuple[Sequence[float], Sequence[float]]],
) -> Dispersion | None:
    """Return how counts scatter within ``groups`` of (counts, volumes), each about its own mean.

    X² and degrees of freedom add up. None where no group has anything to compare.
    """
    known = [one for one in (dispersion(*group) for group in groups) if one is not None]
    if not known:
        return None
    if len(known) == 1:
        return known[0]
    chi2 = math.fsum(one.chi2 for one in known)
    degrees = sum(one.degrees_of_freedom for one in known)
    expected = tuple(chain.from_iterable(one.expected for one in known))
    p_upper, p_lower = float(chdtrc(degrees, chi2)), float(chdtr(degrees, chi2))
    agreement = _agreement(p_upper, p_lower, min(expected))
    return Dispersion(chi2 / degrees, chi2, degrees, p_upper, p_lower, agreement, expected)


def _agreement(p_upper: float, p_regular: float, least_expected: float) -> Agreement:
    if least_expected < LEAST_EXPECTED:
        return Agreement.TOO_FEW
    if p_upper < CLUMPED_BELOW:
        return Agreement.CLUMPED
    if p_upper < PERHAPS_CLUMPED_BELOW:
        return Agreement.PERHAPS
    if p_regular < TOO_REGULAR_BELOW:
        return Agreement.TOO_REGULAR
    return Agreement.EVEN if p_regular < EVEN_BELOW else Agreement.CHANCE


def _probability(counts: Sequence[float], volumes: Sequence[float]) -> float:
    """Return the multinomial probability of exactly these counts, given their sum.

    χ² is continuous and calls two equal counts impossibly regular; they never are less likely than
    this.
    """
    whole = math.fsum(volumes)
    terms = (
        seen * math.log(volume / whole) - float(gammaln(seen + 1))
        for seen, volume in zip(counts, volumes, strict=True)
    )
    return math.exp(min(0.0, float(gammaln(sum(counts) + 1)) + sum(terms)))
