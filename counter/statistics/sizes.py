"""How long the larvae are: the marks that count and that no border cuts."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

import numpy as np

from counter.domain.sample import Sample


@dataclass(frozen=True, slots=True)
class Sizes:
    """Lengths in µm: how many were measured, mean, standard deviation, percentiles.

    ``sd`` divides by n - 1 and is None for a single length. Percentiles are interpolated linearly
    between the sorted lengths.
    """

    measured: int
    mean: float
    sd: float | None
    p10: float
    median: float
    p90: float

    def as_json(self) -> dict[str, Any]:
        """Return the ``sizes_um`` object of the JSON that the command line writes."""
        return asdict(self)


def lengths_um(sample: Sample) -> tuple[float, ...]:
    """Return the length of each mark that counts and that no border cuts, in order."""
    return tuple(mark.length_um for mark in sample.counted_marks() if not mark.is_cut)


def sizes(sample: Sample) -> Sizes | None:
    """Return the sizes of ``sample``; None where nothing was measured (none found, or tallied)."""
    lengths = np.asarray(lengths_um(sample), dtype=np.float64)
    if not lengths.size:
        return None
    p10, median, p90 = (float(value) for value in np.percentile(lengths, [10, 50, 90]))
    return Sizes(
        measured=int(lengths.size),
        mean=float(lengths.mean()),
        sd=float(lengths.std(ddof=1)) if lengths.size > 1 else None,
        p10=p10,
        median=median,
        p90=p90,
    )
