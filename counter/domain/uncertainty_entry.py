"""Reading an uncertainty as people write it: ``1 %``, ``±1 %``, or a pipette by its size."""

from __future__ import annotations

import math
import re

from counter.domain.numerals import number, plainly
from counter.domain.rounding import quantity_for_people, volume_for_people
from counter.domain.uncertainty import MOST, VolumeUncertainty, pipette_class
from counter.domain.units import parse_volume_ml
from counter.errors import UsageError

PARTS = ("chamber", "pipette", "dilution", "vessel")
_BETWEEN = re.compile(r"[,;]\s*(?=[A-Za-z])")
_AS_TYPED = re.compile(r" (?:\(|set to ).*")
_TOLERANCE = re.compile(r"^(?:±|\+\s*/?\s*-)\s*")


def parse_uncertainty(text: str, field: str = "uncertainty") -> tuple[float, str]:
    """Return the relative standard uncertainty of ``1 %`` or ``±1 %``, and what it is in words.

    ``1 %`` is a standard uncertainty; ``±1 %`` (also ``+-1 %``) is a tolerance, which says only
    that the volume lies within: it is divided by √3 (JCGM 100, 4.3.7). Raises
    :class:`UsageError`, naming ``field``, for anything else and for more than 50 %.
    """
    plain = plainly(text)
    bare = _TOLERANCE.sub("", plain)
    if not bare.endswith("%"):
        raise UsageError(
            f"The {field} “{plain}” is not understood; write it in per cent, like 1 % (standard "
            "uncertainty) or ±1 % (tolerance)."
        )
    percent = number(bare[:-1], field, may_be_thousands=False)
    if not 0 <= percent / 100 <= MOST:
        raise UsageError(
            f"The {field} “{plain}” is impossible; it lies between 0 and {MOST * 100:g} %."
        )
    shown = quantity_for_people(percent)
    if bare == plain:
        return percent / 100, f"{shown} % (standard uncertainty)"
    relative = percent / 100 / math.sqrt(3)
    return relative, f"±{shown} % (tolerance) ÷ √3 = {relative * 100:.2g} %"


def volumes_known(
    *,
    chamber: str | None = None,
    pipette: str | None = None,
    dilution: str | None = None,
    vessel: str | None = None,
    stroke_ml: float | None = None,
) -> VolumeUncertainty:
    """Return what these entries say together; those left out (or empty) are not taken into account.

    ``pipette`` may also be its size, like ``1000 µL``: then ISO 8655 says what such a pipette may
    be off, set to ``stroke_ml``. Raises UsageError for what cannot be read.
    """
    sources: list[str] = []

    def read(text: str | None, name: str) -> float:
        if not text:
            return 0.0
        relative, words = parse_uncertainty(text, f"uncertainty of the {name}")
        sources.append(f"{name}: {words}")
        return relative

    shared, each = 0.0, 0.0
    of_chamber = read(chamber, "chamber")
    if pipette and not plainly(pipette).endswith("%"):
        shared, each, words = _by_size(pipette, stroke_ml)
        sources.append(words)
    else:
        shared = read(pipette, "pipette")
    of_dilution, of_vessel = read(dilution, "dilution"), read(vessel, "vessel")
    return VolumeUncertainty(of_chamber, shared, each, of_dilution, of_vessel, tuple(sources))


def parse_volumes_known(text: str, stroke_ml: float | None = None) -> VolumeUncertainty:
    """Return what ``vessel ±1 %, chamber 2 %`` says; nothing written is nothing known.

    Raises UsageError for a part that there is not, one named twice, and what cannot be read.
    """
    entries: dict[str, str] = {}
    for entry in _BETWEEN.split(plainly(text)) if text.strip() else ():
        name, _, rest = entry.strip().partition(" ")
        if name.lower() not in PARTS or not rest.strip():
            raise UsageError(
                f"“{entry.strip()}” is not understood; write the part and how well it is known, "
                "like vessel ±1 %, chamber 2 %, pipette 1000 µL, dilution 1 %."
            )
        if name.lower() in entries:
            raise UsageError(f"The {name.lower()} is named twice; say once how well it is known.")
        entries[name.lower()] = rest
    return volumes_known(
        chamber=entries.get("chamber"),
        pipette=entries.get("pipette"),
        dilution=entries.get("dilution"),
        vessel=entries.get("vessel"),
        stroke_ml=stroke_ml,
    )


def volumes_known_for_people(volumes: VolumeUncertainty) -> str:
    """Return how well the volumes are known as it would be typed: ``vessel ±1 %, chamber 2 %``."""
    return ", ".join(_AS_TYPED.sub("", source).replace(": ", " ", 1) for source in volumes.sources)


def _by_size(text: str, stroke_ml: float | None) -> tuple[float, float, str]:
    size_ul = parse_volume_ml(text, "pipette") * 1000
    if stroke_ml is None:
        raise UsageError(
            f"How much the {text} pipette was set to is not known here; give its uncertainty in "
            "per cent, like ±1 %."
        )
    kind = pipette_class(size_ul)
    shared, each = kind.relative(stroke_ml * 1000)
    return (
        shared,
        each,
        f"pipette: {quantity_for_people(size_ul)} µL set to {volume_for_people(stroke_ml)}, "
        f"±{kind.systematic_ul:g} µL ÷ √3 = {shared * 100:.2g} %, {kind.random_ul:g} µL = "
        f"{each * 100:.2g} % from stroke to stroke ({kind.source})",
    )
