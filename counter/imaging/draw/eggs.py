"""How eggs look: dark granular spheres with a thin clear edge; embryos with furrows."""

from __future__ import annotations

import numpy as np

from counter.imaging.draw.grid import Body, Grid
from counter.imaging.draw.shape import Floats, Layer, Shape

YOLK = (0.85, 1.0, 1.25)
EDGE = (1.0, 1.0, 1.05)


def egg(grid: Grid, shape: Shape) -> Body:
    """An unfertilised egg, with the pale round of its nucleus in about half of them."""
    body = _yolk(grid, shape)
    if grid.rng.random() < 0.5:
        half = shape.feret_um[0] / 2
        x, y = grid.rng.normal(0, 0.10, 2) * half
        pale = grid.blob(x, y, 0.42 * half, 0.40 * half, 0.0)
        body.absorb *= 1 - 0.38 * pale
    return body


def polar_body(grid: Grid, shape: Shape) -> Body:
    """A fertilised egg with its polar body, a tiny clear sphere on its surface."""
    body = _yolk(grid, shape)
    turn = grid.rng.uniform(0, 2 * np.pi)
    radius = 0.075 * shape.feret_um[0]
    edge = float(np.interp(turn, np.linspace(0, 2 * np.pi, 720), shape.radius_um))
    x, y = np.cos(turn) * (edge + 0.6 * radius), np.sin(turn) * (edge + 0.6 * radius)
    away = np.hypot(grid.x_um - x, grid.y_um - y) - radius
    outside = 1 - grid.inside(shape)
    body.stain((0.16 * grid.cover(away) + 0.5 * grid.band(away, -0.5, 0.6)) * outside, YOLK)
    body.phase += 0.9 * grid.cover(away) * outside
    return body


def embryo(grid: Grid, shape: Shape, cells: Floats) -> Body:
    """A cleaving egg: ``cells`` (n, 3) as x, y, radius in µm, each a granular sphere."""
    body = Body.clear(grid)
    inside = grid.inside(shape)
    thick = np.zeros(grid.shape, np.float32)
    for x, y, radius in cells:
        away = np.hypot(grid.x_um - x, grid.y_um - y)
        dome = np.sqrt(np.clip(1 - (away / radius) ** 2, 0, 1)).astype(np.float32)
        thick = np.maximum(thick, dome * np.float32(radius / cells[:, 2].max()))
        body.stain(0.16 * grid.band(away - np.float32(radius), -0.5, 0.8) * inside, EDGE)
    _fill(grid, body, inside, thick)
    body.stain(0.55 * grid.rim(grid.distance(shape), 0.7, 0.8), EDGE)
    return body


def _yolk(grid: Grid, shape: Shape) -> Body:
    body = Body.clear(grid)
    distance = grid.distance(shape)
    dome = np.sqrt(np.clip(1 - grid.reach(shape) ** 2, 0, 1))
    _fill(grid, body, grid.cover(distance), dome)
    body.stain(0.60 * grid.rim(distance, 0.7, 0.8), EDGE)
    return body


def _fill(grid: Grid, body: Body, inside: Layer, thick: Layer) -> None:
    """Yolk granules through the thickness ``thick`` (0 to 1)."""
    dark = grid.rng.uniform(0.55, 0.95)
    rough = 1 + 0.30 * grid.noise(1.8) + 0.22 * grid.noise(4.0)
    body.stain(dark * inside * (0.30 + 0.70 * thick) * np.clip(rough, 0.2, None), YOLK)
    body.phase += inside * (3.8 * thick + 0.22 * grid.noise(1.8))
