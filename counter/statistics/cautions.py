"""What a person should know beside the number, one sentence each. The tool informs; it never
blocks."""

from __future__ import annotations

import math
from collections.abc import Sequence

from counter.domain.rounding import for_people, quantity_for_people, volume_for_people
from counter.domain.sample import Sample
from counter.statistics.dispersion import Agreement, Dispersion, dispersion
from counter.statistics.poisson import garwood, one_sided_upper
from counter.statistics.ratio import poisson_ratio
from counter.statistics.result import Estimate
from counter.statistics.scatter import Widening

NOTHING_LOOKED_AT = "Nothing has been looked at yet, so there is no number."
NO_VESSEL = "No vessel volume was given, so there is a density but no total."
LEAST_FOLD = 3.0
SLIP_BELOW = 1e-4
TENS = (10.0, 100.0, 1000.0)
"""What a zero or a unit (µL for mL) makes of a volume."""
LEAST_VESSEL_ML = 2.0
"""Less than a well of a plate holds."""
ONE_DIGIT = (8.0, 12.5)
"""A count this many times off may have one digit too many or too few."""


def none_counted(result: Estimate) -> str:
    """Say what may still be there when none was counted, and which limit that is."""
    in_all = result.high is not None
    where = "in the vessel" if in_all else "per mL"
    upper = (result.high if in_all else result.density_high_per_ml) or 0.0
    one_sided = upper * one_sided_upper(0, result.confidence) / garwood(0, result.confidence)[1]
    return (
        f"None was counted, which is not none: there may be up to {for_people(upper)} {where} "
        f"(the two-sided upper limit at {percent(result.confidence)}; the one-sided one is "
        f"{for_people(one_sided)})."
    )


def agreement(scatter: Dispersion | None, wider: Widening) -> list[str]:
    """Say it when the fillings agree worse, or better, than chance allows."""
    if scatter is None:
        return []
    how = (
        f"(variance {for_people(scatter.index)} times that of chance, "
        f"{probability(scatter.p_upper)})"
    )
    if scatter.agreement is Agreement.CLUMPED:
        widened = ": the limits are widened" if wider.widens else ""
        return [
            f"The fillings disagree more than chance explains {how}{widened}. Mix and count "
            "another filling."
        ]
    if wider.widens and wider.house is None:
        return [
            f"The fillings may be clumped {how}: to be safe the limits are widened. Another "
            "filling would tell."
        ]
    if scatter.agreement is Agreement.TOO_REGULAR:
        return ["The fillings agree better than chance allows; were counts copied?"]
    return []


def slip(counts: Sequence[int], volumes: Sequence[float], numbers: Sequence[int]) -> list[str]:
    """Name the filling that is far from all the others, which agree: a slip in typing, perhaps.

    Of three fillings or more, one is named when it is at least three times off and that has a
    probability under 1 in 10,000 by chance; of two, both are named.
    """
    if len(counts) < 2:
        return []
    places = range(len(counts)) if len(counts) > 2 else range(1)
    folds = {place: _fold(place, counts, volumes) for place in places}
    worst = max(folds, key=lambda place: abs(math.log(folds[place])))
    others = [place for place in range(len(counts)) if place != worst]
    if not _is_far(worst, folds[worst], counts, volumes, others):
        return []
    times = for_people(max(folds[worst], 1 / folds[worst]), significant=2)
    about = f"about {times} times {'more' if folds[worst] > 1 else 'fewer'}"
    if len(counts) == 2:
        return [
            f"Filling {numbers[0]} holds {about} than filling {numbers[1]}; check both counts and "
            "volumes, mix and count another filling."
        ]
    return [
        f"Filling {numbers[worst]} ({counts[worst]} in {volume_for_people(volumes[worst])}) holds "
        f"{about} than the others; {_likely(folds[worst], _volume_fold(worst, volumes))}"
    ]


def vessel(vessel_ml: float | None, sample_ml: float) -> list[str]:
    """Say what is odd about the vessel's volume; ``sample_ml`` is what was taken from it."""
    if vessel_ml is None:
        return [NO_VESSEL]
    if sample_ml > vessel_ml:
        return [
            f"More was looked through ({volume_for_people(sample_ml)}) than the vessel holds "
            f"({volume_for_people(vessel_ml)}); check the volumes and their units."
        ]
    if vessel_ml < LEAST_VESSEL_ML:
        return [
            f"A vessel of {volume_for_people(vessel_ml)} is less than larvae are kept in; was "
            f"{volume_for_people(vessel_ml * 1000)} meant?"
        ]
    return []


def dead(dead_count: int, counted: int) -> list[str]:
    """Say that the dead are in the total, where there are any."""
    if not dead_count:
        return []
    return [
        f"{dead_count} of the {counted} counted {'is' if dead_count == 1 else 'are'} dead; the "
        "total includes them."
    ]


def shallow_chamber(sample: Sample) -> tuple[str, ...]:
    """Say it when the chamber is too shallow for what is counted in it."""
    depth_mm = sample.chamber.depth_mm
    if depth_mm is None or depth_mm * 1000 > sample.target.high_um / 2:
        return ()
    return (
        f"The chamber “{sample.chamber.name}” is {quantity_for_people(depth_mm)} mm deep: "
        f"bodies of up to {quantity_for_people(sample.target.high_um)} µm hardly get in; a "
        "deeper one counts them without loss.",
    )


def percent(confidence: float) -> str:
    """Return ``95 %``."""
    return f"{confidence * 100:.6g} %"


def probability(p: float) -> str:
    """Return ``p = 0.036``, or ``p < 0.0001``."""
    return f"p = {p:.2g}" if p >= 1e-4 else "p < 0.0001"


def _fold(place: int, counts: Sequence[int], volumes: Sequence[float]) -> float:
    """Return how many times the density of one filling is that of the others (0.5 added to both,
    so that a 0 can be compared)."""
    own = (counts[place] + 0.5) / volumes[place]
    rest = (sum(counts) - counts[place] + 0.5) / (sum(volumes) - volumes[place])
    return own / rest


def _is_far(
    place: int, fold: float, counts: Sequence[int], volumes: Sequence[float], others: list[int]
) -> bool:
    if max(fold, 1 / fold) < LEAST_FOLD:
        return False
    rest, room = sum(counts[at] for at in others), sum(volumes[at] for at in others)
    chance = poisson_ratio(counts[place], volumes[place], rest, room).p_value
    among = dispersion([counts[at] for at in others], [volumes[at] for at in others])
    return chance < SLIP_BELOW and (among is None or among.p_upper >= SLIP_BELOW)


def _volume_fold(place: int, volumes: Sequence[float]) -> float:
    """Return how many times the volume of one filling is that of the others (1: they differ)."""
    others = {volume for at, volume in enumerate(volumes) if at != place}
    return volumes[place] / others.pop() if len(others) == 1 else 1.0


def _likely(fold: float, volume_fold: float) -> str:
    ten = next((ten for ten in TENS if math.isclose(max(volume_fold, 1 / volume_fold), ten)), None)
    if ten is not None:
        return (
            f"its volume is exactly {ten:g} times {'more' if volume_fold > 1 else 'less'} than "
            "theirs: a zero or a unit? Look at the paper before you use the total."
        )
    low, high = ONE_DIGIT
    if low <= fold <= high:
        return "one digit too many? Look at the paper before you use the total."
    if low <= 1 / fold <= high:
        return "a digit missing? Look at the paper before you use the total."
    return "check the count and the volume, or mix and count another filling."
