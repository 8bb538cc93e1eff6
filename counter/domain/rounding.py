"""The last step: numbers become words for people.

The only place that rounds; numbers inside the program, in JSON and in records keep full precision.
"""

from __future__ import annotations

import math

from counter.domain.sample import Dilution

NARROW_SPACE = "\u202f"


def for_people(value: float, significant: int = 3) -> str:
    """Return ``value`` rounded to ``significant`` digits, as people read it.

    Thousands stand apart by a narrow space, from a million on it is said in words:
    ``417``, ``317 000``, ``31.0 million``. Not a number is ``not defined``.
    """
    if not math.isfinite(value):
        return "not defined" if math.isnan(value) else "unlimited"
    step = _step(value, significant)
    unit, word = _unit(value, step)
    return _in_steps(value, step, unit) + word


def limits_for_people(value: float, low: float, high: float, significant: int = 3) -> str:
    """Return ``31.0 million (16.0 to 54.1 million)``: all rounded alike, so they never cross."""
    if not all(math.isfinite(entry) for entry in (value, low, high)):
        parts = (for_people(entry, significant) for entry in (value, low, high))
        return "{} ({} to {})".format(*parts)
    leading = value or high
    step = _step(leading, significant)
    unit, word = _unit(leading, step)
    first, from_, to = (_in_steps(entry, step, unit) for entry in (value, low, high))
    return f"{first}{word if value else ''} ({from_} to {to}{word})"


def whole_for_people(value: float) -> str:
    """Return ``value`` rounded to a whole number with its thousands apart: ``317 173``."""
    return f"{round(value):,}".replace(",", NARROW_SPACE)


def volume_for_people(ml: float) -> str:
    """Return a volume in the unit that suits it: ``7.75 µL``, ``250 mL``, ``20 L``."""
    if ml >= 1000:
        value, unit = ml / 1000, "L"
    elif ml >= 0.1:
        value, unit = ml, "mL"
    else:
        value, unit = ml * 1000, "µL"
    return f"{quantity_for_people(value)}{NARROW_SPACE}{unit}"


def quantity_for_people(value: float) -> str:
    """Return something that was given (a volume, a part) without superfluous zeros."""
    if value == 0 or not 1e-4 <= abs(value) < 1e15:
        return f"{value:.6g}"
    decimals = max(0, 5 - math.floor(math.log10(abs(value))))
    spelt = f"{value:,.{decimals}f}".replace(",", NARROW_SPACE)
    return spelt.rstrip("0").rstrip(".") if "." in spelt else spelt


def on_paper(value: float, significant: int = 5) -> str:
    """Return a number of a working with enough digits for the sum to come out on paper."""
    return quantity_for_people(float(f"{value:.{significant}g}"))


def dilution_for_people(dilution: Dilution) -> str:
    """Return ``1+9``."""
    parts = (dilution.sample_parts, dilution.water_parts)
    return "+".join(quantity_for_people(part) for part in parts)


def _step(value: float, significant: int) -> int:
    """Return the power of ten of the last digit that is kept of ``value``."""
    if value == 0:
        return 0
    return int(f"{abs(value):.{significant - 1}e}".partition("e")[2]) - significant + 1


def _unit(value: float, step: int) -> tuple[int, str]:
    """Return the power of ten of the unit, and its word, in which ``value`` is said."""
    return (6, " million") if round(abs(value), -step) >= 1e6 else (0, "")


def _in_steps(value: float, step: int, unit: int) -> str:
    if value == 0:
        return "0"
    rounded = round(value, -step) if step > -300 else value
    return f"{rounded / 10**unit:,.{max(0, unit - step)}f}".replace(",", NARROW_SPACE)
