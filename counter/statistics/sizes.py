"""How long the larvae are: the marks that count and that no border cuts."""

from __future__ import annotations

from dataclasses import asdict, dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray

from counter.domain.sample import Sample
from counter.statistics.fieller import two_sided_t
from counter.statistics.quantiles import quantile_limits

Limits = tuple[float | None, float | None]
OPEN: Limits = (None, None)


@dataclass(frozen=True, slots=True)
class Sizes:
    """Lengths in µm: how many were measured, mean, standard deviation, percentiles.

    ``sd`` divides by n - 1 and is None for a single length. Percentiles are interpolated linearly
    between the sorted lengths. The limits, at the sample's confidence, are Student's for the mean
    and order statistics for the percentiles; None is open: too few were measured to say. What the
    borders select and whether there are two groups: :mod:`counter.statistics.selection`.
    """

    measured: int
    mean: float
    sd: float | None
    p10: float
    median: float
    p90: float
    mean_limits: Limits = OPEN
    p10_limits: Limits = OPEN
    median_limits: Limits = OPEN
    p90_limits: Limits = OPEN

    def as_json(self) -> dict[str, Any]:
        """Return the ``sizes_um`` object of the JSON that the command line writes."""
        return asdict(self)


NOTHING_MEASURED: dict[str, Any] = {
    field.name: OPEN if field.name.endswith("_limits") else None for field in fields(Sizes)
} | {"measured": 0}
"""The ``sizes_um`` object of the JSON where nothing was measured."""


def lengths_um(sample: Sample) -> NDArray[np.float64]:
    """Return the length of each mark that counts and that no border cuts, shape (n,), in order."""
    fields = [np.asarray(entry.lengths_um(sample.edges)) for entry in sample.picture_fields()]
    return np.sort(np.concatenate([np.empty(0), *fields]), kind="stable")


def sizes(sample: Sample) -> Sizes | None:
    """Return the sizes of ``sample``; None where nothing was measured (none found, or tallied)."""
    return sizes_of(lengths_um(sample), sample.confidence)


def sizes_of(lengths_um: ArrayLike, confidence: float = 0.95) -> Sizes | None:
    """Return the sizes of ``lengths_um`` (shape (n,), in any order); None where there are none."""
    lengths = np.sort(np.asarray(lengths_um, dtype=np.float64), kind="stable")
    if not lengths.size:
        return None
    p10, median, p90 = (float(value) for value in np.percentile(lengths, [10, 50, 90]))
    mean, sd = float(lengths.mean()), float(lengths.std(ddof=1)) if lengths.size > 1 else None
    return Sizes(
        measured=int(lengths.size),
        mean=mean,
        sd=sd,
        p10=p10,
        median=median,
        p90=p90,
        mean_limits=_mean_limits(mean, sd, lengths.size, confidence),
        p10_limits=quantile_limits(lengths, 0.1, confidence),
        median_limits=quantile_limits(lengths, 0.5, confidence),
        p90_limits=quantile_limits(lengths, 0.9, confidence),
    )


def _mean_limits(mean: float, sd: float | None, number: int, confidence: float) -> Limits:
    if sd is None:
        return OPEN
    half = two_sided_t(confidence, number - 1) * sd / number**0.5
    return mean - half, mean + half
