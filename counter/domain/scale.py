"""Micrometres per pixel: where a scale comes from, what is plausible, what a lens remembers."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from counter.errors import UsageError

LEAST_UM_PER_PX = 0.02
MOST_UM_PER_PX = 50.0


@dataclass(frozen=True, slots=True)
class Scale:
    """A scale in use.

    ``source`` is one of ``given``, ``lens``, ``rulings``, ``metadata``, ``clicks``,
    ``micrometer``; ``standard_error`` is in µm per pixel, None where nobody measured it.
    """

    um_per_px: float
    source: str
    standard_error: float | None = None

    def __post_init__(self) -> None:
        checked_um_per_px(self.um_per_px)

    def area_mm2(self, area_px: float) -> float:
        """Return ``area_px`` (pixels) in mm²."""
        return area_mm2(area_px, self.um_per_px)


@dataclass(frozen=True, slots=True)
class Lens:
    """A calibrated lens: an objective with its camera and zoom, under one name.

    ``width_px`` and ``height_px`` are the size of the picture that it was calibrated on.
    """

    name: str
    um_per_px: float
    standard_error: float
    calibrated_on: date
    width_px: int
    height_px: int

    def __post_init__(self) -> None:
        checked_um_per_px(self.um_per_px)

    def scale(self) -> Scale:
        """Return the lens's scale with source ``lens``."""
        return Scale(self.um_per_px, "lens", self.standard_error)


def checked_um_per_px(um_per_px: float) -> float:
    """Return ``um_per_px`` if a light microscope could have it.

    Raises :class:`UsageError` for anything not above 0, not finite, under 0.02 or over 50 µm per
    pixel.
    """
    if not um_per_px > 0:
        raise UsageError(
            f"A scale of {um_per_px:g} µm per pixel is impossible; it must be above 0. "
            "Calibrate on a stage micrometer or type the µm of one pixel."
        )
    if not LEAST_UM_PER_PX <= um_per_px <= MOST_UM_PER_PX:
        raise UsageError(
            f"A scale of {um_per_px:g} µm per pixel is not plausible for a microscope "
            f"({LEAST_UM_PER_PX:g} to {MOST_UM_PER_PX:g}); check the unit: it is µm for one pixel, "
            "not pixels for one µm."
        )
    return um_per_px


def area_mm2(area_px: float, um_per_px: float) -> float:
    """Return an area of ``area_px`` pixels in mm²."""
    return area_px * um_per_px**2 * 1e-6
