"""Draws a scene: each object in its own box, then the camera over all."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.random import Generator, SeedSequence, default_rng

from counter.imaging.draw.camera import exposed
from counter.imaging.draw.grid import Grain, Grid
from counter.imaging.draw.ground import empty_field, rule, seen
from counter.imaging.draw.optics import margin_um, passed
from counter.imaging.draw.place import Placed, field_circle, place
from counter.imaging.draw.settings import Contrast, SceneSettings
from counter.imaging.draw.shape import Floats, Layer
from counter.imaging.draw.things import Thing, make
from counter.imaging.draw.truth import Scene, TruthObject, truth_of

_FINEST_UM = 1.4
_MOST_SAMPLES = 4


def draw_scene(settings: SceneSettings, seed: int) -> Scene:
    """Draw one picture.

    The same settings and seed give the same picture. Objects, light and camera draw from random
    streams of their own, so that with one seed the truth stays the same whatever the light, the
    noise or the rulings are. An empty population gives an empty slide and an empty truth.
    """
    objects, places, inks, lamp, sensor = (
        default_rng(child) for child in SeedSequence(seed).spawn(5)
    )
    placed = place(_things(settings, objects), settings, places)
    field = empty_field(settings, lamp)
    rule(field, settings, lamp)
    grain = Grain(inks)
    for entry, ink in zip(placed, inks.spawn(len(placed)), strict=True):
        _lay(field, entry, settings, ink, grain)
    hidden = seen(settings)
    share = 1.0
    if hidden is not None:
        field *= hidden[:, :, None]
        share = float(np.mean(hidden))
    area_px = settings.width_px * settings.height_px
    return Scene(
        pixels=exposed(field, settings.camera, sensor),
        um_per_px=settings.um_per_px,
        truth=tuple(_truth(entry, settings) for entry in placed if _is_seen(entry, settings)),
        visible_mm2=share * area_px * settings.um_per_px**2 * 1e-6,
    )


def _things(settings: SceneSettings, rng: Generator) -> list[Thing]:
    """Make the population, each object from a random stream of its own."""
    things = []
    for group in settings.population:
        for _ in range(group.count):
            (own,) = rng.spawn(1)
            things.append(make(group.kind, float(own.uniform(*group.lengths_um)), own))
    return things


def _truth(entry: Placed, settings: SceneSettings) -> TruthObject:
    outline_px = entry.outline_px(settings.um_per_px)
    return truth_of(
        entry.thing.kind,
        outline_px,
        settings.um_per_px,
        float(np.degrees(entry.turn)),
        entry.height_um,
        _is_cut(outline_px, settings),
    )


def _is_seen(entry: Placed, settings: SceneSettings) -> bool:
    """Whether the outline reaches into the picture, and into a round field of view."""
    x, y = entry.outline_px(settings.um_per_px).T
    inside = (
        (x > -0.5) & (y > -0.5) & (x < settings.width_px - 0.5) & (y < settings.height_px - 0.5)
    )
    circle = field_circle(settings)
    if circle is not None:
        inside &= np.hypot(x - circle[0], y - circle[1]) < circle[2]
    middle_inside = 0 <= entry.x_px < settings.width_px and 0 <= entry.y_px < settings.height_px
    return bool(inside.any()) or (middle_inside and circle is None)


def _is_cut(outline_px: Floats, settings: SceneSettings) -> bool:
    """Whether the picture's border or the edge of a round field crosses the outline."""
    x, y = outline_px.T
    if min(x.min(), y.min()) < -0.5:
        return True
    if x.max() > settings.width_px - 0.5 or y.max() > settings.height_px - 0.5:
        return True
    circle = field_circle(settings)
    if circle is None:
        return False
    return bool(np.max(np.hypot(x - circle[0], y - circle[1])) > circle[2])


@dataclass(frozen=True)
class _Box:
    """Whole pixels around an object: first column and row, one past the last."""

    left: int
    top: int
    right: int
    bottom: int

    def within(self, width_px: int, height_px: int) -> tuple[slice, slice, slice, slice] | None:
        """Rows and columns of the picture and of the box that meet; None if none do."""
        left, right = max(self.left, 0), min(self.right, width_px)
        top, bottom = max(self.top, 0), min(self.bottom, height_px)
        if left >= right or top >= bottom:
            return None
        return (
            slice(top, bottom),
            slice(left, right),
            slice(top - self.top, bottom - self.top),
            slice(left - self.left, right - self.left),
        )


def _lay(
    field: Layer, entry: Placed, settings: SceneSettings, ink: Generator, grain: Grain
) -> None:
    """Paint one object into ``field`` (H, W, 3) in place."""
    contrast = settings.light.contrast
    box = _box(entry, settings)
    meeting = box.within(settings.width_px, settings.height_px)
    if meeting is None:
        return
    samples = int(np.clip(np.ceil(settings.um_per_px / _FINEST_UM), 1, _MOST_SAMPLES))
    grid = _grid(entry, box, settings.um_per_px, samples, ink, grain)
    light = passed(entry.thing.paint(grid), grid.step_um, entry.height_um, contrast)
    light = _averaged(light, samples)
    rows, columns, own_rows, own_columns = meeting
    if contrast is Contrast.DARK_FIELD:
        field[rows, columns] += light[own_rows, own_columns]
    else:
        field[rows, columns] *= light[own_rows, own_columns]


def _box(entry: Placed, settings: SceneSettings) -> _Box:
    outline = entry.outline_px(settings.um_per_px)
    margin = margin_um(entry.height_um, settings.light.contrast) + 0.16 * entry.thing.radius_um
    low = np.floor(outline.min(axis=0) - margin / settings.um_per_px).astype(int)
    high = np.ceil(outline.max(axis=0) + margin / settings.um_per_px).astype(int) + 1
    return _Box(int(low[0]), int(low[1]), int(high[0]), int(high[1]))


def _grid(
    entry: Placed, box: _Box, um_per_px: float, samples: int, ink: Generator, grain: Grain
) -> Grid:
    offset = (np.arange(samples) + 0.5) / samples - 0.5
    x_px = (np.arange(box.left, box.right)[:, None] + offset).ravel() - entry.x_px
    y_px = (np.arange(box.top, box.bottom)[:, None] + offset).ravel() - entry.y_px
    cos, sin = np.cos(entry.turn), np.sin(entry.turn)
    x = (x_px[None, :] * cos + y_px[:, None] * sin) * um_per_px
    y = (y_px[:, None] * cos - x_px[None, :] * sin) * um_per_px
    return Grid(x.astype(np.float32), y.astype(np.float32), um_per_px / samples, ink, grain)


def _averaged(light: Layer, samples: int) -> Layer:
    """Mean over blocks of ``samples`` × ``samples``: (h·n, w·n, 3) to (h, w, 3)."""
    if samples == 1:
        return light
    rows, columns = light.shape[0] // samples, light.shape[1] // samples
    blocks = light.reshape(rows, samples, columns, samples, 3)
    return np.asarray(blocks.mean(axis=(1, 3)), dtype=np.float32)
