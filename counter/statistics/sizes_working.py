"""The working of the sizes: mean, scatter, percentiles, what borders select, two groups."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from counter.domain.rounding import on_paper, whole_for_people
from counter.domain.sample import Sample
from counter.statistics.cautions import percent
from counter.statistics.cohorts import Cohort, dip_beside_critical
from counter.statistics.fieller import two_sided_t
from counter.statistics.precision import measured_for, normal_quantile
from counter.statistics.quantiles import quantile_ranks
from counter.statistics.selection import Corrected, selection
from counter.statistics.sizes import Limits, Sizes, lengths_um, sizes_of
from counter.statistics.sizes_words import USUAL_UM

Lengths = NDArray[np.float64]


def sizes_working(sample: Sample) -> tuple[str, ...]:
    """Return the way to every number of the sizes; nothing where nothing was measured."""
    lengths, confidence = lengths_um(sample), sample.confidence
    found, behind = sizes_of(lengths, confidence), selection(sample)
    if found is None:
        return ()
    return (
        *_mean(found, lengths, confidence),
        *_percentiles(found, confidence),
        *(_borders(behind.corrected) if behind.corrected is not None else ()),
        *(_groups(behind.cohorts, lengths) if behind.cohorts is not None else ()),
    )


def _mean(found: Sizes, lengths: Lengths, confidence: float) -> list[str]:
    number, mean = whole_for_people(found.measured), on_paper(found.mean)
    lines = [f"Mean length: {on_paper(math.fsum(lengths), 7)} µm ÷ {number} measured = {mean} µm"]
    if found.sd is None:
        return lines
    squares, below = float(np.square(lengths - found.mean).sum()), found.measured - 1
    sd, t = on_paper(found.sd), on_paper(two_sided_t(confidence, below))
    lines += [
        f"Standard deviation: √(Σ (length − mean)² ÷ ({number} − 1)) = √({on_paper(squares)} ÷ "
        f"{whole_for_people(below)}) = {sd} µm",
        f"Limits of the mean ({percent(confidence)}): {mean} ± {t} × {sd} ÷ √{number} = "
        f"{_between(found.mean_limits)} µm (Student's t on {whole_for_people(below)})",
    ]
    needed = measured_for(found.sd, USUAL_UM, confidence) if found.sd else 0.0
    if needed > found.measured:
        z = on_paper(normal_quantile(confidence))
        lines.append(
            f"For a mean to ±{USUAL_UM:g} µm: ({z} × {sd} ÷ {USUAL_UM:g})² = {on_paper(needed)}"
        )
    return lines


def _percentiles(found: Sizes, confidence: float) -> list[str]:
    named = (
        ("Median", 0.5, found.median, found.median_limits),
        ("The tenth below", 0.1, found.p10, found.p10_limits),
        ("The tenth above", 0.9, found.p90, found.p90_limits),
    )
    number = found.measured
    lines = [
        f"{name}: place 1 + {share:g} × ({number} − 1) = {on_paper(1 + share * (number - 1))} of "
        f"the lengths in order, {on_paper(value)} µm; "
        f"{_places(quantile_ranks(number, share, confidence), limits)}"
        for name, share, value, limits in named
    ]
    tail = percent((1 - confidence) / 2)
    return [
        *lines,
        "The places of the limits: how many lengths lie below a percentile is binomial; at most "
        f"{tail} of it lies beyond each",
    ]


def _places(ranks: tuple[int | None, int | None], limits: Limits) -> str:
    low, high = ranks
    if low is None and high is None:
        return "too few for limits"
    if low is None or high is None:
        which, rank, value = (
            ("upper", high, limits[1]) if low is None else ("lower", low, limits[0])
        )
        return f"only the {which} limit can be said, place {rank}: {on_paper(value or 0.0)} µm"
    return f"limits at places {low} and {high}: {_between(limits)} µm"


def _between(limits: Limits) -> str:
    return " to ".join("not known" if limit is None else on_paper(limit) for limit in limits)


def _borders(fair: Corrected) -> list[str]:
    lines = [
        "Borders (Miles 1974, Lantuéjoul 1980): a body of the mean width and length d lies whole "
        "in a W × H picture with (W − d) × (H − d) ÷ (W × H), in a round one of diameter D with "
        f"(1 − d ÷ D)²; each stands for the inverse, 20 at most: {on_paper(fair.least)} to "
        f"{on_paper(fair.most)}, in all for {on_paper(fair.weight)}",
        f"Mean with that taken out: Σ (weight × length) ÷ Σ weight = "
        f"{on_paper(fair.mean * fair.weight)} ÷ {on_paper(fair.weight)} = {on_paper(fair.mean)} µm",
    ]
    if fair.sd is not None:
        spread = on_paper(fair.sd**2 * fair.freedom)
        lines.append(
            "Standard deviation: √(Σ (weight × (length − mean)²) ÷ (Σ weight − Σ weight² ÷ Σ "
            f"weight)) = √({spread} ÷ {on_paper(fair.freedom)}) = {on_paper(fair.sd)} µm"
        )
    return [
        *lines,
        "Percentiles by the running sum of the weights: the tenth below "
        f"{on_paper(fair.p10)}, median {on_paper(fair.median)}, the tenth above "
        f"{on_paper(fair.p90)} µm",
    ]


def _groups(groups: tuple[Cohort, Cohort], lengths: Lengths) -> list[str]:
    found, critical = dip_beside_critical(lengths)
    told = " and ".join(
        f"{on_paper(100 * one.share, 4)} % of mean {on_paper(one.mean_um)} and standard deviation "
        f"{on_paper(one.sd_um)} µm"
        for one in groups
    )
    return [
        f"Two groups: √n × dip = {on_paper(found)} is above {on_paper(critical)}, which 5 % of "
        f"evenly spread lengths reach (Hartigan and Hartigan 1985); two normal curves fit best "
        f"with {told}"
    ]
