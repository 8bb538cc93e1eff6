"""What a dilution series and slides counted twice say about a way of counting, in sentences."""

from __future__ import annotations

from counter.domain.rounding import for_people, quantity_for_people
from counter.statistics.cautions import percent, probability
from counter.statistics.comparison import Answer
from counter.statistics.proportionality import LEAST_LEVELS, LEAST_REPLICATES, Proportionality
from counter.statistics.repeatability import Repeatability


def proportionality_words(found: Proportionality) -> tuple[str, ...]:
    """Return the answer first, then the numbers, a line for each fraction, and what is missing."""
    follow = "follow" if found.is_proportional else "do not follow"
    numbers = (
        f"proportionality index {for_people(100 * found.index)} %, R² "
        f"{found.r_squared:.4f}, {probability(found.p_value)}"
    )
    return (
        f"The counts {follow} the dilution: {numbers}.",
        *_top(found),
        *_scatter(found),
        *(
            f"Fraction {quantity_for_people(level.fraction)}: mean {for_people(level.mean)}, by "
            f"the line {for_people(found.slope * level.fraction)}"
            + ("" if level.cv is None else f", CV {for_people(100 * level.cv, 2)} %")
            for level in found.levels
        ),
        *_design(found),
    )


def _top(found: Proportionality) -> list[str]:
    is_off = not found.is_proportional and found.top.answer in (Answer.LESS, Answer.MORE)
    if not is_off or found.top.ratio is None:
        return []
    level = quantity_for_people(found.levels[-1].fraction)
    times = f"{for_people(found.top.ratio)} times what the thinner ones say"
    if found.top.answer is Answer.LESS:
        return [
            f"The densest, fraction {level}, holds {times}: larvae touch or are passed over. Count "
            "thinner."
        ]
    return [
        f"The densest, fraction {level}, holds {times}: are larvae lost in the thin ones, or is "
        "a dilution wrong?"
    ]


def _scatter(found: Proportionality) -> list[str]:
    if found.cv is None:
        return []
    return [
        f"Replicates scatter by {for_people(100 * found.cv, 2)} %; chance alone makes "
        f"{for_people(100 * found.cv_by_chance, 2)} %."
    ]


def _design(found: Proportionality) -> list[str]:
    fewest = min(len(level.counts) for level in found.levels)
    if len(found.levels) >= LEAST_LEVELS and fewest >= LEAST_REPLICATES:
        return []
    return [
        f"A sound series has {LEAST_LEVELS} fractions or more with {LEAST_REPLICATES} counts each, "
        "in random order; this one is smaller."
    ]


def repeatability_words(found: Repeatability) -> tuple[str, ...]:
    """Return how well the second count repeats the first, and whether one counts more."""
    spread = f"{for_people(found.sd, 2)} larvae"
    if found.cv is not None:
        spread += f" ({for_people(100 * found.cv, 2)} % of {for_people(found.mean)})"
    slides = f"{found.pairs} slide{'' if found.pairs == 1 else 's'}"
    lines = [f"From {slides} counted twice: standard deviation of one count {spread}."]
    if found.p_value is None or found.low is None or found.high is None:
        return (*lines, "One slide cannot show whether one of the two counts more; take ten.")
    limits = (
        f"{for_people(found.difference, 2)} a slide ({percent(found.confidence)} limits "
        f"{for_people(found.low, 2)} to {for_people(found.high, 2)}, {probability(found.p_value)})"
    )
    if not found.is_biased:
        return (
            *lines,
            f"The second does not show to count more or fewer than the first: {limits}.",
        )
    more = "more" if found.difference > 0 else "fewer"
    return (
        *lines,
        f"The second counts {more} than the first: {limits}. Look at the same slide together and "
        "agree on what counts.",
    )
