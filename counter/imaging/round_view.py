"""The circle that bounds a round field of view, from where its light ends."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from counter.imaging.rays import Picture, sample

Floats = NDArray[np.float64]

RAYS = 240
REACH_PX = 14.0
STEP_PX = 0.5
LEAST_RAYS = 40
"""So many of the rays must meet the rim on the picture: a sixth of the circle."""

ROUND_WITHIN = 0.008
"""How far, in radii, the rim may be off the circle (root mean square) to be one."""

ROUNDS = 3
FAR_OFF = 3.0


@dataclass(frozen=True, slots=True)
class Circle:
    """Middle and radius in pixels, and how far the rim is off it (root mean square)."""

    x_px: float
    y_px: float
    radius_px: float
    off_px: float

    def scaled(self, share: Floats) -> Circle:
        """Return the circle on a copy ``share`` (across, down) times as large; pixels, not rays."""
        x, y = (np.array([self.x_px, self.y_px]) + 0.5) * share - 0.5
        return Circle(float(x), float(y), self.radius_px * float(share.mean()), self.off_px)

    def outside(self, shape: tuple[int, ...]) -> NDArray[np.bool_]:
        """Return which pixels of a picture (h, w, …) lie beyond the circle."""
        x = (np.arange(shape[1], dtype=np.float32) - np.float32(self.x_px)) ** 2
        y = (np.arange(shape[0], dtype=np.float32) - np.float32(self.y_px)) ** 2
        return np.asarray(y[:, None] + x[None, :] > self.radius_px**2)


def circle_of(points: Floats, brightness: Picture) -> Circle | None:
    """Return the circle that a field of view is bounded by; None where it is not round.

    ``points`` (n, 2) are rough places (x, y) of its rim on ``brightness`` (h, w). Along rays from
    the middle, each sixth of a degree and a half, the rim is where the light is half way between
    inside and outside; the circle is fitted to these places, without those far off it (a body on
    the rim).
    """
    rough = fitted_circle(points)
    if rough is None:
        return None
    for _ in range(2):
        places = _rim_places(rough, brightness)
        if len(places) < LEAST_RAYS:
            return None
        fitted = fitted_circle(places)
        if fitted is None:
            return None
        rough = fitted
    return rough if rough.off_px <= ROUND_WITHIN * rough.radius_px else None


def _rim_places(circle: Circle, brightness: Picture) -> Floats:
    height, width = brightness.shape[:2]
    turns = np.arange(RAYS) * (2 * math.pi / RAYS)
    away = circle.radius_px + np.arange(-REACH_PX, REACH_PX + STEP_PX, STEP_PX)
    cos, sin = np.cos(turns), np.sin(turns)
    x = circle.x_px + cos[:, None] * away
    y = circle.y_px + sin[:, None] * away
    on_picture = ((x >= 0) & (x <= width - 1) & (y >= 0) & (y <= height - 1)).all(axis=1)
    light = sample(brightness, x[on_picture], y[on_picture]).astype(np.float64)
    if not len(light):
        return np.empty((0, 2))
    edge = max(2, round(3.0 / STEP_PX))
    inside = np.median(light[:, :edge], axis=1)
    outside = np.median(light[:, -edge:], axis=1)
    dark = light < ((inside + outside) / 2)[:, None]
    clear = (inside > 1.6 * outside + 4.0) & dark.any(axis=1)
    at = np.argmax(dark[:, ::-1] == 0, axis=1)  # from outside: a dark body within is no rim
    radius = away[::-1][at] + STEP_PX / 2
    chosen = np.flatnonzero(on_picture)[clear]
    return np.column_stack(
        [circle.x_px + cos[chosen] * radius[clear], circle.y_px + sin[chosen] * radius[clear]]
    )


def fitted_circle(points: Floats) -> Circle | None:
    """Return the circle through ``points`` (n, 2) by algebraic least squares.

    What is far off it is left out, in turn. None where fewer than 8 places are left or they lie on
    no circle. Kåsa I (1976), A circle fitting procedure and its error analysis, IEEE Transactions
    on Instrumentation and Measurement 25:8-14 (from memory).
    """
    kept = np.ones(len(points), bool)
    best: Circle | None = None
    for _ in range(ROUNDS):
        if kept.sum() < 8:
            return None
        x, y = points[kept].T
        system = np.column_stack([2 * x, 2 * y, np.ones_like(x)])
        (a, b, c), *_ = np.linalg.lstsq(system, x**2 + y**2, rcond=None)
        if not c + a**2 + b**2 > 0:
            return None
        radius = math.sqrt(c + a**2 + b**2)
        off = np.hypot(points[:, 0] - a, points[:, 1] - b) - radius
        spread = max(0.3, 1.4826 * float(np.median(np.abs(off[kept]))))
        kept = np.abs(off) <= FAR_OFF * spread
        best = Circle(float(a), float(b), radius, math.sqrt(float((off[kept] ** 2).mean())))
    return best


def mirrored(picture: NDArray[np.float32], circle: Circle) -> NDArray[np.float32]:
    """Return ``picture`` (h, w, …) with what lies beyond the circle mirrored from inside it.

    Where the view ends, a body then goes on as its own mirror image instead of ending in black,
    which a finder takes for a wall; only what lies within half the radius is mirrored.
    """
    beyond = circle.outside(picture.shape)
    rows, columns = np.nonzero(beyond)
    away_x, away_y = columns - circle.x_px, rows - circle.y_px
    distance = np.hypot(away_x, away_y)
    back = np.maximum(2 * circle.radius_px - distance, 0.5 * circle.radius_px) / distance
    filled = picture.copy()
    filled[rows, columns] = sample(
        picture, circle.x_px + away_x * back, circle.y_px + away_y * back
    )
    return filled
