"""What is behind the measured lengths: larvae that borders cut, and groups that were mixed."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from counter.domain.rounding import for_people
from counter.domain.sample import Sample
from counter.statistics.borders import border_weights
from counter.statistics.cohorts import Cohort, cohorts
from counter.statistics.quantiles import weighted_quantile

Values = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Corrected:
    """Mean, standard deviation and percentiles in µm with the border's selection taken out.

    Each body is weighted by how many like it the borders cut (:mod:`counter.statistics.borders`).
    ``sd`` is None for a single length. The weights go from ``least`` to ``most``, ``weight`` in
    all; ``freedom`` is what the squares are divided by for ``sd``.
    """

    mean: float
    sd: float | None
    p10: float
    median: float
    p90: float
    weight: float
    freedom: float
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class Selection:
    """Sizes without the border's selection, and the two groups where there is not one.

    Both are None where nothing was measured.
    """

    corrected: Corrected | None
    cohorts: tuple[Cohort, Cohort] | None

    def as_json(self) -> dict[str, Any]:
        """Return what is added to ``sizes_um`` in the JSON that the command line writes."""
        return asdict(self)


def selection(sample: Sample) -> Selection:
    """Return what is behind the lengths of ``sample``."""
    parts = [
        (field, [mark for mark in field.counted(sample.edges) if not mark.is_cut])
        for field in sample.picture_fields()
    ]
    parts = [(field, marks) for field, marks in parts if marks]
    if not parts:
        return Selection(None, None)
    lengths = np.array([mark.length_um for _, marks in parts for mark in marks])
    weights = np.concatenate([border_weights(field, marks) for field, marks in parts])
    order = np.argsort(lengths, kind="stable")
    return Selection(_corrected(lengths[order], weights[order]), cohorts(lengths))


def two_groups(found: Selection) -> list[str]:
    """Say it when the lengths fall into two groups; nothing where they are one."""
    if found.cohorts is None:
        return []
    groups = " and ".join(
        f"{for_people(group.mean_um, 2)} µm ({for_people(100 * group.share, 2)} %)"
        for group in found.cohorts
    )
    return [
        f"The lengths fall into two groups, about {groups}: two cohorts in the tank, two screens "
        "mixed, or a torn one? A mean of both means little."
    ]


def _corrected(lengths: Values, weights: Values) -> Corrected:
    whole = float(weights.sum())
    mean = float(weights @ lengths) / whole
    freedom = whole - float(weights @ weights) / whole
    spread = float(weights @ np.square(lengths - mean))
    p10, median, p90 = (weighted_quantile(lengths, weights, share) for share in (0.1, 0.5, 0.9))
    return Corrected(
        mean=mean,
        sd=(spread / freedom) ** 0.5 if lengths.size > 1 else None,
        p10=p10,
        median=median,
        p90=p90,
        weight=whole,
        freedom=freedom,
        least=float(weights.min()),
        most=float(weights.max()),
    )
