"""From a photo to marks, the area that was looked at, and what to warn of."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from counter.domain.edges import Frame
from counter.domain.mark import Mark
from counter.domain.progress import Progress
from counter.domain.rim import Rim
from counter.domain.ruled import RuledGrid
from counter.domain.scale import area_mm2
from counter.domain.second_look import OtherSize
from counter.domain.species import Target
from counter.imaging.bands import inside, shown_frame
from counter.imaging.blocks import Reduction
from counter.imaging.exposure import exposure_words
from counter.imaging.finders import find_on
from counter.imaging.nothing import shows_nothing
from counter.imaging.photo import Photo
from counter.imaging.rescore import Rescorer
from counter.imaging.ruled_again import ruled_again
from counter.imaging.scene import prepare
from counter.imaging.second_look import LITTLE, second_look
from counter.imaging.sight import looking
from counter.imaging.slide import WHOLE_PX, AnyPhoto, Slide
from counter.imaging.slide_search import search_in_blocks
from counter.imaging.view import hidden_words

FINE_PX = 40.0
"""A picture on which the shortest body has more pixels across is finer than it need be."""


@dataclass(frozen=True, slots=True)
class Detection:
    """What was found: marks with ids 1..n, the visible area in mm², warnings in words.

    ``adjusted_by`` corrections made before with the same lens took part in the scores; 0: none.
    ``grid`` is the chamber's rulings and ``rim`` that of a round view; None where there are none.
    ``other_size`` is what was seen of another size, where hardly anything of the right one was.
    ``shown`` is the part inside bands that show no picture, None where there are none.
    """

    marks: tuple[Mark, ...]
    area_mm2: float
    warnings: tuple[str, ...]
    adjusted_by: int = 0
    grid: RuledGrid | None = None
    rim: Rim | None = None
    other_size: OtherSize | None = None
    shown: Frame | None = None


def detect(
    photo: AnyPhoto, target: Target, progress: Progress, rescorer: Rescorer | None = None
) -> Detection:
    """Find, outline, measure and stage what ``target`` describes, and propose states.

    ``photo`` must have ``um_per_px``. A photo of more than ``WHOLE_PX`` pixels is made smaller
    first where it is finer than the bodies need; otherwise, and as a slide, it is searched block by
    block. ``rescorer`` is what was learnt with its lens; one of another target or
    network, and one that the older finder cannot use, is left aside. Nothing found gives no marks,
    never an error; where nothing could be seen a warning says so.

    Raises :class:`~counter.errors.Cancelled` when ``progress`` says so, and
    :class:`~counter.errors.CounterError` where a part of a slide cannot be read.
    """
    um_per_px = photo.um_per_px
    if um_per_px is None:
        raise ValueError("a photo needs a scale before it is searched")
    nothing = shows_nothing(photo, target)
    whole_mm2 = area_mm2(photo.width_px * photo.height_px, um_per_px)
    if nothing is not None:
        return Detection((), whole_mm2, (nothing,))
    smaller = None if isinstance(photo, Slide) else _smaller(photo, um_per_px, target)
    if isinstance(photo, Slide) or smaller is None:
        on_slide = search_in_blocks(photo, target, progress, rescorer)
        seen_mm2 = whole_mm2 * (1 - on_slide.hidden_share)
        found = on_slide.found
        return Detection(found.marks, seen_mm2, found.warnings, found.adjusted_by, on_slide.grid)
    seen = _on_shown(smaller.whole(), smaller.um_per_px, target, progress, rescorer)
    seen = _enlarged(seen, smaller)
    hidden = hidden_words(1 - seen.area_mm2 / whole_mm2)
    return replace(seen, warnings=(*hidden, *seen.warnings))


def _smaller(photo: Photo, um_per_px: float, target: Target) -> Reduction | None:
    """Return how a photo is searched in one piece; None where it is too large for that.

    Pictures of 50 million pixels and more, as of telephones, are finer than the bodies need.
    """
    factor = math.ceil(math.sqrt(photo.width_px * photo.height_px / WHOLE_PX))
    if factor > 1 and um_per_px * factor > target.low_um / FINE_PX:
        return None
    return Reduction(photo, max(1, factor), um_per_px * max(1, factor))


def _on_shown(
    photo: Photo, um_per_px: float, target: Target, progress: Progress, rescorer: Rescorer | None
) -> Detection:
    """Search what a photo shows inside bands along its borders."""
    frame = shown_frame(photo)
    if frame is None:
        return _on_photo(photo, um_per_px, target, progress, rescorer)
    within = _on_photo(inside(photo, frame), um_per_px, target, progress, rescorer)
    return _on_whole(within, frame, photo)


def _on_photo(
    photo: Photo, um_per_px: float, target: Target, progress: Progress, rescorer: Rescorer | None
) -> Detection:
    """Search a photo without bands along its borders; nothing is said of what is no field."""
    with looking(photo, target) as sight:
        scene = prepare(photo, target, progress)
        found = find_on(scene, target, progress, rescorer, sight)
    pixels = photo.width_px * photo.height_px
    return Detection(
        marks=found.marks,
        area_mm2=area_mm2(pixels, um_per_px) * (1 - scene.view.hidden_share),
        warnings=(*exposure_words(photo.pixels), *found.warnings),
        adjusted_by=found.adjusted_by,
        grid=scene.grid or ruled_again(photo, len(scene.ruled.lines)),
        rim=scene.rim,
        other_size=second_look(scene, target) if len(found.marks) <= LITTLE else None,
    )


def _on_whole(found: Detection, frame: Frame, photo: Photo) -> Detection:
    """Return what was found within the ``frame`` of a photo, in pixels of all of it."""
    right, down = frame.left + 0.5, frame.top + 0.5
    grid, rim = found.grid, found.rim
    return replace(
        found,
        marks=tuple(mark.moved(right, down) for mark in found.marks),
        grid=grid and grid.moved(right, down, photo.width_px, photo.height_px),
        rim=rim and rim.moved(right, down),
        shown=frame,
    )


def _enlarged(found: Detection, searched: Reduction) -> Detection:
    """Return what was found on a photo that was made smaller, in pixels of the photo itself."""
    factor, photo = searched.factor, searched.picture
    if factor == 1:
        return found
    grid, rim, other, frame = found.grid, found.rim, found.other_size, found.shown
    if frame is not None:
        corners = (frame.left, frame.top), (frame.right, frame.bottom)
        (left, top), (right, bottom) = searched.to_picture(corners)
        frame = Frame(left, top, right, bottom)
    whole = photo.width_px * photo.height_px / (searched.width * searched.height * factor**2)
    return replace(
        found,
        marks=tuple(searched.placed(mark) for mark in found.marks),
        area_mm2=found.area_mm2 * whole,
        grid=grid and grid.enlarged(factor, photo.width_px, photo.height_px),
        rim=rim and rim.enlarged(factor),
        other_size=other and replace(other, median_px=other.median_px * factor),
        shown=frame,
    )
