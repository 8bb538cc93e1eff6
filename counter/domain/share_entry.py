"""Reading a share as people type it: how many of how many."""

from __future__ import annotations

import re

from counter.domain.numerals import plainly
from counter.domain.units import is_countable
from counter.errors import UsageError

Share = tuple[int, int]
"""How many were so, and of how many that were looked at: 0 or more, and 1 or more."""


def parse_share(text: str, field: str) -> Share:
    """Return (120, 200) for ``120/200`` or ``120 of 200``.

    Raises :class:`UsageError`, naming ``field``, for a blank, a percentage, what is not two whole
    numbers, a part that is more than the whole, and a share of none.
    """
    plain = plainly(text)
    if not plain:
        raise UsageError(f"The {field} is empty; write how many of how many, like 120/200.")
    if "%" in plain:
        raise UsageError(
            f"The {field} “{plain}” does not say of how many; write both numbers, like 120/200."
        )
    halves = re.split(r"\s*(?:/|\bof\b)\s*", plain)
    if len(halves) != 2:
        raise UsageError(
            f"The {field} “{plain}” is not understood; write how many of how many, like 120/200."
        )
    part, whole = (_whole(half, plain, field) for half in halves)
    if whole == 0:
        raise UsageError(
            f"The {field} “{plain}” is of none; a share needs at least one that was looked at."
        )
    if part > whole:
        raise UsageError(
            f"The {field} “{plain}” is more than all; the first number is a part of the second."
        )
    return part, whole


def _whole(half: str, plain: str, field: str) -> int:
    if not half.isascii() or not half.isdigit():
        raise UsageError(
            f"In the {field} “{plain}”, “{half}” is not a whole number of 0 or more; write how "
            "many of how many, like 120/200."
        )
    if not is_countable(half):
        raise UsageError(
            f"In the {field} “{plain[:30]}”, “{half[:15]}” is more than anyone can count; check "
            "its digits."
        )
    return int(half)
