"""A counted sample as the JSON of ``hingeline count``: full precision, nothing rounded."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from counter import __version__
from counter.domain.field import PictureField
from counter.domain.mark import Mark
from counter.domain.picture_doubts import notes
from counter.domain.ruled import RuledSquare
from counter.domain.sample import Filling, Sample
from counter.statistics.adjusted import adjusted_notes
from counter.statistics.dispersion import Dispersion
from counter.statistics.estimate import by_stage, estimate
from counter.statistics.selection import selection
from counter.statistics.sizes import NOTHING_MEASURED, sizes
from counter.statistics.squares import among_ruled_squares, among_squares
from counter.statistics.states import state_shares
from counter.statistics.whole_working import whole_working

FORMAT = "hingeline-count/1"


def count_document(
    sample: Sample,
    failed: Sequence[tuple[str, str]] = (),
    warnings: Sequence[str] = (),
) -> dict[str, Any]:
    """Return the document of ``sample``: plain values, ready for JSON.

    ``failed`` holds (file, reason) of what could not be counted, ``warnings`` what was odd about
    the pictures together; those of the estimate are added. Fields that were tallied by eye have no
    picture and stand only in the estimate and the stages.
    """
    total = estimate(sample)
    measured = sizes(sample)
    return {
        "format": FORMAT,
        "version": __version__,
        "name": sample.name,
        "target": str(sample.target.kind),
        "species": sample.target.species.key,
        "length_um": [sample.target.low_um, sample.target.high_um],
        "chamber": sample.chamber.key,
        "chamber_volume_ul": sample.chamber.volume_ul,
        "edges": str(sample.edges),
        "lens": sample.lens,
        "fields": list(_fields(sample)),
        "failed": [{"file": file, "reason": reason} for file, reason in failed],
        "estimate": total.as_json(),
        "stages": [stage.as_json() for stage in by_stage(sample)],
        "state_shares": [entry.as_json() for entry in state_shares(sample)],
        "sizes_um": {
            **(NOTHING_MEASURED if measured is None else measured.as_json()),
            **selection(sample).as_json(),
        },
        "working": list(whole_working(sample, total)) if sample.fillings else [],
        "among_squares": _squares(among_squares(sample)),
        "ruled_squares": _squares(among_ruled_squares(sample)),
        "warnings": [*warnings, *adjusted_notes(sample), *total.warnings],
    }


def _fields(sample: Sample) -> Iterator[dict[str, Any]]:
    for filling in sample.fillings:
        for field in filling.fields:
            if isinstance(field, PictureField):
                yield _field(sample, filling, field)


def _field(sample: Sample, filling: Filling, field: PictureField) -> dict[str, Any]:
    picture, chamber = field.picture, sample.chamber
    volume = None if chamber.is_whole_volume else chamber.volume_of_area_ul(field.area_mm2)
    return {
        "file": picture.file,
        "page": picture.page,
        "filling": filling.filling_id,
        "width_px": picture.width_px,
        "height_px": picture.height_px,
        "um_per_px": picture.scale.um_per_px,
        "um_per_px_standard_error": picture.scale.standard_error,
        "scale_source": picture.scale.source,
        "area_mm2": field.area_mm2,
        "volume_ul": volume,
        "count": len(field.counted(sample.edges)),
        "reviewed": field.reviewed,
        "adjusted_by_corrections": picture.adjusted_by,
        "larvae": [
            _mark(mark, field.is_counted(mark, sample.edges), sample.square_of(field, mark))
            for mark in field.marks.values()
        ],
        "rulings": _rulings(sample, field),
        "warnings": list(notes(sample, field)),
    }


def _squares(scatter: Dispersion | None) -> dict[str, Any] | None:
    """Return how many squares or pictures were compared, and how they scatter; None: too few."""
    if scatter is None:
        return None
    return {"squares": len(scatter.expected), **scatter.as_json()}


def _rulings(sample: Sample, field: PictureField) -> dict[str, Any] | None:
    """Return what the chamber's rulings on a picture say; None where there are none."""
    grid, ruling_um = field.picture.grid, sample.chamber.ruling_um
    if grid is None or ruling_um is None:
        return None
    return {
        "um_per_px": grid.um_per_px(ruling_um),
        "standard_error": grid.um_per_px(ruling_um) * grid.error_px / grid.period_px,
        "angle_deg": grid.angle_deg,
        "period_px": grid.period_px,
        "lines": grid.lines,
        "whole_squares": [
            {"square": list(square), "count": count}
            for square, count in sample.count_by_square(field).items()
        ],
    }


def _mark(mark: Mark, counted: bool, square: RuledSquare | None) -> dict[str, Any]:
    return {
        "x_px": mark.x_px,
        "y_px": mark.y_px,
        "length_um": mark.length_um,
        "width_um": mark.width_um,
        "area_um2": mark.area_um2,
        "stage": mark.stage,
        **_state(mark),
        "counted": counted,
        "square": None if square is None else list(square),
        "score": mark.score,
        "origin": mark.origin,
        "flags": sorted(mark.flags),
        "outline_px": mark.outline_px,  # pairs of numbers, as JSON has lists
    }


def _state(mark: Mark) -> dict[str, Any]:
    """The state with its confidence and who says so; what a person said stands before a proposal.

    ``state_score`` is 1 for a person's word; ``eye_spot`` is always the machine's.
    """
    proposal = mark.proposal
    seen = proposal is not None and proposal.eye_spot is not None
    return {
        "state": mark.likely_state,
        "state_score": state_score(mark),
        "state_by": state_by(mark),
        "eye_spot": proposal.eye_spot if proposal is not None else None,
        "eye_spot_score": proposal.eye_spot_score if proposal is not None and seen else None,
    }


def state_by(mark: Mark) -> str | None:
    """Return ``technician`` or ``proposed``; None where nothing is known of the state."""
    if mark.state is not None:
        return "technician"
    return "proposed" if mark.proposed_state is not None else None


def state_score(mark: Mark) -> float | None:
    """Return how sure the state is, 0.5 to 1; None where nothing is known of it."""
    if mark.state is not None:
        return 1.0
    return mark.proposal.score if mark.proposal is not None and mark.proposal.state else None
