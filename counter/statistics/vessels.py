"""Two vessels against each other: totals where both volumes are known, else densities."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from counter.domain.house import House
from counter.domain.rounding import (
    dilution_for_people,
    quantity_for_people,
    volume_for_people,
    whole_for_people,
)
from counter.domain.sample import Dilution, Sample
from counter.statistics.comparison import Answer, Comparison, Side, compare
from counter.statistics.comparison_words import Question, comparison_words
from counter.statistics.replicates import replicates
from counter.statistics.scatter import is_known

UNDILUTED = Dilution()
_PLACES = ("First", "Second")


@dataclass(frozen=True, slots=True)
class Vessel:
    """What was counted of one vessel: fillings (0 or more in mL above 0), dilution, volume.

    ``volume_ml`` is None where the vessel's volume is not known.
    """

    counts: Sequence[int]
    volumes_ml: Sequence[float]
    dilution: Dilution = UNDILUTED
    volume_ml: float | None = None

    @classmethod
    def of(cls, sample: Sample) -> Vessel:
        """Return what was counted of a sample; no counts where nothing was looked at."""
        found, _ = replicates(sample)
        return cls(
            [one.count for one in found],
            [one.volume_ml for one in found],
            sample.dilution,
            sample.vessel_ml,
        )

    @property
    def is_counted(self) -> bool:
        """Whether anything was looked at."""
        return bool(self.counts)

    def side(self, *, totals: bool) -> Side:
        """Return it as a side of a comparison, of totals (its volume is known) or of densities."""
        volume_ml = self.volume_ml if totals else 1.0
        assert volume_ml is not None
        return Side(self.counts, self.volumes_ml, self.dilution.factor * volume_ml)


@dataclass(frozen=True, slots=True)
class VesselsCompared:
    """The second vessel against the first; ``of_totals``: else of densities.

    ``is_mixing_known``: a history, or more than one filling of a vessel, shows how evenly the water
    was mixed.
    """

    first: Vessel
    second: Vessel
    found: Comparison
    of_totals: bool
    is_mixing_known: bool = True

    def words(self, question: Question, names: tuple[str, str] = ("", "")) -> tuple[str, ...]:
        """Return the answer, what was compared, and the sum as on paper.

        ``names`` are what the two vessels are called beside their sums.
        """
        return (
            *comparison_words(self.found, question),
            *self._mixing(),
            self._basis(question),
            *self._working(names),
        )

    def _mixing(self) -> list[str]:
        """Say what a change that is shown relies on, where nothing tells of it."""
        if self.is_mixing_known or self.found.answer not in (Answer.LESS, Answer.MORE):
            return []
        return [
            "This relies on even mixing, which one filling of each cannot show: water that is "
            "mixed unevenly makes such changes by itself. Count two more of each before you act."
        ]

    def _basis(self, question: Question) -> str:
        if self.of_totals:
            return "The totals of the two vessels are compared."
        if question in (Question.CHANGE, Question.READERS):
            return "The densities per mL are compared."
        missing = [
            name
            for name, vessel in (("first", self.first), ("second", self.second))
            if vessel.volume_ml is None
        ]
        whose = "either vessel" if len(missing) == 2 else f"the {missing[0]} vessel"
        return (
            f"The densities per mL are compared, since the volume of {whose} is not known: right "
            "only where both held the same volume."
        )

    def _working(self, names: tuple[str, str]) -> list[str]:
        places = [
            f"{place}, {name}" if name else place
            for place, name in zip(_PLACES, names, strict=True)
        ]
        vessels = (self.first, self.second)
        return [f"{place}: {self._sum(one)}" for place, one in zip(places, vessels, strict=True)]

    def _sum(self, vessel: Vessel) -> str:
        side = vessel.side(totals=self.of_totals)
        text = " + ".join(whole_for_people(count) for count in vessel.counts)
        if len(vessel.counts) > 1:
            text = f"({text})"
        text += f" ÷ {volume_for_people(float(f'{side.volume_ml:.5g}'))}"
        if vessel.dilution.factor != 1:
            text += f" × {quantity_for_people(vessel.dilution.factor)} (dilution "
            text += f"{dilution_for_people(vessel.dilution)})"
        if self.of_totals:
            assert vessel.volume_ml is not None
            text += f" × {volume_for_people(vessel.volume_ml)}"
        value = float(f"{side.counted / side.weight:.5g}")
        return f"{text} = {quantity_for_people(value)}{'' if self.of_totals else ' per mL'}"


def compare_vessels(
    first: Vessel, second: Vessel, confidence: float = 0.95, house: House | None = None
) -> VesselsCompared:
    """Return what ``second`` is of ``first``.

    ``house`` is how fillings scattered in earlier samples (None: no history). Raises ValueError
    where one of them was not looked at.
    """
    of_totals = first.volume_ml is not None and second.volume_ml is not None
    sides = first.side(totals=of_totals), second.side(totals=of_totals)
    known = is_known(house) or max(len(first.counts), len(second.counts)) > 1
    return VesselsCompared(first, second, compare(*sides, confidence, house), of_totals, known)
