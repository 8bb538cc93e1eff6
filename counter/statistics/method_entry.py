"""Reading a dilution series, or slides counted twice, as they are typed."""

from __future__ import annotations

from collections.abc import Sequence

from counter.domain.numerals import number
from counter.domain.units import parse_counts
from counter.errors import UsageError
from counter.statistics.proportionality import Level, Proportionality, proportionality
from counter.statistics.repeatability import Repeatability, repeatability


def parse_fraction(text: str, field: str = "fractions") -> float:
    """Return the part of sample in the whole, above 0 to 1; UsageError for all else."""
    value = number(text, f"fraction ({field})", may_be_thousands=False)
    if not 0 < value <= 1:
        raise UsageError(
            f"The fraction “{text.strip()}” ({field}) is impossible; write the part of sample "
            "in the whole, like 0.1 for 1+9."
        )
    return value


def series_of(
    fraction_texts: Sequence[str],
    count_texts: Sequence[str],
    confidence: float = 0.95,
    fields: tuple[str, str] = ("fractions", "counts"),
) -> Proportionality:
    """Return what a typed series says: a fraction and its counts (a lost one is x) for each level.

    Raises UsageError, naming the field, for what cannot be read or is no series.
    """
    fraction_field, count_field = fields
    fractions = [parse_fraction(entry, fraction_field) for entry in fraction_texts]
    groups = [_kept(entry, count_field) for entry in count_texts]
    if len(fractions) != len(groups):
        raise UsageError(
            f"There are {len(fractions)} fractions but {len(groups)} levels of counts; put a "
            "semicolon between levels."
        )
    if len(fractions) < 2 or len(set(fractions)) < len(fractions):
        raise UsageError(f"A series takes two or more different fractions ({fraction_field}).")
    if not all(groups) or not any(map(sum, groups)):
        raise UsageError("Each level needs a count that is not lost, and some must be above 0.")
    levels = [Level(*pair) for pair in zip(fractions, groups, strict=True)]
    return proportionality(levels, confidence)


def pairs_of(
    first: Sequence[int | None], second: Sequence[int | None], confidence: float = 0.95
) -> Repeatability:
    """Return how well the second counts repeat the first; None in either: a lost one.

    Raises UsageError where the lists have different lengths or no slide has both counts.
    """
    if len(first) != len(second):
        raise UsageError(
            f"There are {len(first)} first and {len(second)} second counts; give both of each "
            "slide, a lost one as x."
        )
    both = [
        (one, two)
        for one, two in zip(first, second, strict=True)
        if one is not None and two is not None
    ]
    if not both:
        raise UsageError("No slide has both counts; give at least one that has.")
    return repeatability([one for one, _ in both], [two for _, two in both], confidence)


def _kept(text: str, field: str) -> tuple[int, ...]:
    return tuple(count for count in parse_counts(text, f"counts ({field})") if count is not None)
