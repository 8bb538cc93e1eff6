"""The working, line by line, as a person would check it on paper."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import count as numbered

from counter.domain.chamber import Chamber
from counter.domain.field import PictureField
from counter.domain.rim import rim_words
from counter.domain.rounding import (
    dilution_for_people,
    quantity_for_people,
    volume_for_people,
    whole_for_people,
)
from counter.domain.sample import Dilution, Filling, Sample
from counter.statistics.adjusted import adjusted_notes
from counter.statistics.estimate import Estimate, estimate
from counter.statistics.replicates import replicates
from counter.statistics.squares import squares_line
from counter.statistics.stop_rule import stop_words
from counter.statistics.working_limits import checking_lines, limits_lines

THE_WORKING = "The working:"
"""Stands above the steps to an answer."""


def working(sample: Sample, result: Estimate | None = None) -> tuple[str, ...]:
    """Return the lines that lead from the fields of ``sample`` to its total.

    ``result`` is its estimate where that is at hand already. Nothing looked at: one line says so.
    """
    result = estimate(sample) if result is None else result
    found, _ = replicates(sample)
    looked_at = [
        f"{_filling_line(entry.number, sample.fillings[entry.number - 1], sample.chamber)}: "
        f"{whole_for_people(entry.count)} counted"
        for entry in found
    ]
    counts, volumes = [e.count for e in found], [e.volume_ml for e in found]
    borders = " and ".join(sample.edges.value.split("-"))
    rule = f"Edge rule: what crosses the {borders} border counts, what crosses the others does not."
    return (
        f"Chamber: {sample.chamber.name}. {rule}",
        *_rim_line(sample),
        *looked_at,
        *filter(None, [stop_words(sample)]),
        *squares_line(sample),
        *adjusted_notes(sample),
        *_from_sum_to_total(counts, volumes, sample.dilution, result),
    )


def _rim_line(sample: Sample) -> list[str]:
    """Return the rule for a round field of view, where a picture shows one."""
    is_round = any(entry.picture.rim is not None for entry in sample.picture_fields())
    return [rim_words(sample.edges)] if is_round else []


def working_of_counts(
    counts: Sequence[int | None],
    volumes_ml: Sequence[float],
    dilution: Dilution,
    result: Estimate,
) -> tuple[str, ...]:
    """Return the lines for typed counts (None: lost), one volume in mL for each of them."""
    lines = [
        f"Filling {number}: lost; left out with its {volume_for_people(volume)}"
        if count is None
        else f"Filling {number}: {whole_for_people(count)} in {volume_for_people(volume)}"
        for number, count, volume in zip(numbered(1), counts, volumes_ml, strict=False)
    ]
    kept = [
        (count, volume)
        for count, volume in zip(counts, volumes_ml, strict=True)
        if count is not None
    ]
    return (
        *lines,
        *_from_sum_to_total([c for c, _ in kept], [v for _, v in kept], dilution, result),
    )


def _filling_line(number: int, filling: Filling, chamber: Chamber) -> str:
    volume = volume_for_people(filling.volume_ul(chamber) / 1000)
    if chamber.is_whole_volume or chamber.area_mm2 is None or chamber.depth_mm is None:
        return f"Filling {number}: the whole {volume}"
    area = quantity_for_people(sum(entry.area_mm2 for entry in filling.fields))
    what = f"Filling {number}: {_fields_in_words(filling)}, {area} mm²"
    if chamber.certified_ul is not None:
        whole = quantity_for_people(chamber.area_mm2)
        certified = volume_for_people(chamber.certified_ul / 1000)
        return f"{what} ÷ {whole} mm² × {certified} (certified) = {volume}"
    return f"{what} × {quantity_for_people(chamber.depth_mm)} mm deep = {volume}"


def _fields_in_words(filling: Filling) -> str:
    pictures = sum(isinstance(entry, PictureField) for entry in filling.fields)
    squares = sum(
        len(entry.counted_squares)
        for entry in filling.fields
        if not isinstance(entry, PictureField)
    )
    words = [
        f"{number} {word}{'' if number == 1 else 's'}"
        for number, word in ((pictures, "picture"), (squares, "square"))
        if number
    ]
    return " and ".join(words)


def _from_sum_to_total(
    counts: Sequence[int], volumes_ml: Sequence[float], dilution: Dilution, result: Estimate
) -> list[str]:
    if result.density_per_ml is None:
        return ["Nothing was looked at, so there is no number."]
    counted = whole_for_people(result.counted)
    volume = volume_for_people(result.volume_counted_ml)
    lines = []
    if len(counts) > 1:
        sum_of_counts = " + ".join(whole_for_people(count) for count in counts)
        sum_of_volumes = " + ".join(volume_for_people(volume) for volume in volumes_ml)
        lines += [f"Counts: {sum_of_counts} = {counted}", f"Volumes: {sum_of_volumes} = {volume}"]
    return [*lines, *checking_lines(result), *to_total(result, volumes_ml, dilution)]


def to_total(
    result: Estimate, volumes_ml: Sequence[float], dilution: Dilution, *, with_check: bool = True
) -> list[str]:
    """Return the lines from the count of ``result`` to its total and limits.

    It was looked through ``volumes_ml`` (above 0 in all); without ``with_check`` the budget of the
    volumes is not drawn again.
    """
    assert result.density_per_ml is not None
    counted, lines = whole_for_people(result.counted), []
    count = quantity_for_people(result.count) if result.checked else counted
    thin = result.density_per_ml / result.dilution_factor
    in_ml = f"{quantity_for_people(result.volume_counted_ml)} mL"
    lines.append(f"Counted water: {count} ÷ {in_ml} = {quantity_for_people(thin)} per mL")
    thicker = _dilution_factor(dilution)
    if thicker:
        lines.append(
            f"Dilution {dilution_for_people(dilution)}: {count} ÷ {in_ml}{thicker} = "
            f"{quantity_for_people(result.density_per_ml)} per mL in the vessel"
        )
    if result.total is not None and result.vessel_ml is not None:
        vessel = f"{quantity_for_people(result.vessel_ml)} mL"
        lines.append(
            f"Vessel: {count} ÷ {in_ml}{thicker} × {vessel} = {whole_for_people(result.total)}"
        )
    return [*lines, *limits_lines(result, volumes_ml, with_check=with_check)]


def _dilution_factor(dilution: Dilution) -> str:
    """Return ``× (1 + 9) ÷ 1``, nothing for undiluted water."""
    if dilution.water_parts == 0:
        return ""
    sample, water = (
        quantity_for_people(part) for part in (dilution.sample_parts, dilution.water_parts)
    )
    return f" × ({sample} + {water}) ÷ {sample}"
