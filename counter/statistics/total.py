"""From the basis of a count to density and total, each with limits."""

from __future__ import annotations

import math
from dataclasses import dataclass

from counter.domain.house import House
from counter.domain.sample import Dilution
from counter.domain.uncertainty import VolumeUncertainty
from counter.statistics import uncertainty
from counter.statistics.basis import Basis
from counter.statistics.dispersion import Dispersion, dispersion
from counter.statistics.method import named
from counter.statistics.poisson import clumped_garwood
from counter.statistics.result import Estimate, Limited
from counter.statistics.scatter import Widening, allowance, is_known, widening

Limits = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Conditions:
    """What a count is turned into a total with.

    ``volumes`` is how well the volumes are known, ``house`` how the fillings of earlier samples
    scattered (None: no history).
    """

    dilution: Dilution
    vessel_ml: float | None
    confidence: float
    volumes: VolumeUncertainty
    house: House | None = None

    def vessel_share(self, volume_ml: float) -> float:
        """Return how much of the vessel was looked through with ``volume_ml``; 0: not known."""
        return volume_ml / self.dilution.factor / self.vessel_ml if self.vessel_ml else 0.0


def estimated(basis: Basis, given: Conditions) -> Estimate:
    """Return the estimate that ``basis`` gives, without warnings.

    Each thing that widens multiplies the variance of chance: the scatter of the fillings, and what
    unreviewed pictures may hide. The uncertainty of volumes is added on the log scale.
    """
    scatter = dispersion(basis.counts, basis.volumes_ml)
    wider = widening(scatter, given.house)
    limits = _limited(basis, wider, given)
    per_ml = _per_ml(basis, given)
    share = given.vessel_share(basis.volume_ml)
    return Estimate(
        counted=basis.counted,
        volume_counted_ml=basis.volume_ml,
        count=basis.count,
        count_low=limits.count_low,
        count_high=limits.count_high,
        density_per_ml=_times(basis.count, per_ml),
        density_low_per_ml=limits.density_low_per_ml,
        density_high_per_ml=limits.density_high_per_ml,
        dilution_factor=given.dilution.factor,
        vessel_ml=given.vessel_ml,
        total=_times(basis.count, _times(given.vessel_ml, per_ml)),
        low=limits.low,
        high=limits.high,
        confidence=given.confidence,
        method=named(
            basis.method,
            widened=wider.widens,
            volumes=given.volumes.is_given,
            finite=uncertainty.finite_factor(share) < 1.0,
        ),
        dispersion=scatter,
        widening=wider,
        index=limits.index,
        uneven=_if_uneven(basis, scatter, wider, given),
        checked=basis.checked,
        volumes=given.volumes,
        budget=_budget(basis, wider.index + basis.index - 1.0, given),
        vessel_share=share,
    )


def _if_uneven(
    basis: Basis, scatter: Dispersion | None, wider: Widening, given: Conditions
) -> Limited | None:
    """Return the limits that allow for uneven mixing; None where others do, or nothing can."""
    if wider.widens or is_known(given.house) or len(basis.counts) < 2:
        return None
    return _limited(basis, allowance(scatter, len(basis.counts)), given)


def _limited(basis: Basis, wider: Widening, given: Conditions) -> Limited:
    """Return the limits when fillings scatter like ``wider``."""
    index = wider.factor(given.confidence) + basis.index - 1.0
    limits = clumped_garwood(
        basis.count,
        index,
        given.confidence,
        basis.step,
        clumped=wider.clumped(given.confidence),
        without=basis.index,
    )
    of_density = uncertainty.density_relative(given.volumes, basis.volumes_ml)
    of_total = math.hypot(of_density, given.volumes.vessel)
    per_ml = _per_ml(basis, given)
    in_all = _times(given.vessel_ml, per_ml)
    density = _limits(basis, limits, of_density, given, index)
    total = _limits(basis, limits, of_total, given, index)
    return Limited(
        wider,
        index,
        *limits,
        _times(density[0], per_ml),
        _times(density[1], per_ml),
        _times(total[0], in_all),
        _times(total[1], in_all),
    )


def _per_ml(basis: Basis, given: Conditions) -> float | None:
    """Return what one counted stands for per mL of the vessel; None when nothing was looked at."""
    return given.dilution.factor / basis.volume_ml if basis.volume_ml else None


def _times(number: float | None, factor: float | None) -> float | None:
    return None if number is None or factor is None else number * factor


def _limits(
    basis: Basis, limits: Limits, relative: float, given: Conditions, index: float
) -> Limits:
    """Return the limits on the count, with what the volumes add and a small vessel takes away."""
    share = given.vessel_share(basis.volume_ml)
    finite = uncertainty.finite_factor(share)
    low, high = uncertainty.widened(
        basis.count, limits, relative, given.confidence, finite=finite, least=index
    )
    if finite < 1.0 and basis.checked is None:
        low = max(low, basis.counted * share)  # those that were counted are there
    return low, high


def _budget(basis: Basis, index: float, given: Conditions) -> tuple[uncertainty.BudgetLine, ...]:
    if not given.volumes.is_given or not basis.count:
        return ()
    finite = uncertainty.finite_factor(given.vessel_share(basis.volume_ml))
    of_count = math.sqrt(index / basis.count) * finite
    return uncertainty.budget(
        of_count, given.volumes, basis.volumes_ml, vessel=given.vessel_ml is not None
    )
