"""A counted sample in words, for the terminal: fields, stages, total with limits, warnings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from counter.domain.field import PictureField
from counter.domain.naming import picture_names
from counter.domain.picture_doubts import notes
from counter.domain.rounding import (
    dilution_for_people,
    for_people,
    limits_for_people,
    quantity_for_people,
    volume_for_people,
)
from counter.domain.sample import Sample
from counter.statistics.adjusted import adjusted_notes
from counter.statistics.estimate import Estimate, StageEstimate, by_stage, estimate
from counter.statistics.method import method_for_people, mixing_for_people, uneven_for_people
from counter.statistics.selection import selection
from counter.statistics.sizes import sizes
from counter.statistics.sizes_words import sizes_notes
from counter.statistics.states import state_shares
from counter.statistics.whole_working import whole_working


def summary(sample: Sample, warnings: Sequence[str] = (), *, with_working: bool = False) -> str:
    """Return the result as lines of text; ``warnings`` are those about the pictures together.

    ``with_working`` puts every step from the counts to the limits in front of the total.
    """
    if not sample.fillings:
        return "Nothing was counted."
    total = estimate(sample)
    lines = [*_fields(sample), "", *_stages(by_stage(sample)), *_sizes(sample)]
    lines += [*(f"  {entry.words}" for entry in state_shares(sample)), ""]
    if with_working:
        lines += [*(f"  {line}" for line in whole_working(sample, total)), ""]
    lines += [*_total(sample, total), ""]
    notes = (*warnings, *adjusted_notes(sample), *total.warnings)
    lines += [f"Note: {note}" for note in notes]
    return "\n".join(lines).strip("\n")


def _fields(sample: Sample) -> Iterator[str]:
    several = len(sample.fillings) > 1
    names = picture_names(sample.picture_fields())
    for number, filling in enumerate(sample.fillings, start=1):
        if several:
            yield f"Filling {number}"
        for field in filling.fields:
            if isinstance(field, PictureField):
                yield from _field(sample, field, names[field.field_id])


def _field(sample: Sample, field: PictureField, name: str) -> Iterator[str]:
    picture = field.picture
    counted = len(field.counted(sample.edges))
    left_out = len(field.marks) - counted
    beside = f", {left_out} left out by the edge rule" if left_out else ""
    yield (
        f"  {name}: {counted} {sample.target.kind}{beside} "
        f"({quantity_for_people(float(f'{field.area_mm2:.4g}'))} mm², "
        f"{picture.scale.um_per_px:.5g} µm per pixel, {picture.scale.source})"
    )
    for warning in notes(sample, field):
        yield f"    Note: {warning}"


def _stages(stages: Sequence[StageEstimate]) -> Iterator[str]:
    width = max([len(stage.stage) for stage in stages] + [5])
    for stage in stages:
        line = f"  {stage.stage:<{width}}  {stage.counted:>6}"
        if stage.total is not None and stage.low is not None and stage.high is not None:
            line += f"   {limits_for_people(stage.total, stage.low, stage.high)}"
            line += _small(uneven_for_people(stage))
        yield line


def _small(words: str) -> str:
    return f"; {words[:1].lower()}{words[1:]}" if words else ""


def _sizes(sample: Sample) -> Iterator[str]:
    measured = sizes(sample)
    if measured is not None:
        sd = "" if measured.sd is None else f" ± {for_people(measured.sd)} (SD)"
        yield (
            f"  Length of {measured.measured} measured: mean {for_people(measured.mean)}{sd}, "
            f"median {for_people(measured.median)}, 10th to 90th percentile "
            f"{for_people(measured.p10)} to {for_people(measured.p90)} µm"
        )
        for note in sizes_notes(measured, selection(sample), None, sample.confidence):
            yield f"    {note}"


def _total(sample: Sample, total: Estimate) -> Iterator[str]:
    kind = str(sample.target.kind)
    yield (
        f"Counted {total.counted} {kind} in {volume_for_people(total.volume_counted_ml)} of "
        f"{sample.chamber.name}, dilution {dilution_for_people(sample.dilution)}, "
        f"borders {sample.edges} counted"
    )
    densities = (total.density_per_ml, total.density_low_per_ml, total.density_high_per_ml)
    if None not in densities:
        yield f"Density in the vessel: {_limits(densities)} per mL"
    totals = (total.total, total.low, total.high)
    if sample.vessel_ml is not None and None not in totals:
        vessel = volume_for_people(sample.vessel_ml)
        yield f"Total in {vessel}: {_limits(totals)} {kind}"
    yield f"Limits: {100 * total.confidence:.6g} %, {method_for_people(total)}"
    yield from filter(None, (uneven_for_people(total), mixing_for_people(total)))


def _limits(values: tuple[float | None, float | None, float | None]) -> str:
    value, low, high = (0.0 if entry is None else entry for entry in values)
    return limits_for_people(value, low, high)
