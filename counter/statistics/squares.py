"""How the squares and pictures of one filling scatter: are the bodies spread evenly in the chamber?

They are no replicates of the vessel and do not widen its limits; clumped squares tell of clumps,
or of a chamber that was filled badly.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from counter.domain.edges import EdgeRule
from counter.domain.field import PictureField
from counter.domain.rounding import for_people
from counter.domain.sample import Filling, Sample
from counter.statistics.cautions import probability
from counter.statistics.dispersion import Agreement, Dispersion, pooled_dispersion
from counter.statistics.negative_binomial import fit, moment_k

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


def ruled_squares_of(sample: Sample, filling: Filling) -> Squares:
    """Return count and area (mm²) of every square of the rulings that a picture shows whole.

    A body on a line belongs to one of them by the edge rule.
    """
    counts: list[int] = []
    areas: list[float] = []
    for entry in filling.fields:
        if isinstance(entry, PictureField) and entry.picture.grid is not None:
            found = sample.count_by_square(entry)
            area_px = entry.picture.grid.period_px**2
            counts += found.values()
            areas += [entry.picture.scale.area_mm2(area_px)] * len(found)
    return counts, areas


def among_ruled_squares(sample: Sample) -> Dispersion | None:
    """Return how the rulings' whole squares scatter within the fillings; None: fewer than two."""
    return pooled_dispersion(ruled_squares_of(sample, filling) for filling in sample.fillings)


def squares_line(sample: Sample) -> list[str]:
    """Return the lines of the working on squares and pictures, and on the squares of rulings."""
    every = [squares_of(filling, sample.edges) for filling in sample.fillings]
    ruled = [ruled_squares_of(sample, filling) for filling in sample.fillings]
    number = sum(len(counts) for counts, _ in ruled)
    return [
        *scatter_line("Squares and pictures within a filling", every),
        *scatter_line(f"The {number} squares of the rulings that pictures show whole", ruled),
    ]


def scatter_line(what: str, groups: Sequence[Squares]) -> list[str]:
    """Return a line on how ``what`` scatters within each of ``groups`` (the squares of a filling).

    Where the squares of one filling are clumped and alike, k of the negative binomial stands with
    it, by maximum likelihood and by moments. Nothing is returned where there is nothing to compare,
    or too few to say.
    """
    scatter = pooled_dispersion(groups)
    if scatter is None or scatter.agreement is Agreement.TOO_FEW:
        return []
    line = (
        f"{what}: χ² = {for_people(scatter.chi2)} on "
        f"{scatter.degrees_of_freedom} degree{'' if scatter.degrees_of_freedom == 1 else 's'} of "
        f"freedom, {probability(scatter.p_upper)}: {scatter.agreement}"
    )
    counts, areas = groups[0]
    alike = len(groups) == 1 and math.isclose(min(areas), max(areas), rel_tol=1e-9)
    clumped = fit(counts) if alike and scatter.agreement is Agreement.CLUMPED else None
    if clumped is None or math.isinf(clumped.k):
        return [line]
    by_moments = for_people(moment_k(counts))
    k = f"k = {for_people(clumped.k)} by maximum likelihood, {by_moments} by moments"
    return [f"{line} (negative binomial, {k})"]
