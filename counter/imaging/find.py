"""The narrow entrance: bodies of the lengths looked for, on one picture."""

from __future__ import annotations

from counter.domain.mark import Mark
from counter.domain.progress import Progress
from counter.domain.species import Target
from counter.imaging.detect import detect
from counter.imaging.photo import Photo


def find(photo: Photo, target: Target, progress: Progress) -> list[Mark]:
    """Find the bodies of ``target`` on ``photo``, which must have a scale.

    Returns marks with ids 1..n from top to bottom; an empty list where there is nothing. Raises
    :class:`~counter.errors.Cancelled` when ``progress`` says so and :class:`ValueError` for a
    photo without scale.
    """
    return list(detect(photo, target, progress).marks)
