"""Empty shells that stand open, by chance: two valves that hang together at the hinge."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from counter.imaging.learn.outlines import (
    ANGLES,
    THETA,
    Radii,
    ellipse,
    scaled,
    softened,
    straight_hinge,
    umbo,
    wobble,
)


def gaping(rng: np.random.Generator) -> tuple[Radii, Radii, Radii]:
    """Two valves that hang together at the hinge: the union's outline, then that of each valve."""
    if rng.random() < 0.35:
        return open_book(rng)
    valve = straight_hinge(rng) if rng.random() < 0.5 else umbo(rng)
    points = np.column_stack([valve * np.cos(THETA), valve * np.sin(THETA)]).astype(np.float64)
    hinge = np.array([0.0, points[:, 1].min()])
    open_by = rng.uniform(0.1, 0.75)
    share = rng.uniform(0.3, 0.7)
    narrow = np.array([rng.uniform(0.6, 1.0), 1.0])
    valves = []
    for by, shrink in ((-open_by * share, 1.0), (open_by * (1 - share), rng.uniform(0.85, 1.0))):
        turn = np.array([[np.cos(by), -np.sin(by)], [np.sin(by), np.cos(by)]])
        valves.append(((points - hinge) * narrow * shrink) @ turn.T + hinge)
    middle = (valves[0].mean(axis=0) + valves[1].mean(axis=0)) / 2
    first, second = (_seen_from(each - middle) for each in valves)
    union = softened(np.maximum(first, second), 2.0)
    whole = scaled(union)
    grown = whole / union
    return whole, np.asarray(first * grown, np.float32), np.asarray(second * grown, np.float32)


def open_book(rng: np.random.Generator) -> tuple[Radii, Radii, Radii]:
    """Two valves side by side, open at the hinge between them: the union, then each valve.

    Seen from the middle of the hinge, each valve is one half; ajar they lean to one side.
    """
    power, aspect = rng.uniform(1.7, 2.6), rng.uniform(1.1, 2.8)
    tall = ellipse(aspect, power) * wobble(rng, rng.uniform(0, 0.02), 5)
    points = np.column_stack([tall * np.sin(THETA), tall * np.cos(THETA)])
    lean = rng.uniform(-0.1, 0.45) if rng.random() < 0.5 else 0.0
    valves = []
    for way in (-1.0, 1.0):
        turn = np.array(
            [[np.cos(way * lean), -np.sin(way * lean)], [np.sin(way * lean), np.cos(way * lean)]]
        )
        beside = points * (way, 1.0)
        beside[:, 0] += way * 0.98 / aspect
        moved = beside @ turn.T
        valves.append(_farthest(moved - (0.0, rng.normal(0, 0.02))))
    union = np.maximum(*valves)
    whole = scaled(union)
    grown = whole / union
    first, second = (np.asarray(each * grown, np.float32) for each in valves)
    return whole, first, second


def _farthest(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """How far out a closed outline that need not surround (0, 0) reaches at each even angle."""
    after = np.roll(points, -1, axis=0)
    reach = np.full(ANGLES, 0.05)
    for part in np.linspace(0, 1, 5)[:-1]:
        between = points + part * (after - points)
        at = np.arctan2(between[:, 1], between[:, 0]) % (2 * np.pi)
        index = np.round(at / (2 * np.pi) * ANGLES).astype(int) % ANGLES
        np.maximum.at(reach, index, np.hypot(between[:, 0], between[:, 1]))
    return softened(reach, 1.5)


def _seen_from(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """How far out a closed outline around (0, 0) reaches at each even angle."""
    at = np.arctan2(points[:, 1], points[:, 0]) % (2 * np.pi)
    order = np.argsort(at)
    far = np.hypot(points[:, 0], points[:, 1])
    return np.interp(THETA, at[order], far[order], period=2 * np.pi)
