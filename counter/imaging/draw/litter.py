"""What lies on a slide and is not counted: debris, algae, ciliates, bubbles, fibres."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from scipy.special import expit

from counter.imaging.draw.grid import Body, Grid
from counter.imaging.draw.shape import Floats, Shape

GREY = (0.95, 1.0, 1.15)
RUST = (0.7, 1.0, 1.5)
GREEN = (1.15, 0.55, 1.4)
OCHRE = (0.6, 0.8, 1.6)


def debris(grid: Grid, shape: Shape) -> Body:
    """A ragged flake: patchy, without an even rim."""
    body = Body.clear(grid)
    inside = grid.inside(shape)
    size = shape.feret_um[0]
    patchy = np.clip(0.45 + 0.40 * grid.noise(0.16 * size + 1) + 0.30 * grid.noise(3.0), 0, None)
    colour = RUST if grid.rng.random() < 0.5 else GREY
    body.stain(grid.rng.uniform(0.25, 0.9) * inside * patchy, colour)
    body.phase += 0.9 * inside * np.clip(0.5 + 0.6 * grid.noise(4.0), 0, None)
    return body


def alga(grid: Grid, shape: Shape) -> Body:
    """A feed alga: a small green to ochre cell with a darker chloroplast."""
    body = Body.clear(grid)
    distance = grid.distance(shape)
    half = shape.feret_um[0] / 2
    colour = GREEN if grid.rng.random() < 0.6 else OCHRE
    body.stain(0.35 * grid.cover(distance), colour)
    body.stain(0.35 * grid.blob(0.15 * half, 0.1 * half, 0.6 * half, 0.45 * half, 0.6), colour)
    body.stain(0.30 * grid.rim(distance, 0.3, 0.5), GREY)
    body.phase += 1.0 * grid.cover(distance)
    return body


def ciliate(grid: Grid, shape: Shape) -> Body:
    """A slipper-shaped ciliate: granular, with round vacuoles and a fringe of cilia."""
    body = Body.clear(grid)
    distance = grid.distance(shape)
    inside = grid.cover(distance)
    half = shape.feret_um[0] / 2
    body.stain(inside * np.clip(0.22 + 0.12 * grid.noise(2.2), 0.02, None), GREY)
    body.stain(0.30 * grid.rim(distance, 0.5, 0.8), GREY)
    for _ in range(int(grid.rng.integers(2, 6))):
        x, y = grid.rng.uniform(-0.55, 0.55) * half, grid.rng.uniform(-0.12, 0.12) * half
        away = np.hypot(grid.x_um - x, grid.y_um - y) - grid.rng.uniform(0.04, 0.10) * half
        body.stain(0.25 * grid.cover(away) * inside, OCHRE)
        body.stain(0.20 * grid.band(away, 0.0, 0.6) * inside, GREY)
    fringe = np.exp(-np.clip(distance, 0, None) / 2.0) * (1 - inside)
    body.stain(0.20 * fringe * np.clip(0.5 + 0.8 * grid.noise(1.5), 0, 2), GREY)
    body.phase += 1.2 * inside
    return body


def bubble(grid: Grid, shape: Shape) -> Body:
    """An air bubble: it throws the light aside, so a broad black ring and a bright centre."""
    body = Body.clear(grid)
    distance = grid.distance(shape)
    inside = grid.cover(distance)
    reach = grid.reach(shape)
    ring = expit((reach - grid.rng.uniform(0.55, 0.72)) * 22)
    body.stain(2.4 * ring * inside, GREY)
    body.stain(-0.10 * np.clip(1 - reach / 0.45, 0, 1), GREY)
    body.stain(-0.5 * grid.band(reach, 0.88, 0.025) * inside, GREY)
    body.phase += -1.2 * inside * np.sqrt(np.clip(1 - reach**2, 0, 1))
    return body


def fibre(grid: Grid, path_um: Floats, wide_um: float) -> Body:
    """A fibre along ``path_um`` (n, 2): two dark edges and a bright middle, as a glass rod."""
    body = Body.clear(grid)
    away = np.full(grid.shape, 1e6, np.float32)
    for (ax, ay), (bx, by) in pairwise(path_um):
        dx, dy = bx - ax, by - ay
        share = ((grid.x_um - ax) * dx + (grid.y_um - ay) * dy) / (dx**2 + dy**2)
        share = np.clip(share, 0, 1)
        near = np.hypot(grid.x_um - ax - share * dx, grid.y_um - ay - share * dy)
        away = np.minimum(away, near.astype(np.float32))
    tint = (0.6, 0.8, 1.3) if grid.rng.random() < 0.4 else GREY
    body.stain(0.75 * grid.band(away, wide_um / 2, 0.22 * wide_um), GREY)
    body.stain(0.18 * grid.cover(away - wide_um / 2), tint)
    body.phase += 1.4 * grid.cover(away - wide_um / 2)
    return body
