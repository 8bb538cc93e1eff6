"""From counts in known volumes to a density and a total with limits.

Total = (Σ counts ÷ Σ volumes) × dilution × vessel: a ratio of sums, never a mean of ratios. The
limits are Garwood's exact ones of the pooled count. Fillings of the chamber are the replicates:
where they scatter more than chance allows, the limits are widened by their index of dispersion.
Published constants and examples: tests/reference.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from counter.domain.sample import Dilution, Sample
from counter.statistics import cautions
from counter.statistics.dispersion import Agreement, Dispersion, dispersion
from counter.statistics.poisson import garwood, scaled_garwood
from counter.statistics.proportion import wilson
from counter.statistics.replicates import Replicate, replicates

POISSON_EXACT = "poisson-exact"
QUASI_POISSON = "quasi-poisson"
UNDILUTED = Dilution()


@dataclass(frozen=True, slots=True)
class Estimate:
    """Density in the vessel (dilution applied) and total, with limits at ``confidence``.

    Densities are None when nothing was looked at (``volume_counted_ml`` 0); ``total``, ``low`` and
    ``high`` also when no vessel volume was given. ``count_low`` and ``count_high`` are the limits
    on the count itself. ``method`` is ``poisson-exact`` or ``quasi-poisson``. ``dispersion`` is
    None for a single filling and where none was counted.
    """

    counted: int
    volume_counted_ml: float
    count_low: float
    count_high: float
    density_per_ml: float | None
    density_low_per_ml: float | None
    density_high_per_ml: float | None
    dilution_factor: float
    vessel_ml: float | None
    total: float | None
    low: float | None
    high: float | None
    confidence: float
    method: str
    dispersion: Dispersion | None
    warnings: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Return the ``estimate`` object of the JSON that the command line writes."""
        scatter = self.dispersion
        return {
            "counted": self.counted,
            "volume_counted_ml": self.volume_counted_ml,
            "density_per_ml": self.density_per_ml,
            "density_low_per_ml": self.density_low_per_ml,
            "density_high_per_ml": self.density_high_per_ml,
            "dilution_factor": self.dilution_factor,
            "vessel_ml": self.vessel_ml,
            "total": self.total,
            "low": self.low,
            "high": self.high,
            "confidence": self.confidence,
            "method": self.method,
            "dispersion": None
            if scatter is None
            else {
                "index": scatter.index,
                "chi2": scatter.chi2,
                "degrees_of_freedom": scatter.degrees_of_freedom,
                "p_upper": scatter.p_upper,
                "agreement": str(scatter.agreement),
            },
        }


@dataclass(frozen=True, slots=True)
class StageEstimate:
    """One stage of a sample; ``share`` of all that was counted, with Wilson's limits.

    ``density_per_ml`` is None when nothing was looked at, ``total`` and its limits also without a
    vessel volume, the share when nothing was counted.
    """

    stage: str
    counted: int
    total: float | None
    low: float | None
    high: float | None
    density_per_ml: float | None
    share: float | None
    share_low: float | None
    share_high: float | None

    def as_json(self) -> dict[str, Any]:
        """Return the entry of ``stages`` in the JSON that the command line writes."""
        return {
            "stage": self.stage,
            "counted": self.counted,
            "total": self.total,
            "low": self.low,
            "high": self.high,
            "density_per_ml": self.density_per_ml,
            "share": self.share,
            "share_low": self.share_low,
            "share_high": self.share_high,
        }


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
    shallow = cautions.shallow_chamber(sample)
    return replace(result, warnings=(*missing, *result.warnings, *shallow))


def by_stage(sample: Sample, *, with_absent: bool = False) -> tuple[StageEstimate, ...]:
    """Return each stage that was counted, in growing order, with limits of its own.

    ``with_absent`` adds the stages of the target of which none was counted.
    """
    found, _ = replicates(sample)
    pooled: Counter[str] = Counter()
    for entry in found:
        pooled.update(entry.counts)
    known = sample.target.stages
    present = [stage for stage, count in pooled.items() if count]
    wanted = {*present, *(known if with_absent else ())}
    ordered = [stage for stage in known if stage in wanted]
    ordered += sorted(wanted - set(known))
    return tuple(_stage(sample, stage, found, pooled.total()) for stage in ordered)


def _stage(
    sample: Sample, stage: str, found: Sequence[Replicate], counted_in_all: int
) -> StageEstimate:
    result = _estimate_of(sample, found, [entry.counts.get(stage, 0) for entry in found])
    share = wilson(result.counted, counted_in_all, sample.confidence)
    return StageEstimate(
        stage=stage,
        counted=result.counted,
        total=result.total,
        low=result.low,
        high=result.high,
        density_per_ml=result.density_per_ml,
        share=share.value,
        share_low=share.low,
        share_high=share.high,
    )


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
