"""Reading and counting one page; runs off the window's thread."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from counter.domain.field import PictureField
from counter.domain.picture import Picture
from counter.domain.progress import Part, Progress
from counter.domain.scale import Lens, Scale
from counter.domain.scale_checks import given_scale_warnings, lens_warnings
from counter.domain.species import Target
from counter.gui.shelf import PageKey, Shelved, shelved_of
from counter.imaging.detect import detect
from counter.imaging.read import read_field
from counter.imaging.rescore import Rescorer
from counter.imaging.slide import AnyPhoto, Slide

METADATA = "metadata"
LOOK_SHARE = 0.08
"""How much of counting a slide is making its overview."""


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """What a job brought back: a field, or None where the picture has no scale yet."""

    shelved: Shelved
    field: PictureField | None


def count_page(
    key: PageKey,
    target: Target,
    wanted: Scale | Lens | None,
    progress: Progress,
    rescorer: Rescorer | None = None,
) -> Outcome:
    """Read one page and count it; runs off the window's thread.

    ``wanted`` is the scale typed or measured, or the lens; None: the file's own metadata; where
    it has none, nothing is counted yet. ``rescorer`` is what was learnt with the lens. The
    field has id 0, the session gives the real one.
    """
    progress.report(0.0, f"reading {Path(key[0]).name}")
    photo = read_field(*key)
    shelved = shelved_of(photo, Part(progress, 0.0, LOOK_SHARE))
    scale, doubts = _scale_of(photo, wanted)
    if scale is None:
        return Outcome(shelved, None)
    counting = Part(progress, LOOK_SHARE if isinstance(photo, Slide) else 0.0, 1.0)
    detection = detect(photo.with_scale(scale.um_per_px), target, counting, rescorer)
    picture = Picture(
        file=key[0],
        page=key[1],
        width_px=photo.width_px,
        height_px=photo.height_px,
        scale=scale,
        area_mm2=detection.area_mm2,
        warnings=(*photo.warnings, *doubts, *detection.warnings),
        grid=detection.grid,
        rim=detection.rim,
        other_size=detection.other_size,
        adjusted_by=detection.adjusted_by,
        shown=detection.shown,
    )
    return Outcome(shelved, PictureField(0, picture, {m.mark_id: m for m in detection.marks}))


def _scale_of(photo: AnyPhoto, wanted: Scale | Lens | None) -> tuple[Scale | None, tuple[str, ...]]:
    """Return the scale to count at, and what is odd about it."""
    stated = photo.metadata_um_per_px
    if isinstance(wanted, Lens):
        size = photo.width_px, photo.height_px
        if isinstance(photo, Slide):  # put together from many pictures of the lens's size
            size = wanted.width_px, wanted.height_px
        odd = lens_warnings(wanted, *size, stated)
        return wanted.scale(), odd
    if wanted is not None:
        return wanted, given_scale_warnings(wanted.um_per_px, stated)
    return (None if stated is None else Scale(stated, METADATA)), ()
