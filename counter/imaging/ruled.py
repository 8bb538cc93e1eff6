"""The chamber's squares on a picture, from the lines that were taken out of it while counting.

The lines are known already, to a pixel or two of the reduced copy. Here each is followed through
the contrast, piece by piece, all lines of both families sharing one lean; then
:func:`counter.imaging.grid.best_grid` says whether they are regular. Nothing is guessed: lines that
share no period give none. It costs a few strips of the reduced copy, and nothing without lines.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from counter.domain.ruled import RuledGrid
from counter.imaging.grid import Grid, best_grid, by_quarters
from counter.imaging.light import Flat, Reduced
from counter.imaging.lines import Line
from counter.imaging.rays import sample

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Bytes = NDArray[np.uint8]

NEAR = math.radians(3.0)
"""Lines whose directions differ by less belong to one family."""

LEAST_LINES = 3
MARGIN_PX = 4
STEP_PX = 2.0
PIECE = 12
LEAST_PIECES = 3
LEAST_SEEN = 0.5
FAR_OFF = 3.0
"""A piece this many usual deviations off its line (a body lies on it) does not place it."""

JOINED = (0.0, 1.0, 2.5)
"""Lines nearer than so many shortest bodies are read as one: the two flanks of a wide groove."""

FITTING = 0.8
"""A grid with so much of its lines' worth is taken without joining any."""


@dataclass(frozen=True, slots=True)
class _Traced:
    """A line followed: ``across`` it at places ``along`` it, in pixels from the picture's middle.

    Both are (n,), in the frame turned by its family's angle.
    """

    along: Floats
    across: Floats


def ruled_grid(
    lines: Sequence[Line], flat: Flat, seen: Bytes, low_px: float, copy: Reduced,
    full_size: tuple[int, int],
) -> RuledGrid | None:  # fmt: skip
    """Return the rulings that ``lines`` make, in pixels of the picture; None if not regular.

    ``flat`` is the contrast with its rulings, ``seen`` 255 where it shows the field; both, the
    lines and the shortest body ``low_px`` are in pixels of the reduced ``copy``. ``full_size`` is
    (width, height) of the picture.
    """
    best: tuple[Grid, float] | None = None
    for angle in _angles(lines):
        grid, exact = _grid_at(angle, lines, flat, seen, low_px)
        if grid is not None and (best is None or grid.score > best[0].score):
            best = grid, exact
    return None if best is None else _on_picture(*best, seen.shape, copy, full_size)


def _angles(lines: Sequence[Line]) -> list[float]:
    """The directions (radians, 0 to a quarter turn) that three lines or more have or cross."""
    found: list[float] = []
    for line in lines:
        alike = sum(_off_square(other.angle, line.angle) < NEAR for other in lines)
        if alike >= LEAST_LINES and all(_off_square(line.angle, known) >= NEAR for known in found):
            found.append(line.angle % (math.pi / 2))
    return found


def _off_square(angle: float, other: float) -> float:
    """How far two directions are from being equal or at right angles, in radians."""
    off = (angle - other) % (math.pi / 2)
    return min(off, math.pi / 2 - off)


def _grid_at(
    angle: float, lines: Sequence[Line], flat: Flat, seen: Bytes, low_px: float
) -> tuple[Grid | None, float]:
    """Return the grid of the lines at ``angle`` and across it, and their exact direction."""
    families: list[list[_Traced]] = []
    for turned in (angle, angle + math.pi / 2):
        near = [line for line in lines if abs(math.sin(line.angle - turned)) < math.sin(NEAR)]
        followed = (_traced(line, turned, flat, seen) for line in near)
        families.append([traced for traced in followed if traced is not None])
    lean = _lean([traced for family in families for traced in family])
    upright = math.cos(math.atan(lean))
    places = [
        np.sort(np.array([_foot(traced, lean) * upright for traced in family]))
        for family in families
    ]
    best: Grid | None = None
    for share in JOINED:
        grid = best_grid(*(_merged(family, share * low_px) for family in places))
        if grid is not None and (best is None or grid.score > best.score):
            best = grid
        if best is not None and best.score >= FITTING * sum(map(len, places)):
            break
    return best, angle - math.atan(lean)


def _traced(line: Line, angle: float, flat: Flat, seen: Bytes) -> _Traced | None:
    """Follow a line in the frame turned by ``angle``; None where too little of it is seen."""
    height, width = seen.shape
    turned = 1.0 if math.cos(line.angle - angle) > 0 else -1.0
    low, high = sorted((turned * line.low, turned * line.high))
    across = np.arange(math.floor(low) - MARGIN_PX, math.ceil(high) + MARGIN_PX + 1.0)
    half = math.hypot(height, width) / 2
    along = np.arange(-half, half, STEP_PX)
    cos, sin = math.cos(angle), math.sin(angle)
    x = (width - 1) / 2 + cos * across[None, :] - sin * along[:, None]
    y = (height - 1) / 2 + sin * across[None, :] + cos * along[:, None]
    inside = (x >= 0) & (x <= width - 1) & (y >= 0) & (y <= height - 1)
    inside &= sample(seen, x, y) > 250
    kept = inside.all(axis=1)
    strip = sample(flat.contrast, x[kept], y[kept]).astype(np.float64)
    return _followed(strip, across, along[kept], flat.noise)


def _followed(strip: Floats, across: Floats, along: Floats, noise: float) -> _Traced | None:
    """Place the line in each piece of ``strip`` (along, across): the centroid of its contrast.

    The contrast is squared, so that dark lines, bright ones and grooves that are both are placed
    alike.
    """
    pieces = len(strip) // PIECE
    if pieces < LEAST_PIECES:
        return None
    found = []
    for part, where in zip(
        np.array_split(strip, pieces), np.array_split(along, pieces), strict=True
    ):
        profile = np.median(part, axis=0)
        energy = np.clip(profile**2 - (1.5 * noise) ** 2, 0.0, None)
        if energy.max() > (2.0 * noise) ** 2:
            found.append((float(where.mean()), float(energy @ across / energy.sum())))
    if len(found) < max(LEAST_PIECES, LEAST_SEEN * pieces):
        return None
    return _Traced(*np.array(found).T)


def _lean(lines: list[_Traced]) -> float:
    """The slope that all lines share (tangent), by least squares about each line's own middle."""
    if not lines:
        return 0.0
    along = np.concatenate([line.along - line.along.mean() for line in lines])
    across = np.concatenate([line.across - np.median(line.across) for line in lines])
    lean = 0.0
    kept = np.ones(len(along), bool)
    for _ in range(4):
        a, b = along[kept], across[kept]
        lean = float(a @ (b - b.mean()) / max(float(a @ a), 1e-9))
        off = np.abs(across - lean * along)
        kept = off <= FAR_OFF * max(0.3, 1.4826 * float(np.median(off)))
    return lean


def _foot(line: _Traced, lean: float) -> float:
    """Where a line passes the middle of the picture, by the median of its pieces."""
    return float(np.median(line.across - lean * line.along))


def _merged(places: Floats, gap_px: float) -> Floats:
    """Join places (growing) that are no further apart than ``gap_px``, each group to its middle."""
    if not len(places) or gap_px <= 0:
        return places
    groups = np.split(places, np.flatnonzero(np.diff(places) > gap_px) + 1)
    return np.array([(group[0] + group[-1]) / 2 for group in groups])


def _on_picture(
    grid: Grid, angle: float, shape: tuple[int, ...], copy: Reduced, full_size: tuple[int, int]
) -> RuledGrid:
    """Turn a grid about the middle of the reduced copy into one in pixels of the picture."""
    turn = angle % (math.pi / 2)
    quarter = round((angle - turn) / (math.pi / 2)) % 4
    if turn > math.pi / 4:
        turn, quarter = turn - math.pi / 2, quarter + 1
    upright, level = by_quarters(grid.starts_px, quarter)
    middle = copy.to_full(np.array([(shape[1] - 1) / 2, (shape[0] - 1) / 2]))
    cos, sin = math.cos(turn), math.sin(turn)
    across, down = middle[0] * cos + middle[1] * sin, middle[1] * cos - middle[0] * sin
    return RuledGrid(
        width_px=full_size[0],
        height_px=full_size[1],
        angle_deg=math.degrees(turn),
        period_px=grid.period_px * copy.factor,
        error_px=grid.error_px * copy.factor,
        lines=grid.lines,
        upright_px=None if upright is None else float(across + upright * copy.factor),
        level_px=None if level is None else float(down + level * copy.factor),
    )
