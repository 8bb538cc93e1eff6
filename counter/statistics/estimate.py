"""From counts in known volumes to a density and a total with limits.

Total = (Σ counts ÷ Σ volumes) × dilution × vessel: a ratio of sums, never a mean of ratios. The
limits are Garwood's exact ones of the pooled count. Fillings of the chamber are the replicates:
where they scatter more than chance allows, the limits are widened by their index of dispersion.
Published constants and examples: tests/reference.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from counter.domain.classes import DEAD
from counter.domain.sample import Dilution, Sample
from counter.statistics import cautions
from counter.statistics.dispersion import Agreement, dispersion
from counter.statistics.poisson import garwood, scaled_garwood
from counter.statistics.proportion import wilson
from counter.statistics.replicates import Replicate, replicates
from counter.statistics.result import Estimate, StageEstimate, StateEstimate

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

POISSON_EXACT = "poisson-exact"
QUASI_POISSON = "quasi-poisson"
UNDILUTED = Dilution()


def estimate_counts(
    counts: Sequence[int],
    volumes_ml: Sequence[float],
    dilution: Dilution = UNDILUTED,
    vessel_ml: float | None = None,
    confidence: float = 0.95,
    numbers: Sequence[int] | None = None,
) -> Estimate:
    """Return the estimate from one count (0 or more) and one volume (mL, above 0) per filling.

    A lost filling is left out of both lists; ``numbers`` are then what people call those that are
    left (1, 2, 3 … otherwise). No counts at all give densities of None and a warning.
    """
    scatter = dispersion(counts, volumes_ml)
    clumped = scatter is not None and scatter.agreement is Agreement.CLUMPED
    counted, volume = sum(counts), math.fsum(volumes_ml)
    if clumped and scatter is not None:
        low, high = scaled_garwood(counted, scatter.index, confidence)
    else:
        low, high = garwood(counted, confidence)
    per_ml = dilution.factor / volume if volume else None
    densities = [None if per_ml is None else number * per_ml for number in (counted, low, high)]
    totals = [
        None if density is None or vessel_ml is None else density * vessel_ml
        for density in densities
    ]
    plain = Estimate(
        counted=counted,
        volume_counted_ml=volume,
        count_low=low,
        count_high=high,
        density_per_ml=densities[0],
        density_low_per_ml=densities[1],
        density_high_per_ml=densities[2],
        dilution_factor=dilution.factor,
        vessel_ml=vessel_ml,
        total=totals[0],
        low=totals[1],
        high=totals[2],
        confidence=confidence,
        method=QUASI_POISSON if clumped else POISSON_EXACT,
        dispersion=scatter,
    )
    called = tuple(numbers) if numbers is not None else tuple(range(1, len(counts) + 1))
    return replace(plain, warnings=_warnings(plain, counts, volumes_ml, called))


def estimate(sample: Sample) -> Estimate:
    """Return the estimate of everything counted in ``sample``, all stages together.

    A filling that nobody has looked at is left out. A whole-volume chamber without a volume makes
    no error: its filling is left out with a warning that says what to type.
    """
    found, missing = replicates(sample)
    result = _estimate_of(sample, found, [entry.count for entry in found])
    dead = cautions.dead(sum(entry.by_state[DEAD] for entry in found), result.counted)
    shallow = cautions.shallow_chamber(sample)
    return replace(result, warnings=(*missing, *result.warnings, *dead, *shallow))


def by_stage(sample: Sample, *, with_absent: bool = False) -> tuple[StageEstimate, ...]:
    """Return each stage that was counted, in growing order, with limits of its own.

    The dead count in their stage; :func:`by_state` tells them apart. ``with_absent`` adds the
    stages of the target of which none was counted.
    """
    found, _ = replicates(sample)
    counts = [entry.by_stage for entry in found]
    present = {stage for entry in counts for stage, count in entry.items() if count and stage}
    known = sample.target.stages
    ordered = [stage for stage in known if with_absent or stage in present]
    ordered += sorted(present - set(known))
    return tuple(
        StageEstimate(**_part(sample, found, [entry[stage] for entry in counts]), stage=stage)
        for stage in ordered
    )


def by_state(sample: Sample) -> tuple[StateEstimate, ...]:
    """Return each state with limits of its own: first those of which nothing was said.

    Nothing is returned where no state was said of anything that counts.
    """
    found, _ = replicates(sample)
    counts = [entry.by_state for entry in found]
    said = {state for entry in counts for state, count in entry.items() if count}
    if not said - {None}:
        return ()
    ordered = sorted(said, key=lambda state: state or "")
    return tuple(
        StateEstimate(**_part(sample, found, [entry[state] for entry in counts]), state=state)
        for state in ordered
    )


def _part(sample: Sample, found: Sequence[Replicate], counts: Sequence[int]) -> dict[str, Any]:
    """Return the fields of :class:`Part` for one count of each filling."""
    result = _estimate_of(sample, found, counts)
    share = wilson(result.counted, sum(entry.count for entry in found), sample.confidence)
    return {
        "counted": result.counted,
        "total": result.total,
        "low": result.low,
        "high": result.high,
        "density_per_ml": result.density_per_ml,
        "share": share.value,
        "share_low": share.low,
        "share_high": share.high,
    }


def _estimate_of(sample: Sample, found: Sequence[Replicate], counts: Sequence[int]) -> Estimate:
    return estimate_counts(
        counts,
        [entry.volume_ml for entry in found],
        sample.dilution,
        sample.vessel_ml,
        sample.confidence,
        [entry.number for entry in found],
    )


def _warnings(
    result: Estimate, counts: Sequence[int], volumes_ml: Sequence[float], numbers: Sequence[int]
) -> tuple[str, ...]:
    if not result.volume_counted_ml:
        return (cautions.NOTHING_LOOKED_AT,)
    said = []
    if result.counted == 0:
        said.append(
            cautions.none_counted(
                result.volume_counted_ml,
                result.dilution_factor,
                result.vessel_ml,
                result.confidence,
            )
        )
    said += cautions.slip(counts, volumes_ml, numbers)
    said += cautions.agreement(result.dispersion)
    said += cautions.vessel(result.vessel_ml, result.volume_counted_ml / result.dilution_factor)
    return tuple(said)
