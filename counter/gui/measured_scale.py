"""Scales that are measured on a picture, each with the words that a person reads."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

from counter.domain.mark import Point
from counter.domain.scale import Lens, Scale
from counter.errors import UsageError

_POINT_ERROR_PX = 1.0


@dataclass(frozen=True, slots=True)
class Measured:
    """A measured scale: how it is said, what is odd about it, and the picture's size."""

    scale: Scale
    words: str
    warnings: tuple[str, ...]
    width_px: int
    height_px: int

    def as_lens(self, name: str, day: date) -> Lens:
        """Return the lens that remembers this scale."""
        error = self.scale.standard_error or 0.0
        return Lens(name, self.scale.um_per_px, error, day, self.width_px, self.height_px)


def from_two_points(
    a: Point, b: Point, length_um: float, width_px: int, height_px: int
) -> Measured:
    """Return the scale at which a and b are ``length_um`` apart.

    The standard error is that of two points pressed to about a pixel each. Raises
    :class:`UsageError` for two points in one place or a scale that no microscope has.
    """
    distance_px = math.dist(a, b)
    if distance_px < 2.0:
        raise UsageError("The two points lie in one place; mark the two ends of the distance.")
    um_per_px = length_um / distance_px
    error = um_per_px * _POINT_ERROR_PX * math.sqrt(2.0) / distance_px
    scale = Scale(um_per_px, "clicks", error)
    words = f"{um_per_px:.5g} ± {error:.1g} µm per pixel, from {distance_px:.1f} pixels"
    return Measured(scale, words, (), width_px, height_px)
