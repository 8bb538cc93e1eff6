"""What looks like a slip beside the last sample of the same tank.

Each is a sentence with the likely cause and what to do; nothing here blocks or changes a number.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

from counter.domain.classes import DEAD
from counter.domain.rounding import (
    dilution_for_people,
    for_people,
    quantity_for_people,
    volume_for_people,
)
from counter.domain.sample import Dilution, Sample
from counter.domain.species import TargetKind
from counter.statistics.audit import TEN_TIMES
from counter.statistics.audit_sizes import (
    FASTEST_UM_PER_DAY,
    LEAST_MEASURED,
    fits_objective,
    other_objective,
)
from counter.statistics.comparison import Answer, Comparison
from counter.statistics.comparison_words import over_all
from counter.statistics.estimate import Estimate, estimate
from counter.statistics.poisson import garwood
from counter.statistics.ratio import poisson_ratio
from counter.statistics.replicates import replicates
from counter.statistics.sizes import Sizes, sizes
from counter.statistics.vessels import Vessel, compare_vessels

FAR = 3.0
FAR_BY_CHANCE = 0.05
NEAR_TEN = 1.25
NEAR_OBJECTIVE = 1.12
LEAST_LEFT = 0.8
"""Grading takes the large away, but hardly leaves a median below this part of the last one."""
LEAST_FACTOR = 3.0
LIVE, ALL = "live", "all"
"""What was counted: the live alone, or the live and the dead."""


@dataclass(frozen=True, slots=True)
class Taken:
    """A sample with its numbers."""

    sample: Sample
    estimate: Estimate
    sizes: Sizes | None

    @classmethod
    def of(cls, sample: Sample) -> Taken:
        """Work the numbers of a sample out."""
        return cls(sample, estimate(sample), sizes(sample))

    @property
    def has_dead(self) -> bool:
        """Whether some that were counted were called dead."""
        return any(entry.by_state[DEAD] for entry in replicates(self.sample)[0])

    @property
    def has_states(self) -> bool:
        """Whether anybody said live, dead or anything else of those that were counted."""
        return any(set(entry.by_state) - {None} for entry in replicates(self.sample)[0])


def since_last(now: Taken, last: Taken, days: float) -> list[str]:
    """Return what is odd about ``now`` beside ``last``, taken ``days`` (0 or more) before.

    Nothing is said where one of them holds no count.
    """
    if not now.estimate.counted or not last.estimate.counted:
        return []
    checks: tuple[Callable[[], list[str]], ...] = (
        lambda: _totals(now, last),
        lambda: vessel_changed(now.sample.vessel_ml, last.sample.vessel_ml),
        lambda: _aliquots(now.sample, last.sample),
        lambda: dilution_changed(now.sample.dilution, last.sample.dilution),
        lambda: _states(now, last),
        lambda: _sizes(now, last, days),
    )
    return [sentence for check in checks for sentence in check()]


def far_from_last(result: Estimate, last_total: float) -> list[str]:
    """Say it when a total is three times off the last one (above 0), and not by chance.

    Chance is that of the pooled count alone: fillings that disagree are no excuse. Nothing is said
    where there is no total, or none was counted.
    """
    if not result.total:
        return []
    times = result.total / last_total
    low, high = garwood(result.counted, result.confidence)
    if max(times, 1 / times) < FAR or low <= result.counted / times <= high:
        return []
    return [_far(times)]


def _far(times: float) -> str:
    off = max(times, 1 / times)
    near = [ten for ten in TEN_TIMES if 1 / NEAR_TEN < off / ten < NEAR_TEN]
    spelt = for_people(off, 2)
    if times > 1:
        what = f"This is about {spelt} times the last total of the tank; larvae do not multiply"
        otherwise = "were tanks joined, or is a count, the dilution or a volume wrong?"
    else:
        what = f"This is about {spelt} times less than the last total of the tank"
        otherwise = "did the tank lose so many, or is a count, the dilution or a volume wrong?"
    if near:
        otherwise = f"a factor of {near[0]:g} is often a digit, a dilution or a unit."
    return f"{what}: {otherwise} Count again before you act on it."


def _totals(now: Taken, last: Taken) -> list[str]:
    found = _compared(now.sample, last.sample)
    if found is None or found.ratio is None or not 0 < found.ratio < math.inf:
        return []
    kinds = (last.sample.target.kind, now.sample.target.kind)
    if kinds == (TargetKind.EGGS, TargetKind.LARVAE):
        return [over_all(found, "hatched")] if found.ratio > 1 else []
    if kinds[0] is not kinds[1]:
        return []
    if max(found.ratio, 1 / found.ratio) >= FAR and not _by_chance(now.sample, last.sample):
        return [_far(found.ratio)]
    return [over_all(found)] if found.answer is Answer.MORE else []


def _compared(now: Sample, last: Sample) -> Comparison | None:
    """Compare totals where both vessels are known, densities where neither is."""
    if (now.vessel_ml is None) is not (last.vessel_ml is None):
        return None
    return compare_vessels(Vessel.of(last), Vessel.of(now), now.confidence, now.house).found


def _by_chance(now: Sample, last: Sample) -> bool:
    """Whether Poisson counts explain it: fillings that disagree are no excuse."""
    totals = now.vessel_ml is not None and last.vessel_ml is not None
    one, two = (Vessel.of(sample).side(totals=totals) for sample in (now, last))
    return poisson_ratio(one.counted, one.weight, two.counted, two.weight).p_value > FAR_BY_CHANCE


def vessel_changed(now_ml: float | None, last_ml: float | None) -> list[str]:
    """Say it when the vessel is exactly 10, 100 or 1000 times what it was; None is not known."""
    if now_ml is None or last_ml is None or not _by_tens(now_ml / last_ml):
        return []
    return [_volume_sentence("The vessel", now_ml, last_ml)]


def _aliquots(now: Sample, last: Sample) -> list[str]:
    first = [next((f.aliquot_ul for f in s.fillings if f.aliquot_ul), None) for s in (now, last)]
    now_ul, last_ul = first
    if now_ul is None or last_ul is None or not _by_tens(now_ul / last_ul):
        return []
    return [_volume_sentence("The aliquot", now_ul / 1000, last_ul / 1000)]


def _by_tens(times: float) -> bool:
    return any(math.isclose(max(times, 1 / times), ten, rel_tol=1e-6) for ten in TEN_TIMES)


def _volume_sentence(what: str, now_ml: float, last_ml: float) -> str:
    times = max(now_ml, last_ml) / min(now_ml, last_ml)
    return (
        f"{what} is {volume_for_people(now_ml)}, last time it was {volume_for_people(last_ml)}: "
        f"exactly {times:g} times {'more' if now_ml > last_ml else 'less'}; a zero or a unit?"
    )


def dilution_changed(now: Dilution, last: Dilution) -> list[str]:
    """Say it when the dilutions differ like two readings of one: 1+9 and 1+10."""
    factors = (now.factor, last.factor)
    differ = math.isclose(abs(factors[0] - factors[1]), 1.0, rel_tol=1e-6)
    if not differ or min(factors) < LEAST_FACTOR:
        return []
    return [
        f"The dilution is {dilution_for_people(now)} ({_fold(factors[0])}), last time it "
        f"was {dilution_for_people(last)} ({_fold(factors[1])}); “1:10” is read both as "
        "1+9 and as 1+10: see how much water was added."
    ]


def _fold(factor: float) -> str:
    return f"{quantity_for_people(factor)} times"


def live_beside_all(first: str, second: str) -> list[str]:
    """Say it when one of two counts is of the live alone; each is :data:`LIVE` or :data:`ALL`."""
    if first == second:
        return []
    one, other = ("second", "first") if first == ALL else ("first", "second")
    return [
        f"The {one} counts are of the live alone, the {other} ones of the live and the dead: the "
        "two do not compare, the dead are taken for a change. Count the same in both."
    ]


def states_mixed(now: Sample, last: Sample) -> list[str]:
    """Say it when the dead were counted along in one of two samples and not told apart in one."""
    return _states(Taken.of(now), Taken.of(last))


def _states(now: Taken, last: Taken) -> list[str]:
    if last.has_dead and not now.has_states:
        return [
            "Last time the dead were counted along and marked, this time none is marked as dead; "
            "if only the live were counted now, the two totals do not compare. Mark the dead, or "
            "say it in the name."
        ]
    if now.has_dead and not last.has_states:
        return [
            "This time the dead are counted along, last time nobody was marked as dead; if only "
            "the live were counted then, the two totals do not compare."
        ]
    return []


def _sizes(now: Taken, last: Taken, days: float) -> list[str]:
    if now.sizes is None or last.sizes is None:
        return []
    if min(now.sizes.measured, last.sizes.measured) < LEAST_MEASURED:
        return []
    if now.sample.target.kind is not last.sample.target.kind:
        return []
    before, after = last.sizes.median, now.sizes.median
    low, high = before * LEAST_LEFT, (before + FASTEST_UM_PER_DAY * days) * NEAR_OBJECTIVE
    if low <= after <= high or not fits_objective(after, low, high):
        return []
    return [
        f"The median length is {for_people(after)} µm, last time it was {for_people(before)} µm; "
        f"{other_objective(after, low, high)}"
    ]
