"""Which scale a picture is counted at, and what is doubtful about it."""

from __future__ import annotations

from counter.counting.settings import CountSettings
from counter.domain.scale import Scale
from counter.domain.scale_checks import given_scale_warnings, lens_warnings
from counter.errors import CounterError, UsageError
from counter.imaging.slide import AnyPhoto, Slide


class NoScaleError(UsageError):
    """Nothing says how large a pixel is."""


def scale_of(photo: AnyPhoto, settings: CountSettings) -> tuple[Scale, tuple[str, ...]]:
    """Return the scale for ``photo`` and warnings about it.

    In this order: given, lens, rulings, metadata. Raises :class:`NoScaleError`, saying how to
    calibrate, where there is none, and :class:`~counter.errors.CounterError` where rulings were
    asked for and none are found.
    """
    stated = photo.metadata_um_per_px
    if settings.um_per_px is not None:
        return Scale(settings.um_per_px, "given"), given_scale_warnings(settings.um_per_px, stated)
    if settings.lens is not None:
        if isinstance(photo, Slide):  # put together from many pictures of the lens's size
            size = settings.lens.width_px, settings.lens.height_px
        else:
            size = photo.width_px, photo.height_px
        said = lens_warnings(settings.lens, *size, stated)
        return settings.lens.scale(), said
    if settings.use_rulings:
        return _by_rulings(photo, settings)
    if stated is not None:
        return Scale(stated, "metadata"), ()
    raise NoScaleError(
        f"{photo.file}: nothing says how many µm a pixel is; give --um-per-px, or photograph a "
        "stage micrometer with the same objective, run “hingeline calibrate” on it and use the "
        "result (or --lens), or use the chamber's rulings (--rulings)."
    )


def _by_rulings(photo: AnyPhoto, settings: CountSettings) -> tuple[Scale, tuple[str, ...]]:
    from counter.imaging.scan_rulings import scale_from_rulings  # late: scipy.signal is slow

    if settings.chamber.ruling_um is None:
        raise NoScaleError(f"{photo.file}: the chamber has no rulings to measure.")
    try:
        found = scale_from_rulings(photo, settings.chamber.ruling_um)
    except CounterError as error:
        raise CounterError(f"{photo.file}: {error}") from error
    doubts = given_scale_warnings(found.um_per_px, photo.metadata_um_per_px, "The rulings say")
    return found.scale("rulings"), (*found.warnings, *doubts)
