"""Reading lengths as people type them, one after another."""

from __future__ import annotations

import re

from counter.domain.numerals import number, plainly
from counter.errors import UsageError

SHORTEST_UM, LONGEST_UM = 5.0, 5000.0
"""Nothing that is counted here, from an egg to a spat, is shorter or longer."""
_LOST = ("x", "-", "\u2013")


def parse_lengths_um(text: str, field: str) -> tuple[float, ...]:
    """Return the lengths in µm of ``71,75,68``, ``71.5 75.2`` or ``71,5; 75,2``; ``x`` is left out.

    Semicolons, spaces and line ends separate, a comma in between is then decimal; where there is
    none of these, commas separate. Raises :class:`UsageError`, naming ``field``, for no length, for
    what is no number, for one that no larva has, and for ``71,5``, which is one length or two.
    """
    plain = plainly(text)
    entries = [entry for entry in re.split(r"\s*;\s*|,?\s+", plain) if entry]
    if len(entries) == 1:
        entries = plain.split(",")
        if len(entries) == 2 and all(entry.isdigit() for entry in entries):
            raise UsageError(
                f"The {field} “{plain}” can be one length or two; write {entries[0]}.{entries[1]} "
                f"or {entries[0]}; {entries[1]}."
            )
    lengths = tuple(_length(entry, field) for entry in entries if entry.lower() not in _LOST)
    if not lengths:
        raise UsageError(f"The {field} hold no length; write them in µm, like 71,75,68.")
    return lengths


def _length(entry: str, field: str) -> float:
    value = number(entry, field, may_be_thousands=False)
    if not SHORTEST_UM <= value <= LONGEST_UM:
        raise UsageError(
            f"In the {field}, “{entry}” is no length of a larva in µm; write lengths from "
            f"{SHORTEST_UM:g} to {LONGEST_UM:g}, like 71,75,68."
        )
    return value
