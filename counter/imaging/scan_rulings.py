"""The scale from the chamber's rulings on a picture of any size."""

from __future__ import annotations

from dataclasses import replace

from counter.domain.progress import Progress, Silent
from counter.errors import CounterError
from counter.imaging.calibration import Calibration, Spacing, checked_distance_um, from_spacing
from counter.imaging.overview import overview_of
from counter.imaging.photo import Photo
from counter.imaging.rulings import Rulings, find_rulings
from counter.imaging.slide import AnyPhoto, Slide
from counter.imaging.straight import Grey

CLOSE_PX = 4096
"""Where the rulings are too thin for an overview, so much of a slide's middle is looked at."""

FEW_LINES = 6
POOR_ERROR = 0.002
SILENT = Silent()


def scale_from_rulings(
    picture: AnyPhoto, period_um: float, progress: Progress = SILENT
) -> Calibration:
    """Return the scale at which the rulings of a picture are ``period_um`` apart.

    Of a slide the overview is measured, on which many rulings are seen, or else its middle. Raises
    :class:`CounterError` where no rulings are found.
    """
    if not isinstance(picture, Slide):
        return calibrate_rulings(picture.grey(), period_um)
    overview = overview_of(picture, progress)
    try:
        found = calibrate_rulings(Photo(overview.pixels).grey(), period_um)
    except CounterError:
        return calibrate_rulings(_middle(picture).grey(), period_um)
    return replace(
        found,
        um_per_px=found.um_per_px / overview.factor,
        standard_error=found.standard_error / overview.factor,
    )


def _middle(slide: Slide) -> Photo:
    left, top = (slide.width_px - CLOSE_PX) // 2, (slide.height_px - CLOSE_PX) // 2
    return slide.part(left, top, left + CLOSE_PX, top + CLOSE_PX)


def calibrate_rulings(grey: Grey, period_um: float) -> Calibration:
    """Return the scale of a picture (H, W), 0 to 1, with rulings ``period_um`` apart.

    Raises :class:`CounterError` where no regular rulings are found (at least three lines one way,
    or two lines both ways, that agree), and :class:`UsageError` for a period not above 0 or one
    that makes the scale implausible.
    """
    checked_distance_um(period_um, "ruling", "1000 for a square of 1 mm")
    found = find_rulings(grey)
    if found is None:
        raise CounterError(
            "no regular rulings are found; at least three lines one way, or two lines both ways, "
            "must cross the picture in focus. Use a weaker objective, or a stage micrometer."
        )
    spacing = Spacing(found.period_px, found.error_px, found.angle_deg, found.divisions)
    said = _warnings(found, spacing.relative_error)
    return from_spacing(spacing, period_um, "Rulings", said)


def _warnings(found: Rulings, relative_error: float) -> tuple[str, ...]:
    said = []
    if found.lines < FEW_LINES:
        said.append(
            f"Only {found.lines} rulings are seen; a stage micrometer makes the scale surer."
        )
    if relative_error > POOR_ERROR:
        said.append(f"The rulings are unsure: the scale is good to {2 * relative_error:.1%} only.")
    return tuple(said)
