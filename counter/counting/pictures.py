"""One picture file to counted fields."""

from __future__ import annotations

import os

from counter.counting.scaling import scale_of
from counter.counting.settings import CountSettings
from counter.domain.field import PictureField
from counter.domain.picture import Picture
from counter.domain.progress import Part, Progress
from counter.imaging.detect import detect
from counter.imaging.read import count_pages, read_fields
from counter.imaging.slide import AnyPhoto


def count_one(
    path: str | os.PathLike[str], settings: CountSettings, progress: Progress
) -> list[PictureField]:
    """Count every page of a picture file; each page is a field, with ``field_id`` 0.

    Raises :class:`~counter.errors.CounterError` where the file cannot be read or has no scale: then
    none of its pages is counted.
    """
    pages = count_pages(path)
    fields = []
    for photo in read_fields(path):
        part = Part(progress, photo.page / pages, (photo.page + 1) / pages)
        fields.append(count_photo(photo, settings, part))
    return fields


def count_photo(photo: AnyPhoto, settings: CountSettings, progress: Progress) -> PictureField:
    """Find the scale of a photo and count it; ``field_id`` is 0.

    A scale that the photo carries already (``um_per_px``) is not used: the settings decide.
    """
    scale, doubts = scale_of(photo, settings)
    scaled = photo.with_scale(scale.um_per_px)
    found = detect(scaled, settings.target, progress, settings.rescorer)
    picture = Picture(
        file=photo.file,
        page=photo.page,
        width_px=photo.width_px,
        height_px=photo.height_px,
        scale=scale,
        area_mm2=found.area_mm2,
        warnings=(*photo.warnings, *doubts, *found.warnings),
        grid=found.grid,
        rim=found.rim,
        other_size=found.other_size,
        adjusted_by=found.adjusted_by,
        shown=found.shown,
    )
    return PictureField(0, picture, {mark.mark_id: mark for mark in found.marks})
