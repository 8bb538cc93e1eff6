"""How larvae look: a clear shell with a dark refractive rim, tissue and a golden-brown gut."""

from __future__ import annotations

import numpy as np
from scipy.special import expit

from counter.imaging.draw.grid import Body, Grid
from counter.imaging.draw.shape import Layer, Shape

TISSUE = (0.85, 1.0, 1.35)
GOLD = (0.45, 0.85, 1.7)
BROWN = (0.75, 1.05, 1.55)
SHELL = (0.95, 1.0, 1.08)
ROSE = (0.78, 1.05, 0.98)
INK = (1.0, 1.0, 1.0)


def trochophore(grid: Grid, shape: Shape) -> Body:
    """A pear without a shell, granular, with a girdle of cilia."""
    body = Body.clear(grid)
    distance = grid.distance(shape)
    inside = grid.cover(distance)
    size = shape.feret_um[0]
    dome = _dome(grid, shape)
    granules = 1 + 0.45 * grid.noise(2.2) + 0.35 * grid.noise(5.0)
    body.stain(inside * (0.16 + 0.26 * dome) * granules, BROWN)
    body.stain(0.45 * grid.rim(distance, 0.6, 0.9), TISSUE)
    girdle = grid.band(grid.x_um, 0.12 * size, 1.8) * (np.abs(grid.y_um) < 0.62 * size)
    near = np.exp(-np.clip(distance, 0, None) / 2.6) * (1 - inside)
    body.stain(np.clip(girdle * (0.25 * inside + 0.30 * near), 0, 1), TISSUE)
    body.stain(0.10 * near * grid.spots(2.0, 0.2), INK)
    body.phase += 3.4 * dome * inside + 0.25 * grid.noise(2.0) * inside
    return body


def d_hinge(grid: Grid, shape: Shape) -> Body:
    """The first shell: straight hinge, clear valves, retracted velum, a two-lobed gut."""
    body = Body.clear(grid)
    half = shape.feret_um[0] / 2
    valves(grid, shape, body, rim=1.0)
    _soft_parts(grid, shape, body, strength=grid.rng.uniform(0.12, 0.40))
    side = grid.rng.choice([-1.0, 1.0])
    inside = grid.inside(shape)
    fullness = grid.rng.uniform(0.20, 1.0)
    for lobe in (-1.0, 1.0):
        gut = grid.blob(
            lobe * 0.24 * half + 0.05 * side * half,
            grid.rng.uniform(-0.16, 0.04) * half,
            grid.rng.uniform(0.25, 0.36) * half,
            grid.rng.uniform(0.20, 0.29) * half,
            grid.rng.uniform(-0.5, 0.5),
        )
        body.stain(fullness * gut * inside * _granular(grid, 0.35, 2.4), GOLD)
    hinge = grid.band(grid.y_um, 1.4 - shape.top_um, 1.2) * (np.abs(grid.x_um) < 0.66 * half)
    body.stain(0.40 * hinge * inside, SHELL)
    _drops(grid, body, inside, half, count=int(grid.rng.integers(2, 7)))
    return body


def umbo(grid: Grid, shape: Shape) -> Body:
    """A grown shell: growth lines, darker umbones, a large brown digestive gland."""
    body = Body.clear(grid)
    valves(grid, shape, body, rim=1.1)
    _growth_lines(grid, shape, body)
    fed = grid.rng.uniform(0.5, 1.5)
    _soft_parts(grid, shape, body, strength=0.18 + 0.20 * fed)
    _gland(grid, shape, body, strength=0.85 * fed)
    _umbones(grid, shape, body)
    return body


def eyed(grid: Grid, shape: Shape) -> Body:
    """A late larva: as an umbo larva, darker, with the round black eye spot."""
    body = umbo(grid, shape)
    _eye(grid, shape, body)
    _gill(grid, shape, body)
    return body


def pediveliger(grid: Grid, shape: Shape) -> Body:
    """An eyed larva whose foot and cilia reach out of the shell; the outline is the shell's."""
    body = umbo(grid, shape)
    half = shape.feret_um[0] / 2
    outside = 1 - grid.inside(shape)
    _foot(grid, body, half, outside)
    distance = grid.distance(shape)
    ventral = np.clip((grid.y_um / half - 0.25) * 2.5, 0, 1)
    fuzz = np.exp(-np.clip(distance, 0, None) / (0.045 * half)) * outside * ventral
    streaks = np.clip(0.6 + 0.6 * grid.noise(2.5), 0, 2)
    body.stain(0.30 * fuzz * streaks, TISSUE)
    _eye(grid, shape, body)
    _gill(grid, shape, body)
    return body


def on_side(grid: Grid, shape: Shape) -> Body:
    """A larva on its edge: a lens, dark where both valves are seen steeply, a seam along it."""
    body = Body.clear(grid)
    half = shape.feret_um[0] / 2
    valves(grid, shape, body, rim=1.35)
    _soft_parts(grid, shape, body, strength=0.35)
    inside = grid.inside(shape)
    seam = grid.band(grid.y_um - 0.02 * half * np.cos(3 * grid.x_um / half), 0.0, 0.9)
    body.stain(0.5 * seam * inside * (np.abs(grid.x_um) < 0.92 * half), SHELL)
    gut = grid.blob(grid.rng.uniform(-0.2, 0.2) * half, 0.0, 0.5 * half, 0.26 * half, 0.0)
    body.stain(0.6 * gut * inside * _granular(grid, 0.35, 3.0), GOLD)
    return body


def _dome(grid: Grid, shape: Shape) -> Layer:
    """The thickness of a rounded body: 1 in the middle, 0 on the outline."""
    reach = grid.reach(shape)
    return np.sqrt(np.clip(1 - reach**2, 0, 1))


def _granular(grid: Grid, amount: float, grain_um: float) -> Layer:
    rough = 1 + amount * grid.noise(grain_um) + 0.6 * amount * grid.noise(2.5 * grain_um)
    return np.clip(rough, 0.1, None)


def valves(grid: Grid, shape: Shape, body: Body, rim: float) -> None:
    """The shell: a dark rim where it is seen edge-on, a bright line within, a clear middle."""
    distance = grid.distance(shape)
    inside = grid.cover(distance)
    wide = (1.5 + 0.011 * shape.feret_um[0]) * grid.rng.uniform(0.85, 1.4)
    rim *= grid.rng.uniform(0.8, 1.25)
    dome = _dome(grid, shape)
    edge = grid.rim(distance, 0.55 * wide, 0.55 * wide)
    inner = grid.band(distance, -2.9 * wide, 0.8 * wide)
    body.stain(rim * 0.95 * edge, SHELL)
    body.stain(-0.07 * inner * inside, SHELL)
    body.stain(0.16 * rim * grid.band(distance, -1.9 * wide, 0.28 * wide) * inside, SHELL)
    body.stain(inside * (0.05 + 0.16 * (1 - dome) ** 2), TISSUE)
    body.phase += inside * (3.2 * dome + 0.05 * grid.noise(3.0)) + 1.0 * edge


def _growth_lines(grid: Grid, shape: Shape, body: Body) -> None:
    """Faint rings parallel to the edge, which start at the umbo."""
    size = shape.feret_um[0]
    inside = grid.inside(shape)
    top = shape.top_um
    x, y = grid.x_um, grid.y_um + np.float32(0.62 * top)
    _, away = shape.around(x * np.float32(0.86), (y - np.float32(0.72 * top)) * np.float32(0.92))
    period = grid.rng.uniform(6.5, 10.0) / (size / 2)
    rings = 0.5 + 0.5 * np.cos(2 * np.pi * away / period + 0.5 * grid.noise(30.0))
    faint = np.clip((away - 0.35) * 1.6, 0, 1) * inside
    body.stain(0.055 * rings * faint, SHELL)
    body.phase += 0.18 * rings * faint


def _soft_parts(grid: Grid, shape: Shape, body: Body, strength: float) -> None:
    """Velum and mantle: yellow-grey, uneven, not up to the shell's edge."""
    half = shape.feret_um[0] / 2
    inside = grid.inside(shape)
    for _ in range(3):
        part = grid.blob(
            grid.rng.normal(0, 0.20) * half,
            grid.rng.normal(0.12, 0.16) * half,
            grid.rng.uniform(0.40, 0.62) * half,
            grid.rng.uniform(0.30, 0.48) * half,
            grid.rng.uniform(-1.5, 1.5),
        )
        body.stain(0.5 * strength * part * inside * _granular(grid, 0.28, 2.8), TISSUE)
    body.stain(0.55 * strength * inside * grid.spots(1.6, 0.9), TISSUE)
    body.phase += 0.14 * inside * grid.noise(2.4)


def _gland(grid: Grid, shape: Shape, body: Body, strength: float) -> None:
    """The digestive gland under the umbo, brown and granular, with the paler stomach in it."""
    half = shape.feret_um[0] / 2
    inside = grid.inside(shape)
    tilt = grid.rng.uniform(-0.4, 0.4)
    for _ in range(4):
        lobe = grid.blob(
            grid.rng.normal(0, 0.20) * half,
            grid.rng.normal(-0.12, 0.12) * half,
            grid.rng.uniform(0.22, 0.36) * half,
            grid.rng.uniform(0.18, 0.28) * half,
            tilt + grid.rng.normal(0, 0.5),
        )
        colour = GOLD if grid.rng.random() < 0.4 else BROWN
        body.stain(0.5 * strength * lobe * inside * _granular(grid, 0.32, 4.0), colour)
    body.stain(0.35 * strength * inside * grid.spots(5.0, 1.5), BROWN)


def _umbones(grid: Grid, shape: Shape, body: Body) -> None:
    """The thick, rose-tinted umbo with the dark line of the hinge under it."""
    half = shape.feret_um[0] / 2
    top = shape.top_um
    inside = grid.inside(shape)
    for side in (-1.0, 1.0):
        knob = grid.soft_spot(side * 0.13 * half, -0.84 * top, 0.24 * half)
        body.stain(grid.rng.uniform(0.06, 0.26) * knob * inside * _granular(grid, 0.12, 4.0), ROSE)
    shade = grid.soft_spot(0.0, -0.95 * top, 0.34 * half)
    body.stain(0.22 * shade * inside, SHELL)
    hinge = grid.band(grid.y_um, -0.66 * top, 0.018 * half + 0.5)
    teeth = 0.75 + 0.25 * np.sign(np.sin(grid.x_um * np.float32(2 * np.pi / 6.0)))
    body.stain(0.45 * hinge * inside * teeth * (np.abs(grid.x_um) < 0.40 * half), SHELL)


def _eye(grid: Grid, shape: Shape, body: Body) -> None:
    half = shape.feret_um[0] / 2
    x, y = grid.rng.uniform(0.10, 0.24) * half, grid.rng.uniform(0.10, 0.26) * half
    radius = grid.rng.uniform(0.042, 0.060) * half
    away = np.hypot(grid.x_um - x, grid.y_um - y) - radius
    body.stain(2.6 * expit(-away / 0.8), INK)
    body.stain(0.4 * expit((2.5 - away) / 1.5), BROWN)


def _gill(grid: Grid, shape: Shape, body: Body) -> None:
    """The first gill filaments: a few short parallel strands beside the eye."""
    half = shape.feret_um[0] / 2
    patch = grid.blob(-0.30 * half, 0.34 * half, 0.26 * half, 0.18 * half, 0.4)
    strands = 0.5 + 0.5 * np.cos((grid.x_um + 0.4 * grid.y_um) * np.float32(2 * np.pi / 9.0))
    body.stain(0.26 * patch * strands * grid.inside(shape), TISSUE)


def _foot(grid: Grid, body: Body, half: float, outside: Layer) -> None:
    """A tongue that leaves the shell at the ventral side."""
    turn = np.pi / 2 + grid.rng.normal(0.0, 0.35)
    out = grid.rng.uniform(0.95, 1.15) * half
    tongue = grid.blob(
        np.cos(turn) * out * 0.80, np.sin(turn) * out * 0.80, 0.42 * half, 0.17 * half, turn
    )
    sharp = np.clip((tongue - 0.35) * 4, 0, 1)
    body.stain(0.30 * sharp * outside * _granular(grid, 0.30, 3.5), TISSUE)
    body.stain(0.35 * np.exp(-(((tongue - 0.42) / 0.13) ** 2)) * outside, TISSUE)
    body.phase += 1.2 * sharp * outside


def _drops(grid: Grid, body: Body, inside: Layer, half: float, count: int) -> None:
    """Oil drops: small clear spheres with a dark edge."""
    for _ in range(count):
        x, y = grid.rng.normal(0, 0.24, 2) * half
        radius = grid.rng.uniform(0.9, 2.2)
        away = np.hypot(grid.x_um - x, grid.y_um - y) - radius
        body.stain(0.45 * grid.band(away, 0.0, 0.5) * inside, TISSUE)
        body.stain(-0.15 * grid.cover(away + 0.6) * inside, TISSUE)
        body.phase += 0.8 * grid.cover(away)
