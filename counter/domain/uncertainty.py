"""How well the volumes behind a total are known.

All are standard uncertainties relative to the volume itself: 0.01 is 1 %. A tolerance ±a (on
glassware, on a certificate) says only that the volume lies within: its standard uncertainty is
a/√3 (JCGM 100:2008, 4.3.7).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from counter.errors import UsageError

MOST = 0.5
"""A volume that is off by half is a slip, not an uncertainty."""


@dataclass(frozen=True, slots=True)
class VolumeUncertainty:
    """Relative standard uncertainties of the volumes; 0 where none was given.

    ``chamber`` (its depth, mostly), ``pipette`` (its error at every stroke alike), ``dilution`` and
    ``vessel`` are shared by all fillings; ``pipette_each`` changes from stroke to stroke and so
    averages out over fillings. ``sources`` says where the values come from, in words.
    """

    chamber: float = 0.0
    pipette: float = 0.0
    pipette_each: float = 0.0
    dilution: float = 0.0
    vessel: float = 0.0
    sources: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        for name in ("chamber", "pipette", "pipette_each", "dilution", "vessel"):
            value = getattr(self, name)
            if not 0 <= value <= MOST:
                raise UsageError(
                    f"An uncertainty of the {name.partition('_')[0]} of {value * 100:g} % cannot "
                    f"be; it lies between 0 and {MOST * 100:g} %."
                )

    @property
    def is_given(self) -> bool:
        """Whether any volume has an uncertainty."""
        return any((self.chamber, self.pipette, self.pipette_each, self.dilution, self.vessel))


UNKNOWN_VOLUMES = VolumeUncertainty()
"""No uncertainty was given: the limits are those of the count alone."""


@dataclass(frozen=True, slots=True)
class PipetteClass:
    """What ISO 8655-2 allows an air-displacement pipette of this nominal volume, in µL.

    ``systematic_ul`` is a tolerance (±), ``random_ul`` a standard deviation from stroke to stroke;
    both hold at every volume that it is set to.
    """

    nominal_ul: float
    systematic_ul: float
    random_ul: float
    source: str

    def relative(self, set_ul: float) -> tuple[float, float]:
        """Return (shared, from stroke to stroke), both relative, when it is set to ``set_ul``."""
        if not 0 < set_ul <= self.nominal_ul:
            raise UsageError(
                f"A {self.nominal_ul:g} µL pipette cannot measure {set_ul:g} µL in one stroke; "
                "name the pipette that was used."
            )
        return self.systematic_ul / math.sqrt(3) / set_ul, self.random_ul / set_ul


_QUOTED = "ISO 8655-2:2022, as quoted in open calibration software"
"""Quoted there as shares of the nominal volume, for single-channel pipettes with an air cushion.
From memory of the edition of 2002 all are the same but the random error at 50 µL, 0.2 µL."""
PIPETTES: tuple[PipetteClass, ...] = (
    PipetteClass(10, 0.12, 0.08, _QUOTED),
    PipetteClass(20, 0.20, 0.10, _QUOTED),
    PipetteClass(50, 0.50, 0.25, _QUOTED),
    PipetteClass(100, 0.80, 0.30, _QUOTED),
    PipetteClass(200, 1.6, 0.60, _QUOTED),
    PipetteClass(500, 4.0, 1.5, _QUOTED),
    PipetteClass(
        1000, 8.0, 3.0, "ISO 8655-2, as quoted by a maker and in a test of pipettes, 2019"
    ),
    PipetteClass(2000, 16.0, 6.0, _QUOTED),
    PipetteClass(5000, 40.0, 15.0, _QUOTED),
    PipetteClass(10000, 60.0, 30.0, _QUOTED),
)


def pipette_class(nominal_ul: float) -> PipetteClass:
    """Return the class of a pipette by its nominal volume; UsageError lists what there is."""
    for entry in PIPETTES:
        if math.isclose(entry.nominal_ul, nominal_ul, rel_tol=1e-6):
            return entry
    known = ", ".join(f"{entry.nominal_ul:g}" for entry in PIPETTES)
    raise UsageError(
        f"There is no pipette class of {nominal_ul:g} µL; choose one of {known} µL, or give its "
        "uncertainty in per cent."
    )
