"""What counting on would bring, in plain sentences."""

from __future__ import annotations

import math

from counter.domain.rounding import for_people, quantity_for_people, volume_for_people
from counter.statistics.effort import Done, Effort, effort
from counter.statistics.effort_table import rule_words
from counter.statistics.poisson import garwood
from counter.statistics.result import Estimate
from counter.statistics.uncertainty import COUNT

SQUARE, PICTURE = "square", "picture"
USUAL_PRECISION = 0.1
"""Hatcheries ask for ±10 %; Lund, Kipling and Le Cren (1958) count 400 for it."""


def done_so_far(estimate: Estimate, fillings: int, squares: int | None = None) -> Done:
    """Return what an estimate says was counted, for :func:`counter.statistics.effort.effort`.

    Its limits on the count say what the variance is multiplied with; its budget says what counting
    does not shrink.
    """
    return Done(
        counted=round(estimate.count),
        volume_ml=estimate.volume_counted_ml,
        fillings=fillings,
        squares=squares,
        index=_index(estimate),
        degrees_of_freedom=_degrees(estimate),
        clumped=estimate.widening.is_clumped and estimate.checked is None,
        fixed=math.sqrt(sum(e.relative**2 for e in estimate.budget if e.part != COUNT)),
    )


def _index(estimate: Estimate) -> float:
    if estimate.checked is None or not estimate.count:
        return estimate.widening.index
    low, high = garwood(estimate.count, estimate.confidence)
    return max(1.0, ((estimate.count_high - estimate.count_low) / (high - low)) ** 2)


def _degrees(estimate: Estimate) -> float:
    return math.inf if estimate.checked else estimate.widening.degrees_of_freedom


def effort_sentence(done: Done, confidence: float, precision: float = USUAL_PRECISION) -> str:
    """Return one short sentence: how many more for ± ``precision``; empty while none is counted."""
    found = effort(done, precision, confidence)
    if found is None:
        return ""
    if found.is_reached:
        return f"Within ±{_percent(precision)} (±{_percent(found.now)})."
    now, aim = f"±{_percent(found.now)} now", f"±{_percent(precision)}"
    if found.more_larvae is None or found.more_fillings is None:
        return f"{now}; {aim} is out of reach by counting{_why(found)}."
    return f"{now}: about {_more(found)} for {aim}."


def effort_words(found: Effort, done: Done, unit: str = SQUARE) -> tuple[str, ...]:
    """Return the plan line by line: how many more, which way is cheaper, when to stop.

    ``unit`` is what a filling is looked through by: a square, or a picture.
    """
    aim = f"±{_percent(found.precision)}"
    if found.is_reached:
        return (f"The limits are ±{_percent(found.now)}: {aim} is reached.",)
    lines = [f"The limits are ±{_percent(found.now)} now."]
    if found.more_larvae is None or found.more_ml is None:
        return (*lines, f"{aim} is out of reach by counting{_why(found)}.")
    lines.append(
        f"For {aim}: about {_more(found)}, another "
        f"{volume_for_people(float(f'{found.more_ml:.3g}'))}."
    )
    return (
        *lines,
        *_squares_line(found, done, unit),
        *_cheaper(found, unit),
        *_best(found, unit),
        rule_words(done.counted, found.precision),
        *_stop(found),
    )


def _why(found: Effort) -> str:
    return ": the volumes are not known well enough" if found.volumes_forbid else ""


def _more(found: Effort) -> str:
    assert found.more_larvae is not None
    assert found.more_fillings is not None
    fillings = f"{found.more_fillings} more filling{'' if found.more_fillings == 1 else 's'}"
    return f"{for_people(found.more_larvae, 2)} more ({fillings} like these)"


def _squares_line(found: Effort, done: Done, unit: str) -> list[str]:
    if done.squares is None:
        return []
    if found.squares_in_these is None:
        return [
            f"More {unit}s of the same fillings cannot do it: fillings differ among themselves, "
            "here or in earlier samples. Load new ones."
        ]
    return [f"Or {found.squares_in_these} more {unit}s of the fillings that are loaded."]


def _cheaper(found: Effort, unit: str) -> list[str]:
    fillings, squares = found.minutes_fillings, found.minutes_squares
    if fillings is None:
        return []
    by_fillings = f"new fillings take about {for_people(fillings, 2)} min"
    if squares is None:
        return [f"{by_fillings[0].upper()}{by_fillings[1:]}."]
    cheaper = f"More {unit}s are" if squares < fillings else "New fillings are"
    return [
        f"{cheaper} cheaper: {by_fillings}, more {unit}s about {for_people(squares, 2)} min. New "
        "fillings also show whether the vessel was mixed."
    ]


def _best(found: Effort, unit: str) -> list[str]:
    if found.best_squares_per_filling is None:
        return []
    return [
        f"Cheapest in the long run: about {for_people(found.best_squares_per_filling, 2)} {unit}s "
        "of each filling."
    ]


def _stop(found: Effort) -> list[str]:
    assert found.more_fillings is not None
    number = found.more_fillings
    return [
        f"Decide before you go on: count {number} more filling{'' if number == 1 else 's'} and "
        "stop, whatever they hold. Stopping when the number looks right makes it wrong. Who counts "
        "until the Nth larva notes the volume up to it: the density is then (N − 1) ÷ volume."
    ]


def _percent(share: float) -> str:
    return f"{quantity_for_people(float(f'{100 * share:.2g}'))} %"
