"""From a photo to marks, the area that was looked at, and what to warn of."""

from __future__ import annotations

from dataclasses import dataclass

from counter.domain.mark import Mark
from counter.domain.progress import Progress
from counter.domain.ruled import RuledGrid
from counter.domain.scale import area_mm2
from counter.domain.species import Target
from counter.imaging import classical, learned
from counter.imaging.photo import Photo
from counter.imaging.rescore import Rescorer
from counter.imaging.scene import prepare


@dataclass(frozen=True, slots=True)
class Detection:
    """What was found: marks with ids 1..n, the visible area in mm², warnings in words.

    ``adjusted_by`` corrections made before with the same lens took part in the scores; 0: none.
    ``grid`` is the chamber's rulings; None where no regular ones were found.
    """

    marks: tuple[Mark, ...]
    area_mm2: float
    warnings: tuple[str, ...]
    adjusted_by: int = 0
    grid: RuledGrid | None = None


def detect(
    photo: Photo, target: Target, progress: Progress, rescorer: Rescorer | None = None
) -> Detection:
    """Find, outline, measure and stage what ``target`` describes.

    ``photo`` must have ``um_per_px``. ``rescorer`` is what was learnt with its lens; one of another
    target or network, and one that the older finder cannot use, is left aside. Nothing found gives
    no marks, never an error. Raises :class:`~counter.errors.Cancelled` when ``progress`` says so.
    """
    scene = prepare(photo, target, progress)
    warnings = scene.view.warnings
    used = None
    try:
        used = rescorer if rescorer is not None and rescorer.fits(target) else None
        marks = learned.search(scene, target, progress, used)
    except learned.NoNetworkError as error:
        used = None
        marks = classical.search(scene, target, progress)
        warnings = (*warnings, f"{error} The older finder was used instead; look at its marks.")
    whole = area_mm2(photo.width_px * photo.height_px, scene.um_per_px)
    return Detection(
        marks=tuple(marks),
        area_mm2=whole * (1 - scene.view.hidden_share),
        warnings=warnings,
        adjusted_by=0 if used is None else used.corrections,
        grid=scene.grid,
    )
