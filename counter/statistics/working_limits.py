"""The working of the limits: every step from the count to the limits of the total."""

from __future__ import annotations

import math
from collections.abc import Sequence

from scipy.special import ndtri, stdtrit

from counter.domain.rounding import (
    for_people,
    limits_for_people,
    quantity_for_people,
    whole_for_people,
)
from counter.statistics.budget_words import part_lines
from counter.statistics.cautions import percent, probability
from counter.statistics.method import (
    CHECKED_ONLY,
    ONE_FILLING,
    POISSON_EXACT,
    mixing_for_people,
    uneven_for_people,
)
from counter.statistics.poisson import (
    clump_image,
    mid_p,
    one_sided_upper,
    scaled_garwood,
)
from counter.statistics.result import Estimate
from counter.statistics.scatter import GUESSED_INDEX, Widening
from counter.statistics.uncertainty import DRAWS, SEED, combined, finite_factor, monte_carlo

ALONE = "Agreement: one filling cannot show how evenly the vessel is mixed"
MID_P_BELOW = 100
"""From this count on, mid-P limits are hardly shorter than the exact ones."""


def checking_lines(result: Estimate) -> list[str]:
    """Return how the pictures that were looked through stand for all; nothing where all were."""
    seen = result.checked
    if seen is None:
        return []
    lines = [
        f"Looked through: {seen.checked} of {seen.pictures} pictures; the machine found "
        f"{seen.found} there, {seen.removed} removed, {seen.added} added: {seen.corrected}"
    ]
    if result.method.startswith(CHECKED_ONLY):
        return [
            *lines,
            f"That is too little to judge the machine by: the number rests on what was looked "
            f"through alone, as if all were like it: {quantity_for_people(result.count)}",
        ]
    certain = result.count - seen.estimated
    more = f" + {quantity_for_people(certain)} corrected or tallied" if certain > 0.5 else ""
    ratio = quantity_for_people(seen.ratio)
    return [
        *lines,
        f"Not looked through: {seen.unchecked} found × {seen.corrected} ÷ {seen.found} = "
        f"{seen.unchecked} × {ratio} = {quantity_for_people(seen.unchecked * seen.ratio)}",
        f"Count in all: {seen.corrected} + {quantity_for_people(seen.unchecked * seen.ratio)}"
        f"{more} = {quantity_for_people(result.count)}, with 1 + {seen.unchecked} × "
        f"({seen.removed} + {seen.added} + 1) ÷ {seen.found}² × {for_people(seen.unevenness)} = "
        f"{for_people(seen.index)} times the variance of chance (the last factor: how unlike the "
        "pictures are for the machine)",
    ]


def limits_lines(
    result: Estimate, volumes_ml: Sequence[float], *, with_check: bool = True
) -> list[str]:
    """Return the lines from the agreement of the fillings to the limits of the total.

    Without ``with_check`` of the budget of the volumes only the sum is said.
    """
    return [
        *_agreement_line(result),
        *_widening_line(result),
        _limits_line(result),
        *_clump_line(result, result.widening, result.index, result.count_high),
        *_beside_line(result),
        *_uneven_line(result),
        *_finite_line(result),
        *(_budget_lines(result, volumes_ml) if with_check else _together_line(result)),
        _result_line(result),
        *([uneven_for_people(result)] if result.uneven else []),
        *filter(None, [mixing_for_people(result) if result.uneven else ""]),
    ]


def _agreement_line(result: Estimate) -> list[str]:
    scatter = result.dispersion
    if scatter is None:
        return [ALONE] if mixing_for_people(result) == ONE_FILLING else []
    degrees = scatter.degrees_of_freedom
    return [
        f"Agreement: χ² = {for_people(scatter.chi2)} on {degrees} "
        f"degree{'' if degrees == 1 else 's'} of freedom, {probability(scatter.p_upper)}: "
        f"{scatter.agreement}"
    ]


def _widening_line(result: Estimate) -> list[str]:
    if not result.widening.widens:
        return []
    return [f"Scatter: {_scatter(result, result.widening)}"]


def _uneven_line(result: Estimate) -> list[str]:
    """Return how far uneven mixing that the fillings cannot rule out would widen the limits."""
    wider = result.uneven
    if wider is None:
        return []
    low, high = for_people(wider.count_low, 5), for_people(wider.count_high, 5)
    how = f"{_scatter(result, wider.widening)}: {low} to {high} for the count"
    if not result.count:
        how = f"up to {high} for the count, by a guess of {GUESSED_INDEX:g} times the variance of "
        how += "chance"
    clumps = _clump_line(result, wider.widening, wider.index, wider.count_high)
    return [f"Allowing for uneven mixing: {how}", *clumps]


def _clump_line(result: Estimate, wider: Widening, index: float, count_high: float) -> list[str]:
    """Return how the upper limit came to lie further out than the quasi-Poisson one, if it does."""
    plain = scaled_garwood(result.count, index, result.confidence)[1] if result.count else 0.0
    if not wider.is_clumped or result.checked or not count_high > plain > 0:
        return []
    image = clump_image(result.count, index, result.confidence)
    part = for_people(math.log(count_high / plain) / math.log(image.mirror / plain))
    from_, to = for_people(plain, 5), for_people(image.mirror, 5)
    whose = "" if image.of == result.count else f" of {for_people(image.of)}"
    return [
        "Upper limit: clumps scatter more the more there are, so it goes towards the mirror image "
        f"of the lower limit{whose}, {to}: {from_} × ({to} ÷ {from_})^{part} = "
        f"{for_people(count_high, 5)}"
    ]


def _scatter(result: Estimate, wider: Widening) -> str:
    """Return how the index came about, and what Student's t makes of it."""
    own, house = result.dispersion, wider.house
    chi2, degrees = (0.0, 0) if own is None else (own.chi2, own.degrees_of_freedom)
    weight = quantity_for_people(round(wider.degrees_of_freedom - degrees, 2))
    known = quantity_for_people(round(GUESSED_INDEX if house is None else house.index, 3))
    source = "a guess"
    if house is not None:
        source = "earlier samples" if house.samples else "as given"
    tail = (1 + result.confidence) / 2
    student, normal = float(stdtrit(wider.degrees_of_freedom, tail)), float(ndtri(tail))
    times = for_people(wider.index * (student / normal) ** 2)
    is_less = wider.factor(result.confidence) == 1.0
    remark = ", no more than chance" if is_less else ""
    return (
        f"(χ² {for_people(chi2)} + {weight} × {known}, {source}) ÷ ({degrees} + {weight}) = "
        f"{for_people(wider.index)} times the variance of chance, × ({for_people(student)} ÷ "
        f"{for_people(normal)})² by Student's t = {times}{remark}"
    )


def _limits_line(result: Estimate) -> str:
    how = "exact Poisson limits (Garwood 1936)"
    if result.index > 1.0:
        times = for_people(result.index)
        how = f"Poisson limits widened for {times} times the variance of chance (quasi-Poisson)"
        if result.widening.is_clumped:
            how += ", the upper one for clumps"
    low, high = for_people(result.count_low, 5), for_people(result.count_high, 5)
    line = f"Limits: {percent(result.confidence)}, {how}: {low} to {high} for the count"
    if result.low is None or result.high is None or result.method not in _OF_COUNT_ALONE:
        return line
    return f"{line}, {whole_for_people(result.low)} to {whole_for_people(result.high)} in all"


_OF_COUNT_ALONE = (POISSON_EXACT, "quasi-poisson", "double-sampling", "checked-only")


def _beside_line(result: Estimate) -> list[str]:
    """Return the one-sided rule for none counted, shorter limits for a few."""
    if result.method != POISSON_EXACT or result.counted >= MID_P_BELOW:
        return []
    if result.counted == 0:
        upper = for_people(one_sided_upper(0, result.confidence))
        return [
            f"One-sided: -ln(1 - {for_people(result.confidence)}) = {upper} for the count (the "
            "rule of three); the limit above is the two-sided one"
        ]
    low, high = (for_people(limit, 4) for limit in mid_p(result.counted, result.confidence))
    return [f"Shorter limits, right on average only (mid-P): {low} to {high} for the count"]


def _finite_line(result: Estimate) -> list[str]:
    finite = finite_factor(result.vessel_share)
    if finite == 1.0:
        return []
    share = for_people(result.vessel_share)
    return [
        f"Small vessel: {share} of it was looked through and is known, so the limits are drawn "
        f"together by √(1 - {share}) = {for_people(finite)}"
    ]


def _together_line(result: Estimate) -> list[str]:
    if not result.budget or not result.volumes.is_given:
        return []
    return [
        f"Together: √(sum of squares) = {for_people(100 * combined(result.budget))} % (JCGM 100), "
        "added to the limits on the log scale"
    ]


def _budget_lines(result: Estimate, volumes_ml: Sequence[float]) -> list[str]:
    if not result.budget or not result.volumes.is_given:
        return []
    per_count = result.total if result.total is not None else result.density_per_ml
    where = "in all" if result.total is not None else "per mL"
    drawn = monte_carlo(
        result.count,
        result.index * finite_factor(result.vessel_share) ** 2,
        result.volumes,
        volumes_ml,
        result.confidence,
        vessel=result.total is not None,
    )
    low, high = (limit * (per_count or 0.0) / result.count for limit in drawn)
    return [
        *(f"Uncertainty of the {source}" for source in result.volumes.sources),
        *part_lines(result),
        *_together_line(result),
        f"Check: {whole_for_people(DRAWS)} draws (JCGM 101, seed {SEED}): "
        f"{for_people(low)} to {for_people(high)} {where}",
    ]


def _result_line(result: Estimate) -> str:
    level = f"{percent(result.confidence)} limits"
    if result.total is not None and result.low is not None and result.high is not None:
        return f"Total: {limits_for_people(result.total, result.low, result.high)}, {level}"
    numbers = (result.density_per_ml, result.density_low_per_ml, result.density_high_per_ml)
    value, low, high = (0.0 if number is None else number for number in numbers)
    return f"Density: {limits_for_people(value, low, high)} per mL, {level}"
