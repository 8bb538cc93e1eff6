"""One object of each kind: its outline and how it paints itself."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.random import Generator

from counter.imaging.draw import eggs, larvae, litter, outlines, shells
from counter.imaging.draw.grid import Body, Grid
from counter.imaging.draw.settings import Kind
from counter.imaging.draw.shape import Floats, Shape, feret, shape_of

_UMBO_FROM_UM = 105.0
_GROWN_UM = 240.0
_OPENED = 1.4
"""About how many times as long as one of its valves an open shell is."""


@dataclass(frozen=True)
class Thing:
    """An object before it has a place: ``outline_um`` (n, 2) in its own axes, origin inside.

    ``paint`` gives the body on a grid of samples.
    """

    kind: Kind
    outline_um: Floats
    paint: Callable[[Grid], Body]

    @cached_property
    def radius_um(self) -> float:
        """The farthest point of the outline from the origin, in µm."""
        return float(np.max(np.hypot(self.outline_um[:, 0], self.outline_um[:, 1])))


def make(kind: Kind, length_um: float, rng: Generator) -> Thing:
    """Return one object of ``kind`` whose maximum Feret diameter is ``length_um``."""
    if kind in _EMBRYO_CELLS:
        return _embryo(kind, length_um, rng)
    if kind is Kind.EMPTY_SHELL:
        return _empty(length_um, rng)
    if kind is Kind.OPEN_SHELL:
        return _open(length_um, rng)
    if kind is Kind.FIBRE:
        return _fibre(length_um, rng)
    outline, paint = _SIMPLE[kind]
    shape = outline(rng, length_um).scaled_to(length_um)
    return Thing(kind, shape.points_um, lambda grid: paint(grid, shape))


def _shell(rng: Generator, length_um: float) -> Shape:
    """A D or a shell with an umbo, whichever larvae of this length have."""
    if length_um < _UMBO_FROM_UM:
        return outlines.d_hinge(rng)
    growth = np.clip((length_um - 90.0) / (_GROWN_UM - 90.0), 0.0, 1.0)
    return outlines.umbo(rng, float(growth))


_EMBRYO_CELLS = {Kind.TWO_CELLS: 2, Kind.FOUR_CELLS: 4, Kind.EIGHT_CELLS: 8}

_Outline = Callable[[Generator, float], Shape]
_SIMPLE: dict[Kind, tuple[_Outline, Callable[[Grid, Shape], Body]]] = {
    Kind.EGG: (lambda rng, _: outlines.round_body(rng), eggs.egg),
    Kind.POLAR_BODY: (lambda rng, _: outlines.round_body(rng, 0.015), eggs.polar_body),
    Kind.TROCHOPHORE: (lambda rng, _: outlines.trochophore(rng), larvae.trochophore),
    Kind.D_HINGE: (lambda rng, _: outlines.d_hinge(rng), larvae.d_hinge),
    Kind.UMBO: (_shell, larvae.umbo),
    Kind.EYED: (_shell, larvae.eyed),
    Kind.PEDIVELIGER: (_shell, larvae.pediveliger),
    Kind.ON_SIDE: (lambda rng, _: outlines.on_side(rng), larvae.on_side),
    Kind.DEBRIS: (lambda rng, _: outlines.flake(rng), litter.debris),
    Kind.ALGA: (lambda rng, _: outlines.oval(rng), litter.alga),
    Kind.CILIATE: (lambda rng, _: outlines.slipper(rng), litter.ciliate),
    Kind.BUBBLE: (lambda rng, _: outlines.round_body(rng, 0.006), litter.bubble),
}


def _embryo(kind: Kind, length_um: float, rng: Generator) -> Thing:
    shape, cells = outlines.cleaving(rng, _EMBRYO_CELLS[kind])
    grown = shape.scaled_to(length_um)
    cells_um = cells * (length_um / shape.feret_um[0])
    return Thing(kind, grown.points_um, lambda grid: eggs.embryo(grid, grown, cells_um))


def _empty(length_um: float, rng: Generator) -> Thing:
    outline, valves = outlines.gaping(rng, _shell(rng, length_um))
    factor = length_um / outline.feret_um[0]
    shapes = (shape_of(valves[0] * factor), shape_of(valves[1] * factor))
    points = outline.points_um * factor
    return Thing(Kind.EMPTY_SHELL, points, lambda grid: shells.empty_shell(grid, shapes))


def _open(length_um: float, rng: Generator) -> Thing:
    valve, points = outlines.opened(rng, _shell(rng, length_um / _OPENED))
    factor = length_um / feret(points)[0]
    shape = Shape(valve.radius_um * factor)
    return Thing(Kind.OPEN_SHELL, points * factor, lambda grid: shells.open_shell(grid, shape))


def _fibre(length_um: float, rng: Generator) -> Thing:
    steps = 18
    bend = rng.normal(0.0, 0.5) + np.cumsum(rng.normal(0.0, 0.16, steps))
    path = np.cumsum(np.stack([np.cos(bend), np.sin(bend)], axis=1), axis=0)
    wide_um = rng.uniform(4.0, 14.0)
    path = (path - path.mean(axis=0)) * (length_um - wide_um) / feret(path)[0]
    side = np.gradient(path, axis=0)
    normal = np.stack([-side[:, 1], side[:, 0]], axis=1) / np.hypot(*side.T)[:, None]
    outline = np.concatenate([path + normal * wide_um / 2, (path - normal * wide_um / 2)[::-1]])
    return Thing(Kind.FIBRE, outline, lambda grid: litter.fibre(grid, path, wide_um))
