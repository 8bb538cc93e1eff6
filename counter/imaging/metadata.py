"""The scale that a file states, if a microscope could have it.

A resolution tag is usually a print size: 72, 96 or 300 dots per inch say how large a picture is
printed, not how large a larva is (300 dpi would be 84.7 µm per pixel). Only a resolution that is
finer than any printer's or scanner's, and none of their round figures, is believed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from counter.domain.scale import LEAST_UM_PER_PX, MOST_UM_PER_PX

UM_PER_INCH = 25_400.0
UM_PER_CM = 10_000.0

COARSEST_RESOLUTION_UM = 10.5
"""A resolution tag coarser than this (under 2,419 dots per inch) is a print or scan size."""

DEVICE_DPI = frozenset(
    {2400, 2540, 2880, 3000, 3200, 3600, 4000, 4800, 5400, 5760, 6400, 7200, 9600, 12800, 19200}
)
"""Dots per inch of image setters, printers and film scanners: never a microscope's by chance."""

UM_IN_UNIT = {
    "m": 1e6,
    "dm": 1e5,
    "cm": 1e4,
    "mm": 1e3,
    "µm": 1.0,
    "μm": 1.0,
    "um": 1.0,
    "micron": 1.0,
    "microns": 1.0,
    "nm": 1e-3,
    "pm": 1e-6,
    "Å": 1e-4,
    "in": UM_PER_INCH,
}
"""µm in each length unit of the OME schema that a picture could be stated in."""

SQUARE_TOLERANCE = 0.01
"""How far the two directions may differ (1 %) before pixels are not taken for square."""


@dataclass(frozen=True, slots=True)
class StatedScale:
    """What a file says: ``um_per_px`` (None: nothing to go by), where it was read, warnings."""

    um_per_px: float | None = None
    source: str | None = None
    warnings: tuple[str, ...] = ()


def of_resolution(x_per_unit: float, y_per_unit: float, um_per_unit: float) -> StatedScale:
    """Return the scale behind pixels per unit, or nothing where it is a print size.

    ``um_per_unit`` is 25 400 for an inch, 10 000 for a centimetre. Values that are not above 0
    state nothing.
    """
    if not (_is_positive(x_per_unit) and _is_positive(y_per_unit)):
        return StatedScale()
    um_per_px = um_per_unit / x_per_unit
    if not LEAST_UM_PER_PX <= um_per_px <= COARSEST_RESOLUTION_UM:
        return StatedScale()
    if any(abs(UM_PER_INCH / um_per_px - dpi) < 0.5 for dpi in DEVICE_DPI):
        return StatedScale()
    return _if_square(um_per_px, um_per_unit / y_per_unit, "the file's resolution")


def of_physical_size(x: float, x_unit: str, y: float, y_unit: str) -> StatedScale:
    """Return the scale of an OME ``PhysicalSizeX`` and ``PhysicalSizeY`` with their units.

    A unit without a length (``pixel``, ``reference frame``) states nothing; a size that no
    microscope has is left out with a warning.
    """
    if x_unit not in UM_IN_UNIT or y_unit not in UM_IN_UNIT:
        return StatedScale()
    if not (_is_positive(x) and _is_positive(y)):
        return StatedScale()
    um_per_px, other = x * UM_IN_UNIT[x_unit], y * UM_IN_UNIT[y_unit]
    if not LEAST_UM_PER_PX <= um_per_px <= MOST_UM_PER_PX:
        return StatedScale(
            warnings=(
                f"The file states {um_per_px:g} µm per pixel, which no microscope has; it is not "
                "used.",
            )
        )
    stated = _if_square(um_per_px, other, "the file's OME metadata")
    if um_per_px == 1.0 and not stated.warnings:
        return StatedScale(
            um_per_px,
            stated.source,
            (
                "The file states exactly 1 µm per pixel, which programs also write when they do "
                "not know; check it on a stage micrometer.",
            ),
        )
    return stated


def _if_square(um_per_px: float, other: float, source: str) -> StatedScale:
    if abs(other / um_per_px - 1.0) > SQUARE_TOLERANCE:
        return StatedScale(
            warnings=(
                f"The file states pixels that are not square ({um_per_px:g} × {other:g} µm); its "
                "scale is not used.",
            )
        )
    return StatedScale(um_per_px, source)


def _is_positive(value: float) -> bool:
    return math.isfinite(value) and value > 0
