"""What the sheet of two counts compares: the open sample with another, or two shares; no Qt."""

from __future__ import annotations

from dataclasses import dataclass

from counter.domain.counts_entry import counts_in_volumes, parse_total
from counter.domain.rounding import whole_for_people
from counter.domain.sample import Sample
from counter.domain.share_entry import parse_share
from counter.domain.units import parse_dilution, parse_volume_ml
from counter.errors import UsageError
from counter.statistics.audit import paper_total
from counter.statistics.audit_last import states_mixed
from counter.statistics.comparison_words import Question
from counter.statistics.comparison_working import comparison_working
from counter.statistics.replicates import replicates
from counter.statistics.result import Estimate
from counter.statistics.shares import LimitedShare, compare_shares
from counter.statistics.vessels import Vessel, compare_vessels
from counter.statistics.working import THE_WORKING, working

QUESTIONS = {
    Question.CHANGE: "a change between the two",
    Question.SURVIVAL: "survival: what is left of the first",
    Question.YIELD: "yield: what came out of the first",
    Question.LOSS: "loss: what went missing, as in grading",
    Question.READERS: "two readers of the same water",
}
TYPED_NAME = "the counts typed"
TYPE_COUNTS = "Type the other counts (112,98,x) and the volume of each (0.25 mL)."
TYPE_SECOND = "Type the second share to compare it with."
TYPE_TOTAL = "Type the total of the vessel as it was worked out on paper."
TYPE_SHARES = "Type both shares, each as how many of how many (56/70)."


@dataclass(frozen=True, slots=True)
class Other:
    """The other count: its ``name``, what was counted, and whether it ``is_first`` of the two.

    ``sample`` is None where it was typed.
    """

    name: str
    vessel: Vessel
    is_first: bool
    sample: Sample | None = None


@dataclass(frozen=True, slots=True)
class Typed:
    """A count as it is typed; dilution and vessel may be empty: undiluted, not known."""

    counts: str = ""
    each: str = ""
    dilution: str = ""
    vessel: str = ""

    @property
    def is_begun(self) -> bool:
        """Whether there is enough to be read."""
        return bool(self.counts and self.each)

    def read(self) -> Vessel:
        """Return what was counted; UsageError, naming the line, for what cannot be read."""
        counts, volumes_ml = counts_in_volumes(
            self.counts, self.each, "other count", "volume of each"
        )
        dilution = parse_dilution(self.dilution or "1+0", "other dilution")
        vessel_ml = parse_volume_ml(self.vessel, "other vessel's volume") if self.vessel else None
        return Vessel(counts, volumes_ml, dilution, vessel_ml)


def compared(now: Sample, other: Other, question: Question) -> tuple[str, ...]:
    """Return what the open sample and the other one show, a line each.

    Raises UsageError where one of them holds no count yet.
    """
    own = Vessel.of(now)
    for name, vessel in ((now.name, own), (other.name, other.vessel)):
        if not vessel.is_counted:
            raise UsageError(f"Nothing was looked at of “{name}” yet; count it first.")
    pair = (other.vessel, own) if other.is_first else (own, other.vessel)
    names = (other.name, now.name) if other.is_first else (now.name, other.name)
    found = compare_vessels(*pair, now.confidence, now.house)
    mixed: list[str] = []
    if other.sample is not None:
        later, earlier = (now, other.sample) if other.is_first else (other.sample, now)
        mixed = states_mixed(later, earlier)
    notes = (f"⚠ {sentence}" for sentence in mixed)
    return (*found.words(question, names), *notes, *comparison_working(found))


def shares_compared(first: str, second: str, confidence: float) -> tuple[str, ...]:
    """Return what two shares as they are typed show, and the way there, a line each.

    What to type where nothing is typed yet; UsageError, naming the line, for what is no share.
    """
    if not first and not second:
        return (TYPE_SHARES,)
    one = parse_share(first, "first share")
    if not second:
        alone = LimitedShare.typed(one, confidence)
        return (alone.sentence(confidence), TYPE_SECOND, *alone.working(confidence))
    found = compare_shares(one, parse_share(second, "second share"), confidence)
    return (*found.words(), *found.working())


def paper_compared(sample: Sample, result: Estimate, text: str) -> tuple[str, ...]:
    """Return whether a total worked out on paper is the one of the open sample, a line each.

    ``result`` is the sample's estimate. What to type where nothing is typed yet; UsageError for
    what is no total.
    """
    if not text:
        return (TYPE_TOTAL,)
    typed = parse_total(text, "total on paper")
    found, _ = replicates(sample)
    counts, volumes_ml = [one.count for one in found], [one.volume_ml for one in found]
    said = paper_total(typed, result, counts, volumes_ml)
    steps = ("", THE_WORKING, *working(sample, result))
    agrees = f"The total on paper, {whole_for_people(typed)}, agrees with these counts."
    return (*(said or [agrees]), *steps)
