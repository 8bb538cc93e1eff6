"""A measured scale: what a calibration gives, and the plainest one, two clicks."""

from __future__ import annotations

import math
from dataclasses import dataclass

from counter.domain.mark import Point
from counter.domain.scale import (
    LEAST_UM_PER_PX,
    MOST_UM_PER_PX,
    Scale,
    checked_um_per_px,
)
from counter.errors import UsageError

CLICK_ERROR_PX = 0.7
"""How far a careful click lies from the middle of a line (standard deviation, pixels)."""

FEW_PIXELS = 200.0


@dataclass(frozen=True, slots=True)
class Spacing:
    """How far neighbouring lines are apart on a picture, with its standard error.

    ``angle_deg`` is the direction in which they follow one another, ``divisions`` how many of them
    the outer lines are apart.
    """

    period_px: float
    error_px: float
    angle_deg: float
    divisions: int

    @property
    def relative_error(self) -> float:
        """The standard error as a share of the spacing."""
        return self.error_px / self.period_px


@dataclass(frozen=True, slots=True)
class Calibration:
    """A scale with its standard error, both in µm per pixel.

    ``angle_deg`` is the direction in which the divisions follow one another, from x towards y
    (clockwise on the screen), above -90 and up to 90. ``divisions_used`` is how many divisions the
    first and the last line found are apart, over all rows of lines. ``warnings`` are sentences.
    """

    um_per_px: float
    standard_error: float
    angle_deg: float
    divisions_used: int
    warnings: tuple[str, ...] = ()

    def scale(self, source: str) -> Scale:
        """Return the scale in use with its source; raises UsageError for an implausible one."""
        return Scale(self.um_per_px, source, self.standard_error)


def two_clicks(a: Point, b: Point, distance_um: float) -> Calibration:
    """Return the scale by which the points ``a`` and ``b`` (pixels) are ``distance_um`` apart.

    The standard error takes 0.7 px for each click. Raises :class:`UsageError` for a distance not
    above 0, for two clicks on one place, and for a scale that no microscope has.
    """
    if not 0 < distance_um < math.inf:
        raise UsageError(
            f"A distance of {distance_um:g} µm is impossible; type how far apart the two lines are."
        )
    apart_px = math.dist(a, b)
    if apart_px < 2.0:
        raise UsageError("The two clicks are on one place; click two lines that are far apart.")
    um_per_px = checked_um_per_px(distance_um / apart_px)
    error = um_per_px * math.sqrt(2.0) * CLICK_ERROR_PX / apart_px
    warnings: tuple[str, ...] = ()
    if apart_px < FEW_PIXELS:
        warnings = (
            f"The two clicks are only {apart_px:.0f} px apart, so the scale is good to about "
            f"{2 * error / um_per_px:.1%}; click lines that are further apart.",
        )
    angle = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
    return Calibration(um_per_px, error, half_turn_deg(angle), 1, warnings)


def from_spacing(
    spacing: Spacing, distance_um: float, lines: str, warnings: tuple[str, ...]
) -> Calibration:
    """Return the scale at which neighbouring lines are ``distance_um`` apart.

    ``lines`` is what they are called. Raises :class:`UsageError` where no microscope has such a
    scale.
    """
    um_per_px = distance_um / spacing.period_px
    if not LEAST_UM_PER_PX <= um_per_px <= MOST_UM_PER_PX:
        raise UsageError(
            f"{lines} {spacing.period_px:.4g} px apart would make a pixel {um_per_px:.3g} µm, "
            f"which no microscope has; are they really {distance_um:g} µm apart?"
        )
    error = um_per_px * spacing.relative_error
    return Calibration(um_per_px, error, spacing.angle_deg, spacing.divisions, warnings)


def checked_distance_um(distance_um: float, what: str, usual: str) -> float:
    """Return ``distance_um`` between neighbouring lines; UsageError unless above 0 and finite."""
    if not 0 < distance_um < math.inf:
        raise UsageError(
            f"A {what} of {distance_um:g} µm is impossible; give how many µm neighbouring lines "
            f"are apart ({usual})."
        )
    return distance_um


def half_turn_deg(angle_deg: float) -> float:
    """Return the angle of a line without direction: above -90 and up to 90."""
    turned = angle_deg % 180.0
    return turned - 180.0 if turned > 90.0 else turned
