"""The working of a plan for more counting, line by line as on paper."""

from __future__ import annotations

import math

from counter.domain.rounding import on_paper, whole_for_people
from counter.statistics.cautions import percent
from counter.statistics.effort import Done, Effort, Minutes
from counter.statistics.effort_words import SQUARE
from counter.statistics.interval import Interval
from counter.statistics.poisson import clumped_garwood
from counter.statistics.precision import counted_for, normal_quantile, precision_of


def effort_working(
    found: Effort,
    done: Done,
    confidence: float = 0.95,
    minutes: Minutes | None = None,
    unit: str = SQUARE,
) -> tuple[str, ...]:
    """Return the way from what was counted to what it takes, and what that costs.

    ``found`` is what :func:`~.effort.effort` said of ``done``; ``unit`` is a square or a picture.
    """
    lines = _now(found, done, confidence)
    if found.is_reached:
        return tuple(lines)
    z = normal_quantile(confidence)
    left = found.precision**2 - (z * done.fixed) ** 2
    if done.fixed:
        given = f"({on_paper(z)} × {_percent(done.fixed)})²"
        rest = f"√ = ±{_percent(math.sqrt(left))}" if left > 0 else "nothing is left for counting"
        lines.append(f"Left for the count: ({_percent(found.precision)})² − {given}: {rest}")
    if found.more_larvae is None or found.more_fillings is None or left <= 0:
        return tuple(lines)
    return (
        *lines,
        *_more(found, done, math.sqrt(left), confidence),
        *_in_these(found, done, math.sqrt(left), confidence, unit),
        *_cost(found, done, minutes, unit),
    )


def _now(found: Effort, done: Done, confidence: float) -> list[str]:
    index, lines = done.index_with(0, confidence), []
    if index > 1:
        lines.append(f"Scatter now: {_index(done, 0, confidence)}")
    count = precision_of(done.counted, confidence, index, clumped=done.clumped_with(0, confidence))
    lines.append(f"Now: {_width(done.counted, done, 0, confidence)}")
    if done.fixed:
        z = on_paper(normal_quantile(confidence))
        lines.append(
            f"With the volumes: √(({_percent(count)})² + ({z} × {_percent(done.fixed)})²) = "
            f"±{_percent(found.now)}"
        )
    return lines


def _index(done: Done, more: int, confidence: float) -> str:
    times, t = on_paper(max(1.0, done.index)), on_paper(done.allowance(more, confidence))
    return (
        f"{times} times the variance of chance × {t}² (Student's t ÷ normal quantile) = "
        f"{on_paper(done.index_with(more, confidence))}"
    )


def _width(counted: int, done: Done, more: int, confidence: float) -> str:
    """Return the limits of a count and half their width, once so many fillings more are counted."""
    index, clumped = done.index_with(more, confidence), done.clumped_with(more, confidence)
    low, high = clumped_garwood(counted, index, confidence, clumped=clumped)
    whole = whole_for_people(counted)
    return (
        f"{percent(confidence)} limits of {whole} counted are {on_paper(low, 6)} to "
        f"{on_paper(high, 6)}; ({on_paper(high, 6)} − {on_paper(low, 6)}) ÷ (2 × {whole}) = "
        f"±{_percent(precision_of(counted, confidence, index, clumped=clumped))}"
    )


def _more(found: Effort, done: Done, aim: float, confidence: float) -> list[str]:
    assert found.more_larvae is not None
    assert found.more_fillings is not None
    more, needed = found.more_fillings, done.counted + found.more_larvae
    per_filling, per_ml = done.per_filling, done.counted / done.volume_ml
    lines = []
    if done.index_with(more, confidence) > 1:
        lines.append(f"Scatter with {more} more fillings: {_index(done, more, confidence)}")
    whole, counted = whole_for_people(needed), whole_for_people(done.counted)
    return [
        *lines,
        f"Enough for ±{_percent(aim)}: {_width(needed, done, more, confidence)}; one fewer is too "
        "few",
        f"More: {whole} − {counted} = {whole_for_people(found.more_larvae)}, in "
        f"{whole_for_people(found.more_larvae)} ÷ {on_paper(per_ml)} per mL = "
        f"{on_paper(found.more_larvae / per_ml)} mL",
        f"Fillings: {counted} + {more} × {on_paper(per_filling)} in each = "
        f"{on_paper(done.counted + more * per_filling)}, the first number that is enough",
    ]


def _in_these(found: Effort, done: Done, aim: float, confidence: float, unit: str) -> list[str]:
    if not done.squares or found.more_squares is None:
        return []
    z, between = normal_quantile(confidence), done.between
    left = (aim / z) ** 2 - between / done.fillings
    counted = whole_for_people(done.counted)
    budget = (
        f"Between fillings: b = ({on_paper(max(1.0, done.index))} − 1) ÷ "
        f"{on_paper(done.per_filling)} = {on_paper(between)}; for the {unit}s of the "
        f"{done.fillings} loaded ({_percent(aim)} ÷ {on_paper(z)})² − {on_paper(between)} ÷ "
        f"{done.fillings} = {on_paper(left)} is left"
    )
    needed = counted_for(z * math.sqrt(left), confidence) if left > 0 else None
    if needed is None or found.squares_in_these is None:
        return [f"{budget}: more {unit}s of them cannot do it"]
    return [
        f"{budget}: ±{_percent(z * math.sqrt(left))} takes {whole_for_people(needed)}",
        f"More {unit}s of them: ({whole_for_people(needed)} − {counted}) × {done.squares} ÷ "
        f"{counted} = {whole_for_people(found.squares_in_these)}, rounded up, 0 at least",
    ]


def _cost(found: Effort, done: Done, minutes: Minutes | None, unit: str) -> list[str]:
    if minutes is None or found.minutes_fillings is None:
        return []
    filling, square = on_paper(minutes.per_filling), on_paper(minutes.per_square)
    each = on_paper((done.squares or 0) / done.fillings)
    lines = [
        f"New fillings: {found.more_fillings} × ({filling} + {each} × {square}) min = "
        f"{on_paper(found.minutes_fillings)} min"
    ]
    if found.minutes_squares is not None:
        lines.append(
            f"More {unit}s: {found.squares_in_these} × {square} min = "
            f"{on_paper(found.minutes_squares)} min"
        )
    if found.best_squares_per_filling is not None and done.squares:
        per_square = on_paper(done.counted / done.squares)
        lines.append(
            f"Cheapest {unit}s in a filling (Cochran 1977): √({filling} ÷ ({square} × "
            f"{per_square} counted in one × {on_paper(done.between)})) = "
            f"{on_paper(found.best_squares_per_filling)}, 1 at least"
        )
    return lines


def inverse_working(
    count: int, volume_ml: float, found: Interval, confidence: float = 0.95
) -> tuple[str, ...]:
    """Return the way to the density where it was counted until the ``count``-th was met."""
    assert found.value is not None
    assert found.low is not None
    assert found.high is not None
    water = f"{on_paper(volume_ml)} mL"
    low, high = (on_paper(2 * volume_ml * limit) for limit in (found.low, found.high))
    return (
        f"Density: ({count} − 1) ÷ {water} = {on_paper(found.value)} per mL (Haldane 1945)",
        f"Limits ({percent(confidence)}): χ² on 2 × {count} degrees of freedom, {low} and {high}, "
        f"÷ (2 × {water}) = {on_paper(found.low)} to {on_paper(found.high)} per mL",
    )


def _percent(share: float) -> str:
    return f"{on_paper(100 * share)} %"
