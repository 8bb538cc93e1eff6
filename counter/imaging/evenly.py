"""Evenly spaced lines, each placed several times along it: their spacing, lean and its error.

A plane through the places over line number and place along the lines gives the spacing and by how
much the lines still lean from the direction that they were looked at in (least squares; places far
off are left out). The standard error is that of a straight line through the lines' own places
against their numbers: what differs from line to line counts, however often each was placed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
Bools = NDArray[np.bool_]

FAR_OFF = 4.0
"""A place this many usual deviations (and ``NEAR_PX``) off is that of something else."""

NEAR_PX = 0.05
DIRECTION_ERROR = 0.005
"""How far the direction of the lines may be off, in radians, before their lean is measured."""


@dataclass(frozen=True, slots=True)
class Placed:
    """Where lines were seen, (n,) each: place ``across`` them in pixels, the line's ``number`` and
    ``family`` (0 or 1; at right angles, with one spacing), and how far ``along`` the line."""

    across: Floats
    number: Floats
    family: Ints
    along: Floats


@dataclass(frozen=True, slots=True)
class Even:
    """The spacing (pixels) of lines with its standard error, and their ``lean_deg``: how far the
    places move across for what they move along. ``lines`` went into it, ``divisions`` apart over
    all families."""

    period_px: float
    error_px: float
    lean_deg: float
    lines: int
    divisions: int


def even_spacing(placed: Placed, least_spread_px: float = 0.0) -> Even | None:
    """Return the spacing of lines; None where too few are placed to tell it.

    A line is not taken to be placed better than ``least_spread_px``.
    """
    design = np.column_stack(
        [*_one_per_family(placed.family), placed.number, placed.along - placed.along.mean()]
    )
    if len(design) <= design.shape[1]:
        return None
    kept, solution, rest = _fitted(design, placed.across)
    lean = _trusted(float(solution[-1]), rest[kept], placed.along[kept])
    upright = math.cos(math.atan(lean))
    lines, which = np.unique(
        np.column_stack([placed.family, placed.number])[kept], axis=0, return_inverse=True
    )
    which = which.reshape(-1)
    level = np.bincount(which, rest[kept]) / np.bincount(which)
    families = [lines[:, 0] == family for family in np.unique(lines[:, 0])]
    number, level = lines[:, 1].copy(), level.copy()
    for family in families:
        number[family] -= number[family].mean()
        level[family] -= level[family].mean()
    lever, free = float(number @ number), len(lines) - len(families) - 1
    if lever == 0 or free < 1:
        return None
    drift = float(number @ level) / lever
    spread = max(least_spread_px, math.sqrt(float(level @ level) / free))
    return Even(
        period_px=(float(solution[-2]) + drift) * upright,
        error_px=spread / math.sqrt(lever) * upright,
        lean_deg=math.degrees(math.atan(lean)),
        lines=len(lines),
        divisions=sum(int(np.ptp(lines[family, 1])) for family in families),
    )


def _one_per_family(family: Ints) -> list[Floats]:
    return [(family == each).astype(np.float64) for each in np.unique(family)]


def _fitted(design: Floats, across: Floats) -> tuple[Bools, Floats, Floats]:
    """Return which places are kept, the least-squares solution, and what all are off it."""
    kept = np.ones(len(across), bool)
    for _ in range(3):
        solution, *_ = np.linalg.lstsq(design[kept], across[kept], rcond=None)
        rest = across - design @ solution
        limit = FAR_OFF * 1.4826 * float(np.median(np.abs(rest[kept]))) + NEAR_PX
        kept = np.abs(rest) <= limit
    return np.asarray(kept), np.asarray(solution), np.asarray(rest)


def _trusted(lean: float, rest: Floats, along: Floats) -> float:
    """Return ``lean`` drawn towards 0 where a short stretch measures it worse than the direction.

    The direction is good to about 0.3°; this is its weighted mean with the lean that is measured.
    """
    lever = float(((along - along.mean()) ** 2).sum()) + 1e-12
    variance = float(rest @ rest) / max(1, len(rest) - 3) / lever
    return lean / (1.0 + variance / DIRECTION_ERROR**2)
