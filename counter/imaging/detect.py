"""From a photo to marks, the area that was looked at, and what to warn of."""

from __future__ import annotations

from dataclasses import dataclass

from counter.domain.mark import Mark
from counter.domain.progress import Progress
from counter.domain.rim import Rim
from counter.domain.ruled import RuledGrid
from counter.domain.scale import area_mm2
from counter.domain.second_look import OtherSize
from counter.domain.species import Target
from counter.imaging.finders import find_on
from counter.imaging.nothing import shows_nothing
from counter.imaging.rescore import Rescorer
from counter.imaging.ruled_again import ruled_again
from counter.imaging.scene import prepare
from counter.imaging.second_look import LITTLE, second_look
from counter.imaging.sight import looking
from counter.imaging.slide import WHOLE_PX, AnyPhoto, Slide
from counter.imaging.slide_search import search_in_blocks


@dataclass(frozen=True, slots=True)
class Detection:
    """What was found: marks with ids 1..n, the visible area in mm², warnings in words.

    ``adjusted_by`` corrections made before with the same lens took part in the scores; 0: none.
    ``grid`` is the chamber's rulings and ``rim`` that of a round view; None where there are none.
    ``other_size`` is what was seen of another size, where hardly anything of the right one was.
    """

    marks: tuple[Mark, ...]
    area_mm2: float
    warnings: tuple[str, ...]
    adjusted_by: int = 0
    grid: RuledGrid | None = None
    rim: Rim | None = None
    other_size: OtherSize | None = None


def detect(
    photo: AnyPhoto, target: Target, progress: Progress, rescorer: Rescorer | None = None
) -> Detection:
    """Find, outline, measure and stage what ``target`` describes, and propose states.

    ``photo`` must have ``um_per_px``; a slide, or a photo of more than ``WHOLE_PX`` pixels, is
    searched block by block. ``rescorer`` is what was learnt with its lens; one of another target or
    network, and one that the older finder cannot use, is left aside. Nothing found gives no marks,
    never an error; where nothing could be seen a warning says so.

    Raises :class:`~counter.errors.Cancelled` when ``progress`` says so, and
    :class:`~counter.errors.CounterError` where a part of a slide cannot be read.
    """
    um_per_px = photo.um_per_px
    if um_per_px is None:
        raise ValueError("a photo needs a scale before it is searched")
    pixels = photo.width_px * photo.height_px
    nothing = shows_nothing(photo, target)
    if nothing is not None:
        return Detection((), area_mm2(pixels, um_per_px), (nothing,))
    said: tuple[str, ...] = ()
    grid: RuledGrid | None = None
    rim: Rim | None = None
    other_size: OtherSize | None = None
    if isinstance(photo, Slide) or pixels > WHOLE_PX:
        on_slide = search_in_blocks(photo, target, progress, rescorer)
        found, hidden_share, grid = on_slide.found, on_slide.hidden_share, on_slide.grid
    else:
        with looking(photo, target) as sight:
            scene = prepare(photo, target, progress)
            found = find_on(scene, target, progress, rescorer, sight)
        hidden_share, said = scene.view.hidden_share, scene.view.warnings
        grid, rim = scene.grid or ruled_again(photo, len(scene.ruled.lines)), scene.rim
        if len(found.marks) <= LITTLE:
            other_size = second_look(scene, target)
    return Detection(
        marks=found.marks,
        area_mm2=area_mm2(pixels, um_per_px) * (1 - hidden_share),
        warnings=(*said, *found.warnings),
        adjusted_by=found.adjusted_by,
        grid=grid,
        rim=rim,
        other_size=other_size,
    )
