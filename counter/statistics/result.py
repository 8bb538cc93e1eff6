"""What an estimate holds: numbers with limits, and their form in JSON."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

from counter.domain.house import House
from counter.domain.uncertainty import UNKNOWN_VOLUMES, VolumeUncertainty
from counter.statistics.checked import Checked
from counter.statistics.dispersion import Dispersion
from counter.statistics.scatter import CHANCE, Widening
from counter.statistics.uncertainty import BudgetLine


@dataclass(frozen=True, slots=True)
class Limited:
    """Limits when fillings scatter like ``widening``, on the count, the density and the total.

    ``index`` is what the variance of chance is multiplied with, Student's allowance and what was
    not looked through included. None as in :class:`Estimate`.
    """

    widening: Widening
    index: float
    count_low: float
    count_high: float
    density_low_per_ml: float | None
    density_high_per_ml: float | None
    low: float | None
    high: float | None

    def as_json(self) -> dict[str, Any]:
        """Return the ``if_mixed_unevenly`` object of the JSON that the command line writes."""
        return {
            "density_low_per_ml": self.density_low_per_ml,
            "density_high_per_ml": self.density_high_per_ml,
            "low": self.low,
            "high": self.high,
            "index": self.index,
            "degrees_of_freedom": self.widening.degrees_of_freedom,
        }


@dataclass(frozen=True, slots=True)
class Estimate:
    """Density in the vessel (dilution applied) and total, with limits at ``confidence``.

    ``counted`` is how many are marked and tallied. ``count`` is what stands for it in the total:
    the same, save where only some pictures were looked through (``checked``).

    Densities are None when nothing was looked at (``volume_counted_ml`` 0); ``total``, ``low`` and
    ``high`` also when no vessel volume was given. ``count_low`` and ``count_high`` are the limits
    on the count itself, without what the volumes add. ``method`` is put together of the names in
    :mod:`counter.statistics.method`; ``index`` is what the variance of chance was multiplied with
    for them, by scatter and by what was not looked through. ``dispersion`` is None for a single
    filling and where none was counted. ``uneven`` are the limits that hold also where the vessel is
    mixed unevenly, as far as the fillings cannot rule it out; None for a single filling, and where
    a history or fillings that disagree have widened the limits already. ``budget`` is empty unless
    uncertainties of volumes were given; ``vessel_share`` is how much of the vessel was looked
    through (0 where there is no total).
    """

    counted: int
    volume_counted_ml: float
    count: float
    count_low: float
    count_high: float
    density_per_ml: float | None
    density_low_per_ml: float | None
    density_high_per_ml: float | None
    dilution_factor: float
    vessel_ml: float | None
    total: float | None
    low: float | None
    high: float | None
    confidence: float
    method: str
    dispersion: Dispersion | None
    widening: Widening = CHANCE
    index: float = 1.0
    uneven: Limited | None = None
    checked: Checked | None = None
    volumes: VolumeUncertainty = UNKNOWN_VOLUMES
    budget: tuple[BudgetLine, ...] = ()
    vessel_share: float = 0.0
    warnings: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Return the ``estimate`` object of the JSON that the command line writes."""
        return {
            "counted": self.counted,
            "volume_counted_ml": self.volume_counted_ml,
            "density_per_ml": self.density_per_ml,
            "density_low_per_ml": self.density_low_per_ml,
            "density_high_per_ml": self.density_high_per_ml,
            "dilution_factor": self.dilution_factor,
            "vessel_ml": self.vessel_ml,
            "total": self.total,
            "low": self.low,
            "high": self.high,
            "confidence": self.confidence,
            "method": self.method,
            "dispersion": None if self.dispersion is None else self.dispersion.as_json(),
            "index_in_use": self.widening.index,
            "if_mixed_unevenly": None if self.uneven is None else self.uneven.as_json(),
            "history": _history(self.widening.house),
            "checked": None if self.checked is None else self.checked.as_json(),
            "budget": [line.as_json() for line in self.budget] or None,
        }


def _history(house: House | None) -> dict[str, Any] | None:
    if house is None:
        return None
    return {
        "index": house.index,
        "degrees_of_freedom": house.degrees_of_freedom,
        "samples": house.samples,
    }


@dataclass(frozen=True, slots=True)
class Part:
    """A part of what was counted; ``share`` of all of it, with Wilson's limits.

    ``density_per_ml`` and its limits are None when nothing was looked at, ``total`` and its limits
    also without a vessel volume, the share when nothing was counted. ``uneven`` are the limits that
    hold also where this part is mixed unevenly: by how it scatters itself, as in :class:`Estimate`.
    """

    counted: int
    total: float | None
    low: float | None
    high: float | None
    density_per_ml: float | None
    density_low_per_ml: float | None
    density_high_per_ml: float | None
    share: float | None
    share_low: float | None
    share_high: float | None
    uneven: Limited | None

    def numbers(self) -> dict[str, Any]:
        """Return the numbers of an entry of the JSON that the command line writes."""
        names = (entry.name for entry in fields(Part) if entry.name != "uneven")
        uneven = None if self.uneven is None else self.uneven.as_json()
        return {**{name: getattr(self, name) for name in names}, "if_mixed_unevenly": uneven}


@dataclass(frozen=True, slots=True)
class StageEstimate(Part):
    """One stage of a sample, whatever the state of its bodies."""

    stage: str

    def as_json(self) -> dict[str, Any]:
        """Return the entry of ``stages`` in the JSON that the command line writes."""
        return {"stage": self.stage, **self.numbers()}


@dataclass(frozen=True, slots=True)
class StateEstimate(Part):
    """One state, of all stages; ``state`` is None for those of which nothing was said."""

    state: str | None

    def as_json(self) -> dict[str, Any]:
        """Return the entry of ``states`` in the JSON that the command line writes."""
        return {"state": self.state, **self.numbers()}
