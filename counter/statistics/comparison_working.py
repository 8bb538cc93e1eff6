"""The working of a comparison of two counts, line by line as on paper."""

from __future__ import annotations

import math

from counter.domain.rounding import for_people, quantity_for_people, whole_for_people
from counter.statistics.cautions import percent, probability
from counter.statistics.comparison import FIELLER, Comparison, Side
from counter.statistics.fieller import two_sided_t
from counter.statistics.proportion import clopper_pearson
from counter.statistics.ratio import minimum_likelihood_p
from counter.statistics.vessels import VesselsCompared


def comparison_working(compared: VesselsCompared) -> tuple[str, ...]:
    """Return the way from the two counts to the limits of their ratio; nothing without a ratio."""
    first, second = (
        one.side(totals=compared.of_totals) for one in (compared.first, compared.second)
    )
    return ratio_working(compared.found, first, second)


def ratio_working(found: Comparison, first: Side, second: Side) -> tuple[str, ...]:
    """Return the way from two sides to the limits of their ratio; nothing without a ratio."""
    if found.ratio is None or math.isinf(found.ratio):
        return ()
    if found.method == FIELLER:
        return _by_fieller(found, first.weight / second.weight)
    return _exact(found, first.weight, second.weight)


def _exact(found: Comparison, first_ml: float, second_ml: float) -> tuple[str, ...]:
    """Given the sum, the second count is binomial: its share becomes the ratio.

    The volumes are those in which one counted stands for one of the ratio.
    """
    turn = first_ml / second_ml
    whole = found.first + found.second
    share = clopper_pearson(found.second, whole, found.confidence)
    assert share.value is not None
    assert share.low is not None
    assert share.high is not None
    second = whole_for_people(found.second)
    other = minimum_likelihood_p(found.second, second_ml, found.first, first_ml)
    return (
        f"Share of the second: {second} ÷ ({whole_for_people(found.first)} + {second}) = "
        f"{_four(share.value)}, exact limits (Clopper and Pearson 1934) {_four(share.low)} to "
        f"{_four(share.high)}",
        f"Ratio: {_odds(share.value, turn)} = {for_people(found.ratio or 0.0, 4)}",
        f"Limits ({percent(found.confidence)}): {_odds(share.low, turn)} = "
        f"{for_people(found.low, 4)} and {_odds(share.high, turn)} = {for_people(found.high, 4)}",
        f"With no change the share would be 1 ÷ (1 + {_factor(turn)}) = {_four(1 / (1 + turn))}: "
        f"twice the smaller tail of the binomial gives {probability(found.p_value)}",
        f"Programs that sum all outcomes as unlikely as this one print {probability(other)}",
    )


def _by_fieller(found: Comparison, turn: float) -> tuple[str, ...]:
    assert found.ratio is not None
    assert found.index is not None
    t = two_sided_t(found.confidence, found.degrees_of_freedom)
    index, times = for_people(found.index), for_people(t, 4)
    first, second = whole_for_people(found.first), whole_for_people(found.second)
    g = t * t * found.index / found.first
    ratio = for_people(found.ratio, 4)
    lines = (
        f"Scatter: {index} times the variance of chance, on "
        f"{quantity_for_people(round(found.degrees_of_freedom, 1))} degrees of freedom: Student's "
        f"t = {times}",
        f"Ratio: {second} ÷ {first} × {_factor(turn)} = {ratio}",
        f"g = t² × {index} ÷ {first} = {_four(g)} (Fieller 1954)",
    )
    if not math.isfinite(found.high):
        return (*lines, "g is 1 or more: the first count is too poor to set limits")
    return (
        *lines,
        f"Limits ({percent(found.confidence)}): {ratio} × (1 ± {times} × √({index} × ((1 − "
        f"{_four(g)}) ÷ {second} + 1 ÷ {first}))) ÷ (1 − {_four(g)}) = {for_people(found.low, 4)} "
        f"to {for_people(found.high, 4)}",
    )


def _odds(share: float, turn: float) -> str:
    return f"{_four(share)} ÷ {_four(1 - share)} × {_factor(turn)}"


def _factor(turn: float) -> str:
    """How many times more water stands behind one of the first."""
    return quantity_for_people(float(f"{turn:.4g}"))


def _four(share: float) -> str:
    return f"{share:.4f}"
