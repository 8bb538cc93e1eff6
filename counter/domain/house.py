"""How well the vessels of a hatchery are mixed, from its earlier samples."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class EarlierSample:
    """How the fillings of one earlier sample scatter, as it stood at its event ``last_seq``.

    ``chi2`` is Fisher's X²; ``degrees_of_freedom`` is 0 where there was nothing to compare, or
    where a count looks like a slip. ``target`` is what was counted: larvae or eggs.
    """

    sample_id: int
    last_seq: int
    target: str
    chi2: float
    degrees_of_freedom: int


@dataclass(frozen=True, slots=True)
class House:
    """How the fillings of a hatchery's earlier samples scatter: X² and degrees of freedom, summed.

    ``samples`` is how many they were; 0 for a figure that was typed.
    """

    chi2: float
    degrees_of_freedom: int
    samples: int = 0

    @property
    def index(self) -> float:
        """The pooled index of dispersion: 1 for vessels that are mixed well."""
        return self.chi2 / self.degrees_of_freedom

    def of_share(self, share: float) -> House:
        """Return what it means for a part (0 to 1) of all that is counted.

        Where all are clumped together, a share p of them scatters 1 + p·(index - 1) times as
        chance: the fewer are looked at, the less can be seen of it.
        """
        index = 1.0 + share * (self.index - 1.0)
        return House(index * self.degrees_of_freedom, self.degrees_of_freedom, self.samples)


def house_of(earlier: Iterable[EarlierSample], target: str) -> House | None:
    """Return the history that these samples make for ``target``; None where they make none."""
    known = [one for one in earlier if one.target == target and one.degrees_of_freedom > 0]
    if not known:
        return None
    return House(
        math.fsum(one.chi2 for one in known),
        sum(one.degrees_of_freedom for one in known),
        len(known),
    )
