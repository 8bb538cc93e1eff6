"""What looks like a slip of the hand: one sentence each, with the likely cause and what to do.

Nothing here blocks or changes a number. What one sample shows by itself is here; what shows beside
the last sample of the same tank is in :mod:`counter.statistics.audit_last`; a filling that is out
of line with the others is named by :func:`counter.statistics.cautions.slip`.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from counter.domain.rounding import (
    volume_for_people,
    whole_for_people,
)
from counter.domain.sample import Sample
from counter.statistics.audit_sizes import of_sizes
from counter.statistics.estimate import Estimate
from counter.statistics.selection import selection, two_groups
from counter.statistics.sizes import Sizes

AGREE_WITHIN = 0.01
"""Totals worked out on paper are rounded on the way: within 1 % they agree."""
TEN_TIMES = (10.0, 100.0, 1000.0)
LEAST_PIPETTED_ML = 0.001
MOST_COUNTED_ML = 100.0
CERTIFIED_WITHIN = 2.0


def paper_total(
    typed: float,
    result: Estimate,
    counts: Sequence[int | None],
    volumes_ml: Sequence[float],
) -> list[str]:
    """Compare a total that somebody worked out (above 0) with the one of its parts.

    ``counts`` (None: lost) and ``volumes_ml`` are those that made ``result``. Nothing is said
    where the totals agree, up to the digits to which ``typed`` is rounded.
    """
    if result.total is None or result.vessel_ml is None:
        return ["The total on paper cannot be checked without the vessel's volume; type it."]
    if _is_rounded(typed, result.total):
        return []
    return [
        f"The total on paper, {whole_for_people(typed)}, is not the one of these counts, "
        f"{whole_for_people(result.total)}: {_cause(typed, result, counts, volumes_ml)}. Look at "
        "both before you use either."
    ]


def _is_rounded(typed: float, total: float) -> bool:
    if math.isclose(typed, total, rel_tol=AGREE_WITHIN):
        return True
    digits = f"{round(typed)}"
    zeros = len(digits) - len(digits.rstrip("0"))
    return len(digits) > zeros + 1 and abs(typed - total) <= 0.5 * 10.0**zeros


def _cause(
    typed: float,
    result: Estimate,
    counts: Sequence[int | None],
    volumes_ml: Sequence[float],
) -> str:
    assert result.total is not None
    assert result.vessel_ml is not None
    kept = [
        (number, count, volume)
        for number, (count, volume) in enumerate(zip(counts, volumes_ml, strict=True), start=1)
        if count is not None
    ]
    for value, cause in (*_misread(kept, result), *_left_out(kept, result), *_tens(result.total)):
        if value != result.total and math.isclose(typed, value, rel_tol=AGREE_WITHIN):
            return cause
    if not result.total:
        return "none was counted"
    fitting = volume_for_people(float(f"{typed / result.total * result.vessel_ml:.3g}"))
    return f"it would fit a vessel of {fitting}, not {volume_for_people(result.vessel_ml)}"


def _misread(kept: Sequence[tuple[int, int, float]], result: Estimate) -> list[tuple[float, str]]:
    """Return the totals that come of a count taken for the number per mL."""
    assert result.vessel_ml is not None
    factor = result.dilution_factor * result.vessel_ml
    return [
        *(
            (
                count * factor,
                f"it takes the count of filling {number} ({whole_for_people(count)}) for the "
                "number per mL",
            )
            for number, count, _ in kept
        ),
        (
            result.counted / len(kept) * factor,
            "it takes the mean of the counts for the number per mL",
        ),
        (result.counted * factor, "it takes the sum of the counts for the number per mL"),
    ]


def _left_out(kept: Sequence[tuple[int, int, float]], result: Estimate) -> list[tuple[float, str]]:
    """Return the totals that come of a step or a filling left out."""
    assert result.total is not None
    assert result.vessel_ml is not None
    found = [(result.total / result.dilution_factor, "the dilution is not in it")]
    if len(kept) == 1:
        return found
    found.append((result.total * len(kept), "the fillings are added up, not averaged"))
    factor = result.dilution_factor * result.vessel_ml
    for number, count, volume in kept:
        rest = (result.counted - count) / (result.volume_counted_ml - volume) * factor
        found.append((rest, f"filling {number} is not in it"))
    return found


def _tens(total: float) -> list[tuple[float, str]]:
    return [
        *((total * ten, f"it is {ten:g} times as much, a digit or a unit") for ten in TEN_TIMES),
        *((total / ten, f"it is {ten:g} times less, a digit or a unit") for ten in TEN_TIMES),
    ]


def typed_volumes(volumes_ml: Sequence[float]) -> list[str]:
    """Say which volumes (mL, above 0) are too small for larvae or too large to be counted.

    A haemocytometer holds less than 1 µL in a square; no larva fits there, but algae do. Each
    volume is named once.
    """
    said = []
    for volume_ml in dict.fromkeys(volumes_ml):
        if volume_ml < LEAST_PIPETTED_ML:
            said.append(
                f"{volume_for_people(volume_ml)} is less than a pipette delivers; was "
                f"{volume_for_people(volume_ml * 1000)} meant? (A few squares of a haemocytometer "
                "hold so little, but no larva fits there.)"
            )
        elif volume_ml >= MOST_COUNTED_ML:
            said.append(
                f"{volume_for_people(volume_ml)} is more than anybody looks through; was "
                f"{volume_for_people(volume_ml / 1000)} meant?"
            )
    return said


def of_sample(sample: Sample, found: Sizes | None, age_days: float | None) -> tuple[str, ...]:
    """Return everything that is odd about a sample by itself.

    ``found`` are its sizes and ``age_days`` the age of its batch; None where they are not known.
    """
    return (*of_volumes(sample), *of_sizes(sample, found, age_days), *two_groups(selection(sample)))


def of_volumes(sample: Sample) -> list[str]:
    """Say what is odd about the volumes of a sample's chamber and fillings."""
    chamber = sample.chamber
    if chamber.is_whole_volume:
        aliquots = [f.aliquot_ul for f in sample.fillings if f.aliquot_ul is not None]
        return typed_volumes([volume_ul / 1000 for volume_ul in aliquots])
    if chamber.certified_ul is None or chamber.area_mm2 is None or chamber.depth_mm is None:
        return []
    geometric_ul = chamber.area_mm2 * chamber.depth_mm
    times = chamber.certified_ul / geometric_ul
    if 1 / CERTIFIED_WITHIN <= times <= CERTIFIED_WITHIN:
        return []
    return [
        f"The certified volume {volume_for_people(chamber.certified_ul / 1000)} is far from area × "
        f"depth of the chamber, {volume_for_people(geometric_ul / 1000)}; µL for mL, or another "
        "chamber?"
    ]
