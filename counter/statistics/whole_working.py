"""The working of every number of a sample: total, stages, states, shares, sizes."""

from __future__ import annotations

from counter.domain.sample import Sample
from counter.statistics.parts_working import parts_working
from counter.statistics.result import Estimate
from counter.statistics.sizes_working import sizes_working
from counter.statistics.working import working

OF_PARTS = "Stages, states and their shares:"
OF_SIZES = "Sizes:"


def whole_working(sample: Sample, result: Estimate | None = None) -> tuple[str, ...]:
    """Return the lines on the total (:func:`~.working.working`), then on what stands beside it.

    ``result`` is the sample's estimate where that is at hand already.
    """
    parts, lengths = parts_working(sample), sizes_working(sample)
    return (
        *working(sample, result),
        *((OF_PARTS, *parts) if parts else ()),
        *((OF_SIZES, *lengths) if lengths else ()),
    )
