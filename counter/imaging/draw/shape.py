"""Star-shaped outlines: a radius for every direction, exact to a few nanometres of drawing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import gaussian_filter1d
from scipy.spatial import ConvexHull

Floats = NDArray[np.float64]
Layer = NDArray[np.float32]

ANGLES = 720
_TURN = 2.0 * np.pi
THETA: Floats = np.arange(ANGLES, dtype=np.float64) * (_TURN / ANGLES)


@dataclass(frozen=True)
class Shape:
    """A closed outline around the origin: ``radius_um`` (ANGLES,) at the angles :data:`THETA`.

    x to the right, y down, µm; angles turn from x towards y. For a shell the dorsal side (hinge)
    is up, at -90°.
    """

    radius_um: Floats

    @cached_property
    def points_um(self) -> Floats:
        """The outline's corners, (ANGLES, 2), as x, y in µm."""
        directions = np.stack([np.cos(THETA), np.sin(THETA)], axis=1)
        return np.asarray(self.radius_um[:, None] * directions, dtype=np.float64)

    @cached_property
    def feret_um(self) -> tuple[float, float]:
        """The longest and the shortest distance between two parallel tangents, in µm."""
        return feret(self.points_um)

    @property
    def top_um(self) -> float:
        """How far the outline reaches straight up from the origin, towards the hinge, in µm."""
        return float(self.radius_um[3 * ANGLES // 4])

    def scaled_to(self, length_um: float) -> Shape:
        """Return the shape with a maximum Feret diameter of ``length_um``."""
        return Shape(self.radius_um * (length_um / self.feret_um[0]))

    def around(self, x_um: Layer, y_um: Layer) -> tuple[Layer, Layer]:
        """Return distance to the outline and reach, each like ``x_um`` and ``y_um``.

        The distance is in µm, negative inside, exact near the outline. The reach is 0 at the
        origin, 1 on the outline, more outside.
        """
        radius, slope = self._at(x_um, y_um)
        away = np.hypot(x_um, y_um)
        distance = np.asarray((away - radius) * slope, dtype=np.float32)
        return distance, np.asarray(away / radius, dtype=np.float32)

    @cached_property
    def _tables(self) -> tuple[Layer, Layer]:
        slope = np.gradient(
            np.concatenate([self.radius_um[-2:], self.radius_um, self.radius_um[:2]])
        )
        turn = slope[2:-2] / (_TURN / ANGLES) / self.radius_um
        return self.radius_um.astype(np.float32), (1.0 / np.hypot(1.0, turn)).astype(np.float32)

    def _at(self, x_um: Layer, y_um: Layer) -> tuple[Layer, Layer]:
        radius, slope = self._tables
        place = np.arctan2(y_um, x_um) * np.float32(ANGLES / _TURN)
        below = np.floor(place)
        share = place - below
        first = below.astype(np.int32) % ANGLES
        second = (first + 1) % ANGLES
        return (
            radius[first] * (1 - share) + radius[second] * share,
            slope[first] * (1 - share) + slope[second] * share,
        )


def shape_of(points_um: Floats, smooth_deg: float = 0.0) -> Shape:
    """Return the shape through ``points_um`` (n, 2), which must be star-shaped round (0, 0).

    ``smooth_deg`` rounds its corners: the standard deviation of a blur over the angles.
    """
    angle = np.arctan2(points_um[:, 1], points_um[:, 0]) % _TURN
    radius = np.hypot(points_um[:, 0], points_um[:, 1])
    order = np.argsort(angle)
    table = np.interp(THETA, angle[order], radius[order], period=_TURN)
    return Shape(smoothed(table, smooth_deg))


def smoothed(radius_um: Floats, smooth_deg: float) -> Floats:
    """Return the radii blurred over the angles with a standard deviation of ``smooth_deg``."""
    if smooth_deg <= 0:
        return radius_um
    return np.asarray(
        gaussian_filter1d(radius_um, smooth_deg * ANGLES / 360.0, mode="wrap"), dtype=np.float64
    )


def union(parts: Sequence[Floats]) -> Shape:
    """Return the outer outline of polygons (n, 2) that all hold (0, 0)."""
    return Shape(np.max([shape_of(part).radius_um for part in parts], axis=0))


def feret(points: Floats) -> tuple[float, float]:
    """Return the maximum and the minimum Feret diameter of ``points`` (n, 2), in their unit.

    Rotating calipers on the convex hull (Shamos 1978): every side has its antipodal corner, where
    the hull's direction has turned by 180°. The longest distance is between a corner and its
    antipode, the least width between a side and its antipode. Computed here, apart from
    :mod:`counter.imaging.measure`, so that a slip there cannot hide in the truth.
    """
    hull = points[ConvexHull(points).vertices]
    following = np.roll(hull, -1, axis=0)
    side = following - hull
    direction = np.unwrap(np.arctan2(side[:, 1], side[:, 0]))
    twice = np.concatenate([direction, direction + _TURN])
    opposite = hull[np.searchsorted(twice, direction + np.pi) % len(hull)]
    across = opposite - hull
    width = np.abs(side[:, 0] * across[:, 1] - side[:, 1] * across[:, 0]) / np.hypot(*side.T)
    longest = max(np.hypot(*across.T).max(), np.hypot(*(opposite - following).T).max())
    return float(longest), float(width.min())


def area_and_centre(points: Floats) -> tuple[float, float, float]:
    """Return area, x and y of the centre of a polygon (n, 2): the shoelace formula."""
    following = np.roll(points, -1, axis=0)
    cross = points[:, 0] * following[:, 1] - following[:, 0] * points[:, 1]
    twice = float(np.sum(cross))
    centre = np.sum((points + following) * cross[:, None], axis=0) / (3.0 * twice)
    return abs(twice) / 2.0, float(centre[0]), float(centre[1])
