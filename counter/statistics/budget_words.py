"""What makes the limits as wide as they are: a table of parts, and a sentence on it."""

from __future__ import annotations

from counter.domain.rounding import for_people
from counter.statistics.cautions import probability
from counter.statistics.dispersion import Agreement
from counter.statistics.result import Estimate
from counter.statistics.uncertainty import COUNT

HEADS = ("Part", "Standard uncertainty, %", "Share of the variance, %")
_MEANING = {
    Agreement.CHANCE: "nothing speaks against a well-mixed vessel",
    Agreement.PERHAPS: "chance alone seldom does so; another filling would tell",
    Agreement.CLUMPED: "more than chance allows; mix the vessel before each filling",
    Agreement.EVEN: "less than usual by chance; no harm",
    Agreement.TOO_REGULAR: "less than chance allows; were all of them counted independently?",
    Agreement.TOO_FEW: "count more in each filling",
}


def budget_cells(result: Estimate) -> tuple[tuple[str, str, str], ...]:
    """Return a row for each part under :data:`HEADS`, the largest first; none without a count."""
    return tuple(
        (line.part, for_people(100 * line.relative), for_people(100 * line.share, 2))
        for line in result.budget
    )


def part_lines(result: Estimate) -> tuple[str, ...]:
    """Return the same rows as lines of the working."""
    return tuple(
        f"Part: {part} {relative} %, {share} % of the variance"
        for part, relative, share in budget_cells(result)
    )


def budget_words(result: Estimate) -> tuple[str, ...]:
    """Return which part matters, and how the fillings agree; a line each."""
    return (*_part_words(result), *_agreement_words(result))


def _part_words(result: Estimate) -> list[str]:
    if not result.count:
        return []
    if not result.volumes.is_given or not result.budget:
        return [
            "The limits are those of the count alone: how well the volumes are known was not "
            "given. Type it on the sample card to see what the volumes add."
        ]
    largest = result.budget[0]
    if largest.part == COUNT:
        return ["The count matters most: counting more makes the limits narrower."]
    return [
        f"The {largest.part} matters most: counting more hardly helps, a better known volume does."
    ]


def _agreement_words(result: Estimate) -> list[str]:
    scatter = result.dispersion
    if scatter is None:
        return []
    degrees = scatter.degrees_of_freedom
    return [
        f"The fillings are {scatter.agreement} (χ² = {for_people(scatter.chi2)} on {degrees} "
        f"degree{'' if degrees == 1 else 's'} of freedom, {probability(scatter.p_upper)}): "
        f"{_MEANING[scatter.agreement]}."
    ]
