"""Where objects lie: apart, or against one another; whole, or cut by the border."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator
from scipy.spatial.distance import cdist

from counter.imaging.draw.settings import LITTER, Kind, SceneSettings
from counter.imaging.draw.shape import Floats
from counter.imaging.draw.things import Thing

_TRIES = 80


@dataclass(frozen=True)
class Placed:
    """A thing in a picture: its origin in pixels, its turn in radians, its height in µm."""

    thing: Thing
    x_px: float
    y_px: float
    turn: float
    height_um: float

    def outline_px(self, um_per_px: float) -> Floats:
        """Return the outline (n, 2) in pixels."""
        placed = _turned(self.thing, self.turn) / um_per_px + (self.x_px, self.y_px)
        return np.asarray(placed, dtype=np.float64)


def place(things: list[Thing], settings: SceneSettings, rng: Generator) -> list[Placed]:
    """Return every thing with a place.

    What is counted comes first. Where no place keeps the gap, the roomiest of many tries is taken.
    """
    placed: list[Placed] = []
    for thing in sorted(things, key=lambda entry: entry.kind in LITTER):
        turn = float(rng.uniform(0, 2 * np.pi))
        height_um = _height(thing.kind, settings.defocus_um, rng)
        neighbours = [entry for entry in placed if entry.thing.kind not in LITTER]
        crowd = rng.random() < settings.crowding and thing.kind not in LITTER and neighbours
        if crowd:
            where = _beside(thing, turn, neighbours, settings, rng)
        else:
            where = _alone(thing, placed, settings, rng)
        placed.append(Placed(thing, where[0], where[1], turn, height_um))
    return placed


def field_circle(settings: SceneSettings) -> tuple[float, float, float] | None:
    """Return centre x, y and radius in pixels of a round field of view; None for a full one."""
    share = settings.light.round_field
    if share is None:
        return None
    radius = share * max(settings.width_px, settings.height_px) / 2
    return (settings.width_px - 1) / 2, (settings.height_px - 1) / 2, radius


def _height(kind: Kind, defocus_um: float, rng: Generator) -> float:
    wider = 3.0 if kind in LITTER else 1.0
    return float(np.clip(rng.normal(0.0, wider * defocus_um), -120.0, 120.0))


def _turned(thing: Thing, turn: float) -> Floats:
    cos, sin = np.cos(turn), np.sin(turn)
    return np.asarray(thing.outline_um @ np.array([[cos, sin], [-sin, cos]]), dtype=np.float64)


def _alone(
    thing: Thing, placed: list[Placed], settings: SceneSettings, rng: Generator
) -> tuple[float, float]:
    best, best_gap = (0.0, 0.0), -np.inf
    room = _Room(placed, settings.um_per_px)
    for _ in range(_TRIES):
        x_px, y_px = _anywhere(thing.radius_um / settings.um_per_px, settings, rng)
        gap = room.gap_um(thing, x_px, y_px)
        if gap > best_gap:
            best, best_gap = (x_px, y_px), gap
        if gap >= settings.apart_um:
            break
    return best


def _anywhere(radius_px: float, settings: SceneSettings, rng: Generator) -> tuple[float, float]:
    """A random place in the field of view; objects keep inside it if so wanted."""
    inset = _inset(radius_px + 2.0, settings)
    circle = field_circle(settings)
    across, down = settings.width_px - 1.0, settings.height_px - 1.0
    x_px = rng.uniform(min(inset, across / 2), max(across - inset, across / 2))
    y_px = rng.uniform(min(inset, down / 2), max(down - inset, down / 2))
    if circle is not None:
        room = max(circle[2] - inset, 0.0)
        away = np.hypot(x_px - circle[0], y_px - circle[1])
        if away > room:
            share = room * np.sqrt(rng.random()) / away
            x_px = circle[0] + (x_px - circle[0]) * share
            y_px = circle[1] + (y_px - circle[1]) * share
    return float(x_px), float(y_px)


class _Room:
    """The circles around what is already placed; fibres take no room."""

    def __init__(self, placed: list[Placed], um_per_px: float) -> None:
        solid = [entry for entry in placed if entry.thing.kind is not Kind.FIBRE]
        self._circles = np.array([(e.x_px, e.y_px, e.thing.radius_um) for e in solid])
        self._um_per_px = um_per_px

    def gap_um(self, thing: Thing, x_px: float, y_px: float) -> float:
        """Return the gap to the nearest circle in µm, negative where they meet."""
        if thing.kind is Kind.FIBRE or not len(self._circles):
            return float(np.inf)
        x, y, radius_um = self._circles.T
        away_um = np.hypot(x - x_px, y - y_px) * self._um_per_px
        return float(np.min(away_um - radius_um)) - thing.radius_um


def _beside(
    thing: Thing,
    turn: float,
    neighbours: list[Placed],
    settings: SceneSettings,
    rng: Generator,
) -> tuple[float, float]:
    """A place against a neighbour's outline, away from all others and inside the picture."""
    best, best_gap = (0.0, 0.0), -np.inf
    outline = _turned(thing, turn)
    for _ in range(_TRIES // 4):
        other = neighbours[int(rng.integers(len(neighbours)))]
        toward = rng.uniform(0, 2 * np.pi)
        direction = np.array([np.cos(toward), np.sin(toward)])
        apart = _touching_um(_turned(other.thing, other.turn), outline, direction)
        smaller = 2 * min(thing.radius_um, other.thing.radius_um)
        apart = max(apart - settings.overlap * smaller, 0.0)
        x_px, y_px = np.array([other.x_px, other.y_px]) + direction * apart / settings.um_per_px
        others = [entry for entry in neighbours if entry is not other]
        gap = _Room(others, settings.um_per_px).gap_um(thing, x_px, y_px)
        if not _inside(x_px, y_px, thing.radius_um / settings.um_per_px, settings):
            gap -= 1e4
        if gap > best_gap:
            best, best_gap = (float(x_px), float(y_px)), gap
        if gap >= 0:
            break
    return best


def _inset(radius_px: float, settings: SceneSettings) -> float:
    """How far from the border middles lie at least, in pixels; negative: how far outside."""
    return radius_px if settings.keep_inside else -settings.beyond_um / settings.um_per_px


def _inside(x_px: float, y_px: float, radius_px: float, settings: SceneSettings) -> bool:
    inset = _inset(radius_px, settings)
    circle = field_circle(settings)
    if circle is not None and np.hypot(x_px - circle[0], y_px - circle[1]) > circle[2] - inset:
        return False
    return bool(
        inset <= x_px <= settings.width_px - 1 - inset
        and inset <= y_px <= settings.height_px - 1 - inset
    )


def _touching_um(fixed: Floats, moving: Floats, direction: Floats) -> float:
    """How far along ``direction`` (unit) the origin of ``moving`` lies when outlines just touch."""
    fixed, moving = fixed[::8], moving[::8]
    low, high = 0.0, float(np.max(np.hypot(*fixed.T)) + np.max(np.hypot(*moving.T)))
    near = 0.02 * high
    for _ in range(14):
        middle = (low + high) / 2
        if cdist(fixed, moving + direction * middle).min() > near:
            high = middle
        else:
            low = middle
    return high
