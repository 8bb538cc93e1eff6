"""Outlines of bodies by formula, and the measures of a polygon that the truth is made of."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

Floats = NDArray[np.float64]

POINTS = 200
_TURN = np.linspace(0, 2 * np.pi, POINTS, endpoint=False)


def _egg(rng: Generator) -> Floats:
    return np.column_stack([np.cos(_TURN), rng.uniform(0.85, 1.0) * np.sin(_TURN)])


def _d_hinge(rng: Generator) -> Floats:
    """A rounded oval, cut straight along the hinge."""
    tall = rng.uniform(0.78, 0.88)
    far = (np.abs(np.cos(_TURN)) ** 2.3 + np.abs(np.sin(_TURN)) ** 2.3) ** (-1 / 2.3)
    y = far * np.sin(_TURN) * tall
    return np.column_stack([far * np.cos(_TURN), np.maximum(y, -0.55 * tall)])


def _beaked(rng: Generator, tall: tuple[float, float], taper: float, beak: float) -> Floats:
    """An egg shape that tapers, with a rounded beak on one side."""
    bump = beak * np.exp(-(((_TURN - 1.5 * np.pi) / 0.45) ** 2))
    x = np.cos(_TURN) * (1 - taper * np.sin(_TURN))
    return np.column_stack([x, np.sin(_TURN) * rng.uniform(*tall) - bump])


def _gaping(rng: Generator) -> Floats:
    """Two valves that stand open around their hinge: one body with a notch between them."""
    half = rng.uniform(0.5, 0.62)
    notch = 0.3 * np.exp(-(((_TURN - 0.5 * np.pi) / 0.3) ** 2))
    far = 1 - notch * rng.uniform(0.6, 1.0)
    return np.column_stack([np.cos(_TURN) * far, np.sin(_TURN) * far * (0.45 + half)])


def _on_side(rng: Generator) -> Floats:
    """A lens: a larva seen along its hinge."""
    return np.column_stack([np.cos(_TURN), rng.uniform(0.45, 0.6) * np.sin(_TURN)])


def outline(kind: str, length_px: float, rng: Generator) -> Floats:
    """Return a body's outline (200, 2) around (0, 0), turned by chance.

    ``length_px`` is its maximum Feret diameter.
    """
    points = {
        "egg": _egg,
        "d-hinge": _d_hinge,
        "umbo": lambda rng: _beaked(rng, (0.85, 1.0), 0.10, 0.18),
        "eyed": lambda rng: _beaked(rng, (0.88, 1.04), 0.13, 0.12),
        "pediveliger": lambda rng: _beaked(rng, (0.88, 1.04), 0.13, 0.12),
        "empty": _gaping,
        "on-side": _on_side,
    }[kind](rng)
    waves = sum(rng.normal() * np.cos(k * _TURN + rng.uniform(0, 2 * np.pi)) for k in range(2, 6))
    points = points * (1 + 0.012 * np.asarray(waves))[:, None]
    points = points / feret(points) * length_px
    turn = rng.uniform(0, 2 * np.pi)
    spun = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    return np.asarray(points @ spun.T)


def feret(points: Floats) -> float:
    """Return the largest distance between two of ``points`` (n, 2)."""
    hull = np.asarray(cv2.convexHull(points.astype(np.float32)), np.float64)[:, 0]
    return float(np.hypot(*(hull[:, None] - hull[None]).T).max())


def share_inside(points: Floats, width_px: int, height_px: int) -> float:
    """Return how much of a polygon's area lies on a picture, 0 to 1."""
    frame = np.array([[0, 0], [width_px, 0], [width_px, height_px], [0, height_px]]) - 0.5
    hull = cv2.convexHull(points.astype(np.float32))
    both, _ = cv2.intersectConvexConvex(hull, frame.astype(np.float32))
    return float(both / cv2.contourArea(hull))
