"""The names of the methods that limits are made by, and the words for them.

A name is put together with ``+``: what the count's limits are, then what was added to them.
"""

from __future__ import annotations

from counter.domain.house import House
from counter.domain.rounding import for_people, limits_for_people
from counter.statistics.result import Estimate, Part

POISSON_EXACT = "poisson-exact"
QUASI_POISSON = "quasi-poisson"
DOUBLE_SAMPLING = "double-sampling"
CHECKED_ONLY = "checked-only"
VOLUMES = "volumes"
FINITE = "finite-vessel"

_WORDS = {
    POISSON_EXACT: "exact Poisson limits (Garwood)",
    QUASI_POISSON: "Poisson limits widened for scatter",
    DOUBLE_SAMPLING: "limits from the checked pictures and the machine's count of all",
    CHECKED_ONLY: "exact Poisson limits of the checked pictures alone",
    VOLUMES: "with the uncertainty of the volumes",
    FINITE: "narrowed for the share of the vessel that was counted",
}


def named(first: str, *, widened: bool, volumes: bool, finite: bool) -> str:
    """Return the name of a method: ``first`` is what the count rests on."""
    if widened:
        first = QUASI_POISSON if first == POISSON_EXACT else f"{first}+{QUASI_POISSON}"
    return "+".join([first, *[VOLUMES] * volumes, *[FINITE] * finite])


def method_for_people(estimate: Estimate) -> str:
    """Return how the limits were made, in a few words: ``exact Poisson limits (Garwood)``.

    Widened limits say how much scatter they were widened for, and whether it is that of this
    sample or of the hatchery's earlier ones.
    """
    words = [_WORDS[part] for part in estimate.method.split("+")]
    if estimate.widening.widens:
        times = for_people(estimate.widening.index)
        place = words.index(_WORDS[QUASI_POISSON])
        words[place] += f" of {times} times chance{_history(estimate.widening.house)}"
    return ", ".join(words)


def uneven_for_people(found: Estimate | Part) -> str:
    """Return the limits that hold also for a vessel mixed unevenly: ``If mixed unevenly: …``.

    They are those of the total, of the density where there is no vessel. Empty where there are
    none beside the others.
    """
    wider = found.uneven
    if wider is None:
        return ""
    of_density = (wider.density_low_per_ml, wider.density_high_per_ml)
    if of_density == (found.density_low_per_ml, found.density_high_per_ml):
        return "If mixed unevenly: the same limits"
    limits, unit = (found.total, wider.low, wider.high), ""
    if None in limits:
        limits, unit = (found.density_per_ml, *of_density), " per mL"
    value, low, high = (0.0 if limit is None else limit for limit in limits)
    shown = limits_for_people(value, low, high).partition(" (")[2].rstrip(")")
    return f"If mixed unevenly: {shown}{unit}"


ONE_FILLING = "The limits rely on even mixing, which one filling cannot show. Count two more."
NO_HISTORY = (
    "The first limits rely on even mixing, which no earlier samples show. Count another filling; "
    "samples on record tell too."
)


def mixing_for_people(estimate: Estimate) -> str:
    """Return what limits of chance alone take for granted, and what to do; empty for all others.

    It is said while neither the fillings nor earlier samples have widened the limits, of a count
    of 1 or more that is not of the whole vessel.
    """
    if not estimate.count or estimate.vessel_share >= 1.0:
        return ""
    if estimate.uneven is not None:
        return "" if estimate.uneven.index == estimate.index else NO_HISTORY
    by_chance = not estimate.widening.widens and estimate.widening.house is None
    return ONE_FILLING if by_chance and estimate.dispersion is None else ""


def _history(house: House | None) -> str:
    if house is None:
        return ""
    if not house.samples:
        return " (with the scatter that was given)"
    samples = "1 earlier sample" if house.samples == 1 else f"{house.samples} earlier samples"
    return f" (with {samples})"
