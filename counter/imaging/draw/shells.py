"""Empty shells of dead larvae: ajar, or open like a book."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from counter.imaging.draw.grid import Body, Grid, as_layer
from counter.imaging.draw.larvae import INK, SHELL, valves
from counter.imaging.draw.shape import Shape


def empty_shell(grid: Grid, ajar: tuple[Shape, Shape]) -> Body:
    """Two clear valves ajar and nothing in them."""
    body = Body.clear(grid)
    for valve in ajar:
        valves(grid, valve, body, rim=0.8)
    both = grid.inside(ajar[0]) * grid.inside(ajar[1])
    body.stain(0.12 * both * np.clip(grid.spots(4.0, 1.4), 0, 1), INK)
    return body


def open_shell(grid: Grid, valve: Shape) -> Body:
    """Two clear valves side by side, the one below the line y = 0 and its mirror image."""
    body = Body.clear(grid)
    near = np.zeros(grid.shape, np.float32)
    for side in (1.0, -1.0):
        there = replace(
            grid, y_um=as_layer(side * grid.y_um) - np.float32(valve.top_um), _around={}
        )
        valves(there, valve, body, rim=0.8)
        near = np.maximum(near, grid.cover(there.distance(valve) - np.float32(1.5)))
    body.stain(0.4 * grid.band(grid.y_um, 0.0, 1.2) * near, SHELL)
    return body
