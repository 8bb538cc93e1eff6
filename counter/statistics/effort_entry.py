"""Reading what a plan for more counting is made from: how narrow, and what counting costs."""

from __future__ import annotations

from counter.domain.numerals import number
from counter.errors import UsageError
from counter.statistics.effort import Minutes

NARROWEST_PERCENT, WIDEST_PERCENT = 1, 100
MOST_MINUTES = 1000


def parse_precision(text: str, field: str = "precision") -> float:
    """Return 0.05 for ``5 %`` or ``±5 %``; UsageError, naming ``field``, outside 1 to 100 %."""
    value = number(text.strip().lstrip("±").rstrip("% "), field)
    if not NARROWEST_PERCENT <= value <= WIDEST_PERCENT:
        raise UsageError(f"The {field} “{text}” is not usable; write it like 10%.")
    return value / 100


def parse_minutes(text: str, field: str = "minutes") -> float:
    """Return minutes, above 0 and under 1000; UsageError, naming ``field``, for all else."""
    value = number(text, field, may_be_thousands=False)
    if not 0 < value < MOST_MINUTES:
        raise UsageError(f"The {field} “{text}” are impossible; write them like 5.")
    return value


def both_minutes(
    filling_text: str | None, square_text: str | None, filling_field: str, square_field: str
) -> Minutes | None:
    """Return what a filling and a square cost; None where neither was given.

    Raises UsageError, naming the field, where only one was given or one cannot be read.
    """
    texts = ((filling_text, filling_field), (square_text, square_field))
    if all(text is None for text, _ in texts):
        return None
    values = []
    for text, field in texts:
        if text is None:
            raise UsageError(f"The {field} are missing; give both kinds, like 5 and 0.2.")
        values.append(parse_minutes(text, field))
    return Minutes(*values)
