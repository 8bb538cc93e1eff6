"""What people type becomes mL, µm and parts; the errors name the field and what to write instead.

The only place besides :mod:`counter.domain.scale` that converts units. The way back, into words
for people, is :mod:`counter.domain.rounding`, whose functions can be had from here too.
"""

from __future__ import annotations

import math
import re

from counter.domain.numerals import NUMERAL, number, plainly
from counter.domain.rounding import (
    dilution_for_people,
    for_people,
    limits_for_people,
    quantity_for_people,
    volume_for_people,
    whole_for_people,
)
from counter.domain.sample import Dilution
from counter.domain.scale import checked_um_per_px
from counter.errors import UsageError

__all__ = [
    "dilution_for_people",
    "for_people",
    "is_countable",
    "limits_for_people",
    "parse_confidence",
    "parse_counts",
    "parse_dilution",
    "parse_length_range_um",
    "parse_um_per_px",
    "parse_volume_ml",
    "parse_volumes_ml",
    "quantity_for_people",
    "volume_for_people",
    "whole_for_people",
]

MOST_IN_ONE_COUNT = 1_000_000_000
MOST_LENGTH_UM = 10_000.0
LEAST_ML, MOST_ML = 1e-9, 1e12
"""A picolitre and a billion litres: no volume of a hatchery lies beyond."""

MOST_DILUTED = 1e12

_ML_PER_UNIT = {
    "l": 1000.0,
    "dl": 100.0,
    "cl": 10.0,
    "ml": 1.0,
    "ul": 1e-3,
    "m3": 1e6,
    "dm3": 1000.0,
    "cm3": 1.0,
    "cc": 1.0,
    "mm3": 1e-3,
}
_UNIT_WORDS = {
    "lit(?:er|re)s?": "l",
    "decilit(?:er|re)s?": "dl",
    "centilit(?:er|re)s?": "cl",
    "millilit(?:er|re)s?": "ml",
    "microlit(?:er|re)s?": "ul",
    "mcl": "ul",
}
_LOST = ("", "x", "\u00d7", "-", "\u2013", "\u2014", "lost", "na", "n/a")


def parse_volume_ml(text: str, field: str = "volume") -> float:
    """Return the volume in mL, above 0, of ``20 L``, ``800 mL``, ``250 µL``, ``0,25 mL``, ``1 m³``.

    Upper and lower case are the same; µ may be written u. Raises :class:`UsageError`, naming
    ``field``, when there is no unit, an unknown one, no number, or the volume is not above 0, or
    not within :data:`LEAST_ML` and :data:`MOST_ML`.
    """
    plain = plainly(text)
    match = re.fullmatch(rf"({NUMERAL}|[+-]?\s*(?:inf|nan|\u221e))\s*(\D.*)?", plain, re.IGNORECASE)
    if not match:
        raise UsageError(
            f"The {field} “{plain}” is not a volume; write a number and a unit, like 20 L or "
            "800 mL."
        )
    if not match[2]:
        raise UsageError(
            f"The {field} “{plain}” has no unit; write it with one, like {plain} L or {plain} mL."
        )
    value = number(match[1], field) * _ml_per(match[2], field, plain)
    if not value > 0:
        raise UsageError(f"The {field} “{plain}” is impossible; it must be above 0.")
    if not LEAST_ML <= value <= MOST_ML:
        much = "more than a billion litres" if value > MOST_ML else "less than a picolitre"
        raise UsageError(f"The {field} “{plain}” is {much}; check the number and the unit.")
    return value


def parse_volumes_ml(text: str, field: str = "volume") -> tuple[float, ...]:
    """Return the volumes in mL of ``0.25 mL`` or of ``0.25 mL, 0.3 mL``: each with its unit.

    A comma or semicolon after a unit separates; see :func:`parse_volume_ml` for the errors.
    """
    entries = re.split(r"(?<=[a-zA-Z3\u00b3])\s*,|;", text)
    return tuple(parse_volume_ml(entry, field) for entry in entries)


def _ml_per(unit: str, field: str, plain: str) -> float:
    spelt = re.sub(r"[\s.]", "", unit.lower()).replace("\u00b3", "3").replace("^3", "3")
    for words, short in _UNIT_WORDS.items():
        if re.fullmatch(words, spelt):
            spelt = short
    if spelt.startswith("gal"):
        raise UsageError(
            f"The {field} “{plain}” can be US gallons (3.785 L) or imperial ones (4.546 L); "
            "write it in litres."
        )
    if spelt not in _ML_PER_UNIT:
        raise UsageError(
            f"The {field} “{plain}” has a unit that is not known here; use L, mL, µL or m³."
        )
    return _ML_PER_UNIT[spelt]


def parse_dilution(text: str, field: str = "dilution") -> Dilution:
    """Return the dilution of ``1+9`` (parts sample + parts water) or of ``1 mL + 9 mL``.

    Raises :class:`UsageError` for ``1:10`` and ``1/10``, whose two readings are shown, for
    no sample at all and for negative parts.
    """
    plain = plainly(text)
    ratio = re.fullmatch(r"(.+?)\s*(?::|/|\bin\b|\bto\b)\s*(.+)", plain)
    if ratio:
        raise _two_readings(plain, ratio[1], ratio[2], field)
    halves = plain.split("+")
    if len(halves) != 2 or not all(half.strip() for half in halves):
        raise UsageError(
            f"The {field} “{plain}” is not understood; write parts of sample + parts of water, "
            "like 1+9 for a tenfold dilution."
        )
    with_unit = any(re.search(r"[a-zA-Z]", half) for half in halves)
    parts = [_part(half, field, with_unit=with_unit) for half in halves]
    if parts[0] <= 0 or parts[1] < 0:
        raise UsageError(
            f"The {field} “{plain}” is impossible; the parts of sample must be above 0 and the "
            "parts of water 0 or more."
        )
    if parts[1] > MOST_DILUTED * parts[0]:
        raise UsageError(
            f"The {field} “{plain}” leaves hardly a drop of the sample; write parts of sample + "
            "parts of water, like 1+9."
        )
    return Dilution(parts[0], parts[1])


def _part(text: str, field: str, *, with_unit: bool) -> float:
    if with_unit and not re.fullmatch(r"\s*0+([.,]0*)?\s*\D*", text):
        return parse_volume_ml(text, field)
    return number(re.sub(r"[a-zA-Z]+\s*$", "", text), field)


def _two_readings(plain: str, first: str, second: str, field: str) -> UsageError:
    try:
        sample, whole = number(first, field), number(second, field)
    except UsageError:
        sample = whole = 0.0
    if not 0 < sample < whole:
        sample, whole = 1.0, 10.0
    into, onto = f"{sample:g}+{whole - sample:g}", f"{sample:g}+{whole:g}"
    return UsageError(
        f"The {field} “{plain}” can be read in two ways; write {into} ({sample:g} in {whole:g} "
        f"altogether) or {onto} ({sample:g} and {whole:g} of water on top)."
    )


def parse_counts(text: str, field: str = "counts") -> tuple[int | None, ...]:
    """Return the counts of ``112,98,x``; a blank or ``x`` is a lost aliquot: None, never 0.

    Commas, semicolons, tabs and line ends separate. Raises :class:`UsageError`, saying which
    entry, for what is not a whole number or below 0, and for no entry at all.
    """
    if not text.strip():
        raise UsageError(f"The {field} are empty; write them like 112,98,103, a lost one as x.")
    entries = re.split(r"[,;\t\n]", text.strip().replace("\r\n", "\n"))
    return tuple(_count(entry, field, place) for place, entry in enumerate(entries, start=1))


def is_countable(digits: str) -> bool:
    """Return whether anyone can have counted as many as these ``digits`` say."""
    return len(digits) <= 12 and int(digits) <= MOST_IN_ONE_COUNT


def _count(entry: str, field: str, place: int) -> int | None:
    plain = entry.strip()
    if plain.lower() in _LOST:
        return None
    if not re.fullmatch(r"[0-9]+", plain):
        raise UsageError(
            f"In the {field}, entry {place} “{plain}” is not a whole number; write counts like "
            "112,98,103 without thousands separators, a lost one as x."
        )
    if not is_countable(plain):
        raise UsageError(
            f"In the {field}, entry {place} “{plain[:15]}” is more than anyone can count; check "
            "its digits."
        )
    return int(plain)


def parse_length_range_um(text: str, field: str = "length range") -> tuple[float, float]:
    """Return (low, high) in µm of ``60-350``, ``60 to 350 µm`` or ``0.06-0.35 mm``.

    Raises :class:`UsageError` unless 0 < low < high ≤ 10 mm.
    """
    plain = plainly(text)
    match = re.fullmatch(
        r"(.+?)\s*(?:\bto\b|\.\.|(?<![eE])[-\u2013\u2014])\s*(.+?)\s*(um|microns?|mm)?",
        plain,
        re.IGNORECASE,
    )
    if not match:
        raise UsageError(
            f"The {field} “{plain}” is not understood; write the shortest and the longest length "
            "in µm, like 60-350."
        )
    um = 1000.0 if (match[3] or "um").lower() == "mm" else 1.0
    low, high = number(match[1], field) * um, number(match[2], field) * um
    if not 0 < low < high < math.inf:
        raise UsageError(
            f"The {field} “{plain}” makes no sense; write the shortest length first, above 0, like "
            "60-350."
        )
    if high > MOST_LENGTH_UM:
        raise UsageError(
            f"The {field} “{plain}” reaches {high:g} µm; nothing longer than {MOST_LENGTH_UM:g} µm "
            "is looked for. Check the unit: lengths are in µm."
        )
    return low, high


def parse_um_per_px(text: str, field: str = "scale") -> float:
    """Return the µm per pixel of ``1.24``, ``1,24`` or ``1.24 µm/px``.

    Raises :class:`UsageError` for anything that no microscope has, see
    :func:`counter.domain.scale.checked_um_per_px`, and for pixels per µm.
    """
    plain = plainly(text)
    match = re.fullmatch(r"(\S+?)\s*(?:(?:um|microns?)\s*(?:/|per)\s*(?:px|pixels?))?", plain)
    if not match:
        raise UsageError(
            f"The {field} “{plain}” is not understood; write how many µm one pixel is, like 1.24."
        )
    return checked_um_per_px(number(match[1], field, may_be_thousands=False))


def parse_confidence(text: str, field: str = "confidence") -> float:
    """Return the confidence level of ``0.95`` or ``95 %``, as a share of 1.

    Raises :class:`UsageError` outside 50 % to 99.99 %.
    """
    plain = plainly(text)
    value = number(plain.rstrip("% "), field, may_be_thousands=False)
    if plain.endswith("%"):
        value /= 100
    if not 0.5 <= value <= 0.9999:
        raise UsageError(
            f"The {field} “{plain}” is not usable; write it between 0.5 and 0.9999, like 0.95."
        )
    return value
