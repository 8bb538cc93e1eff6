"""The outlines of eggs, larvae and litter, each with the variety of its kind.

Shapes are drawn from what the trade knows of them: the straight hinge of the first shell, the umbo
that rises over the hinge later, the lens of a larva that lies on its edge.
"""

from __future__ import annotations

import numpy as np
from numpy.random import Generator

from counter.imaging.draw.shape import ANGLES, THETA, Floats, Shape, shape_of, smoothed, union

_DORSAL = -np.pi / 2


def _wobble(rng: Generator, amount: float, first: int = 2, last: int = 7) -> Floats:
    """Return relative radii around 1 with low waves of about ``amount``."""
    radius = np.ones_like(THETA)
    for wave in range(first, last):
        strength = rng.normal(0.0, amount / wave)
        radius += strength * np.cos(wave * THETA + rng.uniform(0, 2 * np.pi))
    return radius


def round_body(rng: Generator, amount: float = 0.025) -> Shape:
    """Return a nearly round outline (egg, bubble, alga) of radius about 1."""
    return Shape(_wobble(rng, amount))


def trochophore(rng: Generator) -> Shape:
    """Return the pear of a trochophore, its broad apical end to the right."""
    pear = 1 + rng.uniform(0.05, 0.11) * np.cos(THETA) - rng.uniform(0.02, 0.06) * np.cos(2 * THETA)
    return Shape(pear * _wobble(rng, 0.012, 3))


def d_hinge(rng: Generator) -> Shape:
    """Return a D: an ellipse cut off by the straight hinge, with a slight slant."""
    cut = np.radians(rng.uniform(33.0, 44.0))
    tall = rng.uniform(0.97, 1.06)
    angle = np.linspace(-cut, np.pi + cut, 400)
    arc = np.stack([np.cos(angle), tall * np.sin(angle)], axis=1)
    hinge = np.linspace(arc[-1], arc[0], 120)[1:-1]
    points = np.concatenate([arc, hinge])
    points[:, 1] -= 0.22
    points[:, 0] += rng.normal(0.0, 0.05) * points[:, 1]
    shape = shape_of(points, smooth_deg=rng.uniform(2.0, 4.0))
    return Shape(shape.radius_um * _wobble(rng, 0.008))


def umbo(rng: Generator, growth: float) -> Shape:
    """Return a shell with an umbo; ``growth`` 0 (just rising) to 1 (grown, taller than long)."""
    lean = rng.choice([-1.0, 1.0]) * rng.uniform(0.08, 0.30) * growth
    from_top = np.angle(np.exp(1j * (THETA - _DORSAL - lean)))
    knob = (0.03 + 0.15 * growth) * rng.uniform(0.8, 1.25)
    wide = rng.uniform(0.26, 0.34)
    shoulder = (0.05 + 0.03 * growth) * rng.uniform(0.7, 1.3)
    radius = 1 + knob * np.exp(-0.5 * (from_top / wide) ** 2)
    radius -= shoulder * np.exp(-0.5 * ((np.abs(from_top) - 0.78) / 0.26) ** 2)
    radius *= 1 + 0.025 * rng.normal() * np.cos(THETA)
    shape = Shape(smoothed(radius * _wobble(rng, 0.012), 2.0))
    points = shape.points_um * np.array([1.0, rng.uniform(0.88, 0.96) + 0.05 * growth])
    return shape_of(points)


def on_side(rng: Generator) -> Shape:
    """Return the lens of a larva on its edge: two valves seen from the hinge's end."""
    thick = rng.uniform(0.50, 0.68)
    along = np.sin(np.linspace(-np.pi / 2, np.pi / 2, 300))
    bulge = thick * (1 - np.abs(along) ** 2.0) ** rng.uniform(0.72, 0.9)
    bulge *= 1 - 0.18 * along * rng.uniform(0.2, 1.0)
    upper = np.stack([along, -bulge], axis=1)
    lower = np.stack([along[::-1], bulge[::-1]], axis=1)[1:-1]
    return Shape(smoothed(shape_of(np.concatenate([upper, lower])).radius_um, 1.5))


def gaping(rng: Generator, valve: Shape) -> tuple[Shape, tuple[Floats, Floats]]:
    """Return an empty shell's outline and its two valves (points in µm), ajar at the hinge."""
    opened = np.radians(rng.uniform(16.0, 46.0))
    size = float(np.max(valve.radius_um))
    hinge = np.array([0.0, -0.62 * size])
    valves = []
    for sign in (-0.5, 0.5):
        turn = sign * opened
        matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
        valves.append((valve.points_um - hinge) @ matrix.T + hinge)
    return union(valves), (valves[0], valves[1])


def opened(rng: Generator, valve: Shape) -> tuple[Shape, Floats]:
    """Return one valve of an open shell, seen aslant, and the outline (n, 2) round both.

    The other valve is its mirror image at the line y = 0, where their hinges touch; a valve that
    is seen aslant keeps its length along the hinge and is narrower across it.
    """
    aslant = np.array([1.0, rng.uniform(0.45, 0.95)])
    seen = shape_of(valve.points_um * aslant)
    below = np.roll(seen.points_um, ANGLES // 4, axis=0)
    below[:, 1] += seen.top_um
    below = below[below[:, 1] > 0.01 * seen.feret_um[0]]
    return seen, np.concatenate([below, below[::-1] * (1.0, -1.0)])


def cleaving(rng: Generator, cells: int) -> tuple[Shape, Floats]:
    """Return the outline of an embryo of ``cells`` and its cells as (n, 3): x, y, radius.

    Oysters cleave unequally: one cell of two and of four is the larger.
    """
    if cells == 2:
        table = [(-0.36, 0.0, 0.66), (0.52, 0.0, 0.50)]
    elif cells == 4:
        table = [(-0.38, 0.12, 0.60), (0.34, 0.40, 0.48), (0.40, -0.34, 0.46), (-0.14, -0.50, 0.46)]
    else:
        ring = np.arange(5) * (2 * np.pi / 5)
        table = [(0.0, 0.0, 0.52)]
        table += [(0.52 * np.cos(a), 0.52 * np.sin(a), 0.43) for a in ring]
        table += [(0.3, 0.12, 0.34), (-0.2, -0.28, 0.34)]
    discs = np.array(table) + rng.normal(0.0, 0.022, (len(table), 3))
    return Shape(_discs_radius(discs)), discs


def _discs_radius(discs: Floats) -> Floats:
    """How far rays from (0, 0) stay in the union of discs (n, 3): x, y, radius."""
    away = np.full_like(THETA, 1e-3)
    for x, y, radius in discs:
        along = x * np.cos(THETA) + y * np.sin(THETA)
        root = along**2 - (x**2 + y**2 - radius**2)
        away = np.maximum(away, np.where(root > 0, along + np.sqrt(np.abs(root)), 0.0))
    return smoothed(away, 0.8)


def flake(rng: Generator) -> Shape:
    """Return a ragged flake of debris."""
    radius = _wobble(rng, 0.32, 2, 6) * _wobble(rng, 0.25, 6, 30)
    shape = Shape(np.clip(radius, 0.3, None))
    stretch = np.array([1.0, rng.uniform(0.45, 1.0)])
    return shape_of(shape.points_um * stretch)


def slipper(rng: Generator) -> Shape:
    """Return the slipper of a ciliate, its blunt end to the right."""
    thin = rng.uniform(0.30, 0.5)
    points = np.stack([np.cos(THETA), thin * np.sin(THETA) * (1 + 0.25 * np.cos(THETA))], axis=1)
    points[:, 1] += 0.08 * points[:, 0] ** 2
    return shape_of(points - points.mean(axis=0))


def oval(rng: Generator, least: float = 0.6) -> Shape:
    """Return an oval with its short axis at ``least`` to 1 of its long one."""
    thin = rng.uniform(least, 1.0)
    return shape_of(np.stack([np.cos(THETA), thin * np.sin(THETA)], axis=1))
