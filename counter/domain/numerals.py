"""Reading a number as people write it: decimal comma or point, grouped by spaces or commas."""

from __future__ import annotations

import math
import re

from counter.errors import UsageError

SPACES = "\u00a0\u2007\u2009\u202f"
_TO_PLAIN = {ord(space): " " for space in SPACES} | {
    ord("\u00b5"): "u",  # micro sign
    ord("\u03bc"): "u",  # Greek mu
    ord("\u2212"): "-",  # minus sign
    ord("\u2019"): "'",
}
NUMERAL = r"[+-]?\s*(?:[0-9][0-9\s.,']*(?:[eE][+-]?[0-9]+)?|[.,][0-9]+)"
_NOT_FINITE = ("inf", "infinity", "nan", "\u221e")
_GROUPED_BY_SPACES = re.compile(r"[0-9]{1,3}([ '][0-9]{3})+(?![0-9])")
_GROUPED_BY_COMMAS = re.compile(r"[0-9]{1,3}(,[0-9]{3}){2,}(\.[0-9]*)?|[0-9]{1,3},[0-9]{3}\.[0-9]+")
_GROUPED_BY_POINTS = re.compile(r"[0-9]{1,3}(\.[0-9]{3}){2,}(,[0-9]*)?|[0-9]{1,3}\.[0-9]{3},[0-9]+")
_EITHER = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")


def plainly(text: str) -> str:
    """Return ``text`` with special spaces, minus and micro signs in their plain form, stripped."""
    return text.translate(_TO_PLAIN).strip()


def number(text: str, field: str, *, may_be_thousands: bool = True) -> float:
    """Return the finite number written in ``text``.

    ``0,25``, ``0.25``, ``1 200``, ``1,200,000`` and ``1.200,5`` are read; ``1,200`` can be 1.2 or
    1200 and is refused, unless ``may_be_thousands`` is False: then the comma is decimal. Raises
    :class:`UsageError`, naming ``field``, for anything else and for what is not finite.
    """
    plain = plainly(text)
    if plain.lower().lstrip("+-") in _NOT_FINITE:
        raise UsageError(f"The {field} “{text.strip()}” is not a finite number; type its digits.")
    if may_be_thousands and _EITHER.fullmatch(plain.lstrip("+-")):
        raise _ambiguous(plain, field)
    try:
        value = float(_ungrouped(plain))
    except ValueError:
        raise UsageError(
            f"The {field} “{text.strip()}” is not a number; type it in digits, like 12.5."
        ) from None
    if not math.isfinite(value):
        raise UsageError(f"The {field} “{text.strip()}” is too large; check its digits.")
    return value


def _ambiguous(plain: str, field: str) -> UsageError:
    whole, _, rest = plain.partition(",")
    return UsageError(
        f"The {field} “{plain}” can be read as {whole}.{rest} or as {whole}{rest}; write "
        f"{whole}.{rest} for the first or {whole}{rest} for the second."
    )


def _ungrouped(plain: str) -> str:
    """Return ``plain`` as ``float`` reads it; whatever it cannot read stays unreadable."""
    bare = plain.lstrip("+-")
    sign = plain[: len(plain) - len(bare)].replace("+", "")
    bare = bare.strip()
    grouped = _GROUPED_BY_SPACES.match(bare)
    if grouped:
        bare = re.sub("[ ']", "", grouped.group()) + bare[grouped.end() :]
    if _GROUPED_BY_COMMAS.fullmatch(bare):
        bare = bare.replace(",", "")
    elif _GROUPED_BY_POINTS.fullmatch(bare):
        bare = bare.replace(".", "").replace(",", ".")
    elif bare.count(",") == 1 and "." not in bare:
        bare = bare.replace(",", ".")
    return sign + bare if re.fullmatch(r"[0-9.]+(?:[eE][+-]?[0-9]+)?", bare) else "unreadable"
