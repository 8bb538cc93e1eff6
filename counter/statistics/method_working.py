"""The working of a dilution series and of slides counted twice, line by line as on paper."""

from __future__ import annotations

import math

from counter.domain.rounding import for_people, on_paper, quantity_for_people, whole_for_people
from counter.statistics.cautions import percent, probability
from counter.statistics.comparison_working import ratio_working
from counter.statistics.fieller import two_sided_t
from counter.statistics.proportionality import Level, Proportionality, lower_and_top
from counter.statistics.repeatability import Repeatability


def proportionality_working(found: Proportionality) -> tuple[str, ...]:
    """Return the way from the counts of a series to its index, R², CV and p value."""
    counted = sum(sum(level.counts) for level in found.levels)
    spread = math.fsum(level.fraction * len(level.counts) for level in found.levels)
    return (
        f"Line through the origin: Σ counts ÷ Σ fractions = {whole_for_people(counted)} ÷ "
        f"{on_paper(spread)} = {on_paper(found.slope)} at fraction 1",
        *(_level(level, found.slope) for level in found.levels),
        *_line(found),
        *_cv(found),
        *_fit(found),
        *_top(found),
    )


def _level(level: Level, slope: float) -> str:
    counts = " + ".join(map(whole_for_people, level.counts))
    cv = "" if level.cv is None else f"; CV {on_paper(100 * level.cv, 4)} %"
    line = level.fraction * slope
    return (
        f"Fraction {quantity_for_people(level.fraction)}: mean ({counts}) ÷ {len(level.counts)} = "
        f"{on_paper(level.mean)}; line {quantity_for_people(level.fraction)} × "
        f"{on_paper(slope)} = {on_paper(line)}; off by {on_paper(level.mean - line, 4)}{cv}"
    )


def _line(found: Proportionality) -> list[str]:
    means = [level.mean for level in found.levels]
    off = [level.mean - found.slope * level.fraction for level in found.levels]
    middle = math.fsum(means) / len(means)
    missed = math.fsum(entry * entry for entry in off)
    whole = math.fsum((mean - middle) ** 2 for mean in means)
    return [
        f"Index: Σ |off| ÷ Σ means = {on_paper(math.fsum(map(abs, off)))} ÷ "
        f"{on_paper(math.fsum(means))} = {on_paper(100 * found.index)} %",
        f"R² = 1 − Σ off² ÷ Σ (mean − {on_paper(middle)})² = 1 − {on_paper(missed)} ÷ "
        f"{on_paper(whole)} = {on_paper(found.r_squared)}",
    ]


def _cv(found: Proportionality) -> list[str]:
    if found.cv is None:
        return []
    return [
        "Scatter of replicates: √(Σ (number − 1) × CV² ÷ Σ (number − 1)) = "
        f"{on_paper(100 * found.cv)} %; by chance 1 ÷ line in place of CV²: "
        f"{on_paper(100 * found.cv_by_chance)} %"
    ]


def _fit(found: Proportionality) -> list[str]:
    fit = found.fit
    terms = " + ".join(_term(level, found.slope) for level in found.levels)
    lines = [
        f"Fit: X² = Σ (counted − expected)² ÷ expected = {terms} = {on_paper(fit.chi2)} on "
        f"{fit.degrees_of_freedom} degree{'' if fit.degrees_of_freedom == 1 else 's'} of freedom"
    ]
    answer = probability(fit.p_value)
    if not fit.within_degrees:
        return [*lines, f"No replicates show a scatter of their own, so X² has χ²: {answer}"]
    scatter = (
        f"Replicates: Σ (count − mean)² ÷ mean ÷ {fit.within_degrees} = {on_paper(fit.within)} "
        "times the variance of chance"
    )
    if fit.within <= 1:
        return [*lines, f"{scatter}, no more than chance, so X² has χ²: {answer}"]
    ratio = fit.chi2 / fit.degrees_of_freedom / fit.within
    return [
        *lines,
        f"{scatter}, so F = {on_paper(fit.chi2)} ÷ {fit.degrees_of_freedom} ÷ "
        f"{on_paper(fit.within)} = {on_paper(ratio)} on {fit.degrees_of_freedom} and "
        f"{fit.within_degrees} degrees of freedom: {answer}",
    ]


def _term(level: Level, slope: float) -> str:
    expected = on_paper(slope * level.fraction * len(level.counts))
    return f"({whole_for_people(sum(level.counts))} − {expected})² ÷ {expected}"


def _top(found: Proportionality) -> list[str]:
    lines = ratio_working(found.top, *lower_and_top(found.levels))
    return ["The densest fraction (second) beside the thinner ones (first):", *lines] * bool(lines)


def repeatability_working(found: Repeatability) -> tuple[str, ...]:
    """Return the way from the differences of slides counted twice to scatter, limits and p."""
    number = found.pairs
    squares = sum(entry * entry for entry in found.differences)
    listed = ", ".join(map(quantity_for_people, found.differences))
    mean = on_paper(found.difference)
    lines = [
        f"Second − first: {listed}; sum of squares {whole_for_people(squares)}",
        f"Standard deviation of one count: √({whole_for_people(squares)} ÷ (2 × {number})) = "
        f"{on_paper(found.sd)}",
    ]
    if found.cv is not None:
        lines.append(
            f"CV: {on_paper(found.sd)} ÷ {on_paper(found.mean)} (mean of all counts) = "
            f"{on_paper(100 * found.cv)} %"
        )
    lines.append(f"Mean difference: {sum(found.differences)} ÷ {number} = {mean}")
    if found.standard_error is None or found.low is None or found.high is None:
        return tuple(lines)
    error, t = on_paper(found.standard_error), on_paper(two_sided_t(found.confidence, number - 1))
    lines += [
        f"Its standard error: √((sum of squares − {number} × mean²) ÷ {number - 1} ÷ {number}) = "
        f"√(({squares} − {number} × {on_paper(found.difference, 7)}²) ÷ {number - 1} ÷ {number}) = "
        f"{error}",
        f"Limits ({percent(found.confidence)}): {mean} ± {t} × {error} = {on_paper(found.low)} to "
        f"{on_paper(found.high)} (Student's t on {number - 1})",
    ]
    if found.standard_error and found.p_value is not None:
        ratio = for_people(abs(found.difference) / found.standard_error, 4)
        lines.append(f"t = |mean| ÷ standard error = {ratio}: {probability(found.p_value)}")
    return tuple(lines)
