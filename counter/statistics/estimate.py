"""From counts in known volumes to a density and a total with limits.

Total = (Σ counts ÷ Σ volumes) × dilution × vessel: a ratio of sums, never a mean of ratios. The
limits are Garwood's exact ones of the pooled count, as long as nothing speaks against chance
alone. They are widened where fillings scatter more (:mod:`.scatter`), where nobody looked through
a part of the pictures (:mod:`.checked`) and where volumes have an uncertainty
(:mod:`.uncertainty`). Published constants and examples: tests/reference.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from counter.domain.classes import DEAD
from counter.domain.house import House
from counter.domain.sample import Dilution, Sample
from counter.domain.uncertainty import UNKNOWN_VOLUMES, VolumeUncertainty
from counter.statistics import cautions
from counter.statistics.basis import Basis, Review, basis_of, review_of
from counter.statistics.interval import Interval
from counter.statistics.method import POISSON_EXACT, QUASI_POISSON
from counter.statistics.proportion import wilson
from counter.statistics.proposal import review_words
from counter.statistics.replicates import Part as PartOf
from counter.statistics.replicates import pooled, replicates, stage_of, state_of
from counter.statistics.result import Estimate, StageEstimate, StateEstimate
from counter.statistics.states import state_cautions
from counter.statistics.total import Conditions, estimated

__all__ = [
    "POISSON_EXACT",
    "QUASI_POISSON",
    "Estimate",
    "StageEstimate",
    "StateEstimate",
    "by_stage",
    "by_state",
    "estimate",
    "estimate_counts",
]

UNDILUTED = Dilution()


def estimate_counts(
    counts: Sequence[int],
    volumes_ml: Sequence[float],
    dilution: Dilution = UNDILUTED,
    vessel_ml: float | None = None,
    confidence: float = 0.95,
    numbers: Sequence[int] | None = None,
    *,
    volumes: VolumeUncertainty = UNKNOWN_VOLUMES,
    house: House | None = None,
) -> Estimate:
    """Return the estimate from one count (0 or more) and one volume (mL, above 0) per filling.

    A lost filling is left out of both lists; ``numbers`` are then what people call those that are
    left (1, 2, 3 … otherwise). No counts at all give densities of None and a warning. ``volumes``
    is how well the volumes are known, ``house`` how fillings scattered in earlier samples.
    """
    called = tuple(numbers) if numbers is not None else tuple(range(1, len(counts) + 1))
    basis = Basis(tuple(counts), tuple(volumes_ml), called, sum(counts), math.fsum(volumes_ml))
    return _with_warnings(
        estimated(basis, Conditions(dilution, vessel_ml, confidence, volumes, house)), basis
    )


def estimate(sample: Sample) -> Estimate:
    """Return the estimate of everything counted in ``sample``, all stages together.

    A filling that nobody has looked at is left out. A whole-volume chamber without a volume makes
    no error: its filling is left out with a warning that says what to type.
    """
    found, missing = replicates(sample)
    basis = basis_of(
        found,
        review_of(found),
        [{None: entry.count} for entry in found],
        [{None: sum(entry.unchecked.values())} for entry in found],
        [{None: sum(entry.seen.values())} for entry in found],
        None,
    )
    result = _with_warnings(estimated(basis, _conditions(sample)), basis)
    dead = cautions.dead(sum(entry.by_state[DEAD] for entry in found), result.counted)
    said = (
        *dead,
        *state_cautions(sample),
        *cautions.shallow_chamber(sample),
        *review_words(sample, result),
    )
    return replace(result, warnings=(*missing, *result.warnings, *said))


def by_stage(sample: Sample, *, with_absent: bool = False) -> tuple[StageEstimate, ...]:
    """Return each stage that was counted, in growing order, with limits of its own.

    The dead count in their stage; :func:`by_state` tells them apart. ``with_absent`` adds the
    stages of the target of which none was counted.
    """
    parts = _Parts(sample, stage_of)
    present = {stage for stage in parts.present if stage}
    known = sample.target.stages
    ordered = [stage for stage in known if with_absent or stage in present]
    ordered += sorted(present - set(known))
    return tuple(StageEstimate(**parts.of(stage), stage=stage) for stage in ordered)


def by_state(sample: Sample) -> tuple[StateEstimate, ...]:
    """Return each state with limits of its own: first those of which nothing was said.

    Nothing is returned where no state was said of anything that counts.
    """
    parts = _Parts(sample, state_of)
    if not parts.present - {None}:
        return ()
    ordered = sorted(parts.present, key=lambda state: state or "")
    return tuple(StateEstimate(**parts.of(state), state=state) for state in ordered)


@dataclass(frozen=True, slots=True)
class PartBehind:
    """What the number of one stage or state rests on.

    ``counts`` of it filling by filling, ``unchecked`` of them on pictures that nobody looked
    through, of ``whole`` that were counted; ``result`` is its estimate, ``name`` None for those of
    which nothing was said.
    """

    name: str | None
    counts: tuple[int, ...]
    unchecked: int
    whole: int
    result: Estimate

    @property
    def counted(self) -> int:
        """How many were counted in all."""
        return sum(self.counts)


def stages_behind(sample: Sample) -> tuple[PartBehind, ...]:
    """Return what each entry of :func:`by_stage` rests on, in the same order."""
    parts = _Parts(sample, stage_of)
    return tuple(parts.behind(entry.stage) for entry in by_stage(sample))


def states_behind(sample: Sample) -> tuple[PartBehind, ...]:
    """Return what each entry of :func:`by_state` rests on, in the same order."""
    parts = _Parts(sample, state_of)
    return tuple(parts.behind(entry.state) for entry in by_state(sample))


class _Parts:
    """The counts of a sample by stage or by state, and the estimate of each."""

    def __init__(self, sample: Sample, part: PartOf) -> None:
        self._found, _ = replicates(sample)
        self._review: Review | None = review_of(self._found)
        self._conditions = _conditions(sample)
        self._counts = [pooled(entry.counts, part) for entry in self._found]
        self._unchecked = [pooled(entry.unchecked, part) for entry in self._found]
        self._seen = [pooled(entry.seen, part) for entry in self._found]
        self._all = sum(entry.count for entry in self._found)

    @property
    def present(self) -> set[str | None]:
        """The stages or states that were counted."""
        return {part for entry in self._counts for part, count in entry.items() if count}

    def behind(self, part: str | None) -> PartBehind:
        """Return what the number of one stage or state rests on."""
        return PartBehind(
            part,
            tuple(entry[part] for entry in self._counts),
            sum(entry[part] for entry in self._unchecked),
            self._all,
            self._estimated(part)[0],
        )

    def _estimated(self, part: str | None) -> tuple[Estimate, Interval]:
        """Return the estimate of one stage or state, and its share."""
        basis = basis_of(self._found, self._review, self._counts, self._unchecked, self._seen, part)
        share = wilson(basis.counted, self._all, self._conditions.confidence)
        house = self._conditions.house
        if house is not None and share.value is not None:
            house = house.of_share(share.value)
        return estimated(basis, replace(self._conditions, house=house)), share

    def of(self, part: str | None) -> dict[str, Any]:
        """Return the fields of :class:`~.result.Part` for one stage or state."""
        result, share = self._estimated(part)
        return {
            "counted": result.counted,
            "total": result.total,
            "low": result.low,
            "high": result.high,
            "density_per_ml": result.density_per_ml,
            "density_low_per_ml": result.density_low_per_ml,
            "density_high_per_ml": result.density_high_per_ml,
            "share": share.value,
            "share_low": share.low,
            "share_high": share.high,
            "uneven": result.uneven,
        }


def _conditions(sample: Sample) -> Conditions:
    return Conditions(
        sample.dilution, sample.vessel_ml, sample.confidence, sample.volumes, sample.house
    )


def _with_warnings(plain: Estimate, basis: Basis) -> Estimate:
    """Return ``plain`` with what a person should know beside the number."""
    if not plain.volume_counted_ml:
        return replace(plain, warnings=(cautions.NOTHING_LOOKED_AT,))
    said = []
    if plain.count == 0:
        said.append(cautions.none_counted(plain))
    said += cautions.slip([round(c) for c in basis.counts], basis.volumes_ml, basis.numbers)
    said += cautions.agreement(plain.dispersion, plain.widening)
    said += cautions.vessel(plain.vessel_ml, plain.volume_counted_ml / plain.dilution_factor)
    return replace(plain, warnings=tuple(said))
