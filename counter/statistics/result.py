"""What an estimate holds: numbers with limits, and their form in JSON."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import Any

from counter.statistics.dispersion import Dispersion


@dataclass(frozen=True, slots=True)
class Estimate:
    """Density in the vessel (dilution applied) and total, with limits at ``confidence``.

    Densities are None when nothing was looked at (``volume_counted_ml`` 0); ``total``, ``low`` and
    ``high`` also when no vessel volume was given. ``count_low`` and ``count_high`` are the limits
    on the count itself. ``method`` is ``poisson-exact`` or ``quasi-poisson``. ``dispersion`` is
    None for a single filling and where none was counted.
    """

    counted: int
    volume_counted_ml: float
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
    warnings: tuple[str, ...] = ()

    def as_json(self) -> dict[str, Any]:
        """Return the ``estimate`` object of the JSON that the command line writes."""
        scatter = self.dispersion
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
            "dispersion": None
            if scatter is None
            else {
                "index": scatter.index,
                "chi2": scatter.chi2,
                "degrees_of_freedom": scatter.degrees_of_freedom,
                "p_upper": scatter.p_upper,
                "agreement": str(scatter.agreement),
            },
        }


@dataclass(frozen=True, slots=True)
class Part:
    """A part of what was counted; ``share`` of all of it, with Wilson's limits.

    ``density_per_ml`` is None when nothing was looked at, ``total`` and its limits also without a
    vessel volume, the share when nothing was counted.
    """

    counted: int
    total: float | None
    low: float | None
    high: float | None
    density_per_ml: float | None
    share: float | None
    share_low: float | None
    share_high: float | None


@dataclass(frozen=True, slots=True)
class StageEstimate(Part):
    """One stage of a sample, whatever the state of its bodies."""

    stage: str

    def as_json(self) -> dict[str, Any]:
        """Return the entry of ``stages`` in the JSON that the command line writes."""
        return {"stage": self.stage, **asdict(self)}


@dataclass(frozen=True, slots=True)
class StateEstimate(Part):
    """One state, of all stages; ``state`` is None for those of which nothing was said."""

    state: str | None

    def as_json(self) -> dict[str, Any]:
        """Return the entry of ``states`` in the JSON that the command line writes."""
        return {"state": self.state, **asdict(self)}
