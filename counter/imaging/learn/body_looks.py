"""How bodies that count look: eggs, larvae, empty shells, and bodies of no known kind."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from enum import IntEnum

import numpy as np

from counter.imaging.learn import open_shells, outlines
from counter.imaging.learn.canvas import Floats
from counter.imaging.learn.outlines import Radii

Colour = Floats


class BodyClass(IntEnum):
    """What the network tells apart; the numbers are the order of its outputs."""

    EGG = 0
    LARVA = 1
    EMPTY = 2
    OTHER = 3


def gaping(rng: np.random.Generator) -> Radii:
    """The outline of a gaping shell; :func:`open_shells.gaping` gives its valves too."""
    return open_shells.gaping(rng)[0]


def cleaved(rng: np.random.Generator) -> Radii:
    """The outline of a dividing egg; :func:`outlines.cleaved` gives its cells too."""
    return outlines.cleaved(rng)[0]


Shapes = Mapping[BodyClass, tuple[tuple[Callable[[np.random.Generator], Radii], float], ...]]

SHAPES: Shapes = {
    BodyClass.EGG: ((outlines.egg, 0.7), (outlines.cells, 0.3)),
    BodyClass.LARVA: (
        (outlines.straight_hinge, 0.34),
        (outlines.umbo, 0.42),
        (outlines.lens, 0.13),
        (outlines.pear, 0.11),
    ),
    BodyClass.EMPTY: ((outlines.straight_hinge, 0.4), (outlines.umbo, 0.25), (gaping, 0.35)),
    BodyClass.OTHER: (
        (outlines.any_body, 0.52),
        (outlines.cells, 0.2),
        (outlines.egg, 0.1),
        (outlines.refractile, 0.18),
    ),
}

WIDER: Shapes = {
    BodyClass.EGG: ((outlines.egg, 0.45), (outlines.cells, 0.1), (cleaved, 0.45)),
    BodyClass.LARVA: (
        (outlines.straight_hinge, 0.26),
        (outlines.umbo, 0.32),
        (outlines.lens, 0.14),
        (outlines.biconvex, 0.18),
        (outlines.pear, 0.1),
    ),
    BodyClass.EMPTY: ((outlines.straight_hinge, 0.3), (outlines.umbo, 0.2), (gaping, 0.5)),
    BodyClass.OTHER: (
        (outlines.any_body, 0.4),
        (outlines.cells, 0.1),
        (outlines.egg, 0.1),
        (outlines.refractile, 0.15),
        (cleaved, 0.1),
        (outlines.lobed, 0.15),
    ),
}
"""More dividing eggs, larvae on their side, gaping shells and lobed embryos."""

SIDEWAYS = (outlines.lens, outlines.biconvex)


@dataclass(frozen=True)
class Look:
    """How one population looks; amounts are optical densities, widths shares of half a length."""

    kind: BodyClass
    shape: Callable[[np.random.Generator], Radii]
    fill: float
    dome: float
    dome_power: float
    rim: float
    rim_share: float
    rim_px: float
    inner: float
    halo: float
    halo_px: float
    grain: float
    grain_px: float
    coarse: float
    gut: float
    gut_lobes: int
    eye: float
    lines: float
    opaque: float
    fringe: float
    colour: tuple[Colour, Colour, Colour]
    defocus: float
    varied: float


def any_colour(rng: np.random.Generator, spread: float) -> Colour:
    """How strongly red, green and blue are taken away, mean about 1."""
    return np.clip(1 + rng.normal(0, spread, 3), 0.1, 2.2).astype(np.float32)


def brownish(rng: np.random.Generator) -> Colour:
    """Takes blue away more than red."""
    warm = rng.uniform(0.1, 0.7)
    return np.array([1 - 0.8 * warm, 1.0, 1 + warm], np.float32) + rng.normal(0, 0.05, 3).astype(
        np.float32
    )


def any_look(rng: np.random.Generator, kind: BodyClass, among: Shapes = SHAPES) -> Look:
    """Draw the look of a population with one of the shapes ``among`` those of its class."""
    shapes, weights = zip(*among[kind], strict=True)
    shape = shapes[int(rng.choice(len(shapes), p=weights))]
    u = rng.uniform
    wild = rng.random() < 0.25
    fill, dome, rim, gut, grain = _amounts(rng, kind, shape is outlines.pear)
    tint = 0.35 if wild else 0.08
    if shape is outlines.refractile:
        return bright_cell(rng)
    return Look(
        kind=kind,
        shape=shape,
        fill=fill,
        dome=dome,
        dome_power=u(0.3, 2.0),
        rim=rim * (u(-1.0, -0.3) if wild and rng.random() < 0.3 else 1.0),
        rim_share=u(0.008, 0.05),
        rim_px=u(0.5, 1.8),
        inner=u(0, 0.45) * rim if rng.random() < 0.6 else 0.0,
        halo=u(-0.25, 0.12) if rng.random() < 0.6 else u(0.1, 0.5) if wild else 0.0,
        halo_px=u(1.5, 8),
        grain=grain,
        grain_px=float(np.exp(u(np.log(0.8), np.log(5)))),
        coarse=u(0, 0.5) if rng.random() < 0.6 else 0.0,
        gut=gut,
        gut_lobes=int(rng.integers(1, 5)),
        eye=u(0.6, 2.5) if kind is BodyClass.LARVA and rng.random() < 0.25 else 0.0,
        lines=u(0, 0.3) if rng.random() < 0.3 else 0.0,
        opaque=_opacity(rng, kind),
        fringe=u(0.1, 0.5) if rng.random() < 0.25 else 0.0,
        colour=(
            any_colour(rng, tint),
            brownish(rng) if rng.random() < 0.6 else any_colour(rng, 0.3),
            any_colour(rng, tint) if rng.random() < 0.7 else brownish(rng),
        ),
        defocus=abs(rng.normal(0, 0.03)) if rng.random() < 0.6 else u(0, 0.12),
        varied=u(0.05, 0.5),
    )


def bright_cell(rng: np.random.Generator) -> Look:
    """A cell that bends the light: bright middle, dark rim, often a bright fringe around it.

    Above the plane of focus it is the other way round.
    """
    u = rng.uniform
    other_way = -1.0 if rng.random() < 0.2 else 1.0
    dead = rng.random() < 0.3
    return Look(
        kind=BodyClass.OTHER,
        shape=outlines.refractile,
        fill=other_way * (u(0.1, 0.9) if dead else u(-0.5, 0.15)),
        dome=other_way * (u(-0.2, 0.4) if dead else u(-1.0, -0.1)),
        dome_power=u(0.5, 2.0),
        rim=other_way * u(0.3, 1.8),
        rim_share=u(0.03, 0.2),
        rim_px=u(0.5, 1.8),
        inner=u(0, 0.4) if rng.random() < 0.4 else 0.0,
        halo=-other_way * u(0, 0.4),
        halo_px=u(1.5, 6),
        grain=u(0.0, 0.4),
        grain_px=u(0.8, 3),
        coarse=u(0, 0.4) if rng.random() < 0.4 else 0.0,
        gut=0.0,
        gut_lobes=1,
        eye=0.0,
        lines=0.0,
        opaque=u(0, 1) if rng.random() < 0.5 else 0.0,
        fringe=u(0.1, 0.5) if rng.random() < 0.3 else 0.0,
        colour=(any_colour(rng, 0.06),) * 3 if not dead else (any_colour(rng, 0.3),) * 3,
        defocus=abs(rng.normal(0, 0.03)),
        varied=u(0.05, 0.6),
    )


def _opacity(rng: np.random.Generator, kind: BodyClass) -> float:
    if kind is BodyClass.EMPTY or rng.random() < 0.5:
        return 0.0
    return float(rng.uniform(0.3, 1.0)) if kind is not BodyClass.LARVA else float(rng.uniform(0, 1))


def _amounts(
    rng: np.random.Generator, kind: BodyClass, bare: bool
) -> tuple[float, float, float, float, float]:
    """Return fill, dome, rim, gut, grain."""
    u = rng.uniform
    if kind is BodyClass.EGG:
        return u(0.1, 1.2), u(-0.3, 0.9), u(0, 0.5), 0.0, u(0.05, 0.9)
    if kind is BodyClass.EMPTY:
        return u(0, 0.06), u(-0.05, 0.05), u(0.25, 1.3), 0.0, u(0, 0.04)
    if kind is BodyClass.LARVA and bare:
        return u(0.1, 0.6), u(0, 0.5), u(0, 0.6), u(0, 0.3), u(0.1, 0.6)
    if kind is BodyClass.LARVA:
        return u(0.0, 0.45), u(-0.2, 0.4), u(0.15, 1.6), u(0.15, 1.8), u(0.02, 0.4)
    if rng.random() < 0.2:
        return -u(0.3, 1.2), -u(0, 0.5), u(0.2, 1.8), 0.0, u(0, 0.3)
    fill = u(0.15, 1.5) * rng.choice([1, 1, 1, -0.5])
    return float(fill), u(-0.5, 0.8), u(-0.5, 1.2), u(0, 0.8), u(0.02, 0.7)
