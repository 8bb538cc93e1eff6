"""The scale from the chamber's rulings on a picture of any size."""

from __future__ import annotations

from dataclasses import replace

from counter.domain.progress import Progress, Silent
from counter.errors import CounterError
from counter.imaging.calibration import Calibration
from counter.imaging.overview import overview_of
from counter.imaging.photo import Photo
from counter.imaging.rulings import calibrate_rulings
from counter.imaging.slide import AnyPhoto, Slide

CLOSE_PX = 4096
"""Where the rulings are too thin for an overview, so much of a slide's middle is looked at."""

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
