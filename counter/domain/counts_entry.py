"""Reading counts as people type them beside the volumes that they were counted in."""

from __future__ import annotations

from counter.domain.numerals import number
from counter.domain.units import parse_counts, parse_volumes_ml
from counter.errors import UsageError


def volumes_of_counts(text: str, counts: int, field: str) -> tuple[float, ...]:
    """Return one volume in mL for each of ``counts`` counts from one volume, or from one each.

    Raises UsageError, naming ``field``, for what is not a volume and for another number of them.
    """
    volumes_ml = parse_volumes_ml(text, f"volume counted ({field})")
    if len(volumes_ml) == 1:
        return volumes_ml * counts
    if len(volumes_ml) != counts:
        raise UsageError(
            f"There are {counts} counts but {len(volumes_ml)} volumes ({field}); give one volume "
            "for all counts or one for each, also for a lost one."
        )
    return volumes_ml


def counts_in_volumes(
    counts_text: str, each_text: str, counts_field: str, each_field: str
) -> tuple[tuple[int, ...], tuple[float, ...]]:
    """Return the counts that are not lost and the volume in mL of each.

    Raises UsageError, naming the field, for what cannot be read and where all are lost.
    """
    counts = parse_counts(counts_text, f"counts ({counts_field})")
    volumes_ml = volumes_of_counts(each_text, len(counts), each_field)
    kept = [
        (count, volume)
        for count, volume in zip(counts, volumes_ml, strict=True)
        if count is not None
    ]
    if not kept:
        raise UsageError(f"All counts ({counts_field}) are lost; give at least one whole number.")
    return tuple(count for count, _ in kept), tuple(volume for _, volume in kept)


def counts_of_squares(text: str, field: str) -> tuple[tuple[int, ...], ...]:
    """Return the squares of each filling of ``3,5,4; 2,x,6``: semicolons part the fillings.

    A lost square (x) is left out; a filling whose squares are all lost is empty. Raises UsageError,
    naming ``field`` and the filling, for what cannot be read, and where all is lost.
    """
    fillings = [
        parse_counts(part, f"squares of filling {number} ({field})")
        for number, part in enumerate(text.split(";"), start=1)
    ]
    kept = tuple(tuple(one for one in squares if one is not None) for squares in fillings)
    if not any(kept):
        raise UsageError(f"All squares ({field}) are lost; give at least one whole number.")
    return kept


def whole_number(text: str, field: str, least: int) -> int:
    """Return a whole number of at least ``least``; UsageError, naming ``field``, for all else."""
    if not text.strip().isascii() or not text.strip().isdigit() or not least <= int(text) <= 10**9:
        raise UsageError(f"“{text}” ({field}) is not a whole number of {least} or more.")
    return int(text)


def parse_total(text: str, field: str) -> float:
    """Return a total as somebody wrote it down; UsageError, naming ``field``, unless above 0."""
    value = number(text, field)
    if value <= 0:
        raise UsageError(f"The {field} “{text}” is impossible; it must be above 0.")
    return value
