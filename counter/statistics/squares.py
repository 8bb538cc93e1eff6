"""How the squares and pictures of one filling scatter: are the bodies spread evenly in the chamber?

They are no replicates of the vessel and do not widen its limits; clumped squares tell of clumps,
or of a chamber that was filled badly.
"""

from __future__ import annotations

import math

from counter.domain.edges import EdgeRule
from counter.domain.field import PictureField
from counter.domain.rounding import for_people
from counter.domain.sample import Filling, Sample
from counter.statistics.cautions import probability
from counter.statistics.dispersion import Agreement, Dispersion, pooled_dispersion
from counter.statistics.negative_binomial import fit

Squares = tuple[list[int], list[float]]
"""Counts, and areas in mm²."""


def squares_of(filling: Filling, rule: EdgeRule) -> Squares:
    """Return count and area of every square that was tallied and every picture of ``filling``."""
    counts: list[int] = []
    areas: list[float] = []
    for entry in filling.fields:
        if isinstance(entry, PictureField):
            counts.append(sum(entry.count_by_class(rule).values()))
            areas.append(entry.area_mm2)
        else:
            counts += [sum(square.counts.values()) for square in entry.counted_squares]
            areas += [entry.square_area_mm2] * len(entry.counted_squares)
    return counts, areas


def among_squares(sample: Sample) -> Dispersion | None:
    """Return how squares and pictures scatter within their fillings; None: nothing to compare."""
    return pooled_dispersion(squares_of(filling, sample.edges) for filling in sample.fillings)


def squares_line(sample: Sample) -> list[str]:
    """Return a line of the working, with k of the negative binomial where squares are clumped."""
    scatter = among_squares(sample)
    if scatter is None or scatter.agreement is Agreement.TOO_FEW:
        return []
    line = (
        f"Squares and pictures within a filling: χ² = {for_people(scatter.chi2)} on "
        f"{scatter.degrees_of_freedom} degree{'' if scatter.degrees_of_freedom == 1 else 's'} of "
        f"freedom, {probability(scatter.p_upper)}: {scatter.agreement}"
    )
    counts, areas = squares_of(sample.fillings[0], sample.edges)
    alike = len(sample.fillings) == 1 and math.isclose(min(areas), max(areas), rel_tol=1e-9)
    clumped = fit(counts) if alike and scatter.agreement is Agreement.CLUMPED else None
    if clumped is None or math.isinf(clumped.k):
        return [line]
    return [f"{line} (negative binomial, k = {for_people(clumped.k)})"]
