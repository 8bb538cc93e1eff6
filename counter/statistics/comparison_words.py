"""What two counts say about each other, in plain sentences."""

from __future__ import annotations

import math
from collections.abc import Callable
from enum import StrEnum

from counter.domain.rounding import for_people, whole_for_people
from counter.statistics.cautions import percent, probability
from counter.statistics.comparison import FIELLER, Answer, Comparison
from counter.statistics.precision import counted_to_show

SMALL_LOSS = 0.1


class Question(StrEnum):
    """What the two counts are to each other."""

    CHANGE = "change"
    SURVIVAL = "survival"
    YIELD = "yield"
    LOSS = "loss"
    READERS = "readers"


def comparison_words(found: Comparison, question: Question = Question.CHANGE) -> tuple[str, ...]:
    """Return the answer to ``question``, a sentence or two each; the first is the answer."""
    if found.ratio is None or math.isinf(found.ratio):
        return (_nothing_first(found),)
    said = [_ANSWERS[question](found)]
    if found.method == FIELLER and found.index is not None:
        said.append(
            f"The limits are widened: fillings scatter {for_people(found.index)} times as much as "
            "chance alone would have it."
        )
    if found.answer is Answer.NOT_SHOWN:
        said.append(_what_would_show(found, question))
    return tuple(said)


def _nothing_first(found: Comparison) -> str:
    if found.ratio is None:
        return "None was counted on either side, so there is nothing to compare."
    return (
        f"None was counted first and {whole_for_people(found.second)} after, so there is no ratio; "
        "count more of the first."
    )


def _pair(found: Comparison) -> str:
    return f"{whole_for_people(found.first)} against {whole_for_people(found.second)}"


def _change(found: Comparison) -> str:
    shown = "does not show a change" if found.answer is Answer.NOT_SHOWN else "shows a change"
    return f"{_pair(found)} {shown}: the second is {_times(found)}."


def _readers(found: Comparison) -> str:
    if found.answer is Answer.NOT_SHOWN:
        return (
            f"{_pair(found)} does not show that the readers differ: the second counts "
            f"{_times(found)}."
        )
    return (
        f"{_pair(found)} shows that the readers differ: the second counts {_times(found)}. Look at "
        "the same field together and agree on what counts."
    )


def _survival(found: Comparison) -> str:
    return _part_of(found, "Survival", "survived")


def _yield(found: Comparison) -> str:
    return _part_of(found, "Yield", "come out")


def _part_of(found: Comparison, name: str, happened: str) -> str:
    assert found.ratio is not None
    if found.ratio <= 1:
        nothing = "; no loss is shown" if found.answer is Answer.NOT_SHOWN else ""
        return f"{name} {_share(found)}{nothing}."
    return over_all(found, happened)


def over_all(found: Comparison, happened: str = "survived") -> str:
    """Say that more was counted after than before: never as a survival."""
    what = f"The second count is {_share(found)} of the first; more than all cannot have {happened}"
    if found.answer is Answer.NOT_SHOWN:
        return f"{what}. Chance explains it: read it as no loss shown."
    return (
        f"{what}, and chance does not explain it: one of the two counts, or a volume or a "
        "dilution, is wrong. Check both before you use either."
    )


def _loss(found: Comparison) -> str:
    assert found.ratio is not None
    if found.ratio > 1:
        return over_all(found, "been kept")
    if not math.isfinite(found.high):
        return f"Loss {_percent(1 - found.ratio)}; these counts set no limits to it."
    low, high = _percent(1 - found.high), _percent(1 - found.low)
    nothing = "; no loss is shown" if found.answer is Answer.NOT_SHOWN else ""
    return (
        f"Loss {_percent(1 - found.ratio)} ({percent(found.confidence)} limits {low} to {high}, "
        f"{probability(found.p_value)}){nothing}."
    )


_ANSWERS: dict[Question, Callable[[Comparison], str]] = {
    Question.CHANGE: _change,
    Question.SURVIVAL: _survival,
    Question.YIELD: _yield,
    Question.LOSS: _loss,
    Question.READERS: _readers,
}


def _times(found: Comparison) -> str:
    assert found.ratio is not None
    return f"{for_people(found.ratio)} times the first ({_limits(found, for_people)})"


def _share(found: Comparison) -> str:
    assert found.ratio is not None
    return f"{_percent(found.ratio)} ({_limits(found, _percent)})"


def _limits(found: Comparison, spelt: Callable[[float], str]) -> str:
    if not math.isfinite(found.high):
        return f"these counts set no limits, {probability(found.p_value)}"
    return (
        f"{percent(found.confidence)} limits {spelt(found.low)} to {spelt(found.high)}, "
        f"{probability(found.p_value)}"
    )


def _percent(share: float) -> str:
    return f"{for_people(100 * share)} %"


def _what_would_show(found: Comparison, question: Question) -> str:
    needed = counted_to_show(SMALL_LOSS, found.confidence, index=max(1.0, found.index or 1.0))
    what = "difference" if question is Question.READERS else "loss"
    return (
        f"To be fairly sure of seeing a {what} of {100 * SMALL_LOSS:g} %, count about "
        f"{for_people(needed, 2)} each time."
    )
