"""Eggs for the network that proposes states: unfertilised, with polar bodies, in cleavage.

Everything is drawn from far wider ranges than living eggs show. Amounts are optical densities,
sizes shares of half a body's length.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from counter.imaging.learn import outlines
from counter.imaging.learn.body_looks import Colour, any_colour, brownish
from counter.imaging.learn.canvas import Crop, Floats, Textures, band, crop_around, lay
from counter.imaging.learn.outlines import ANGLES, Radii

Balls = NDArray[np.float64]
"""(n, 3): x, y, radius, in shares of half a length."""

_THETA = np.arange(ANGLES) * 2 * np.pi / ANGLES
MARGIN = 14.0


def yolk_shape(rng: np.random.Generator) -> Radii:
    """Nearly round; stripped eggs that wait for fertilisation may be pears or lumps."""
    kind = rng.random()
    if kind < 0.75:
        return outlines.egg(rng)
    if kind < 0.9:
        return outlines.pear(rng)
    return outlines.scaled(
        outlines.ellipse(rng.uniform(1, 1.25)) * outlines.wobble(rng, rng.uniform(0.01, 0.05), 5)
    )


def cleavage(rng: np.random.Generator) -> Balls:
    """Two to about thirty cells: unequal at first, even in a morula."""
    count = int(rng.choice([2, 3, 4, 5, 6, 8, 12, 16, 32], p=[0.26, 0.1, 0.2, 0.06, 0.06,
                                                             0.14, 0.08, 0.06, 0.04]))  # fmt: skip
    turn = rng.uniform(0, 2 * np.pi)
    if count == 2:
        balls = _pair(rng)
    elif count <= 5:
        reach = rng.uniform(0.40, 0.60)
        at = np.arange(count) * 2 * np.pi / count + rng.normal(0, 0.12, count)
        radius = np.full(count, rng.uniform(0.42, 0.58)) * rng.uniform(0.85, 1.1, count)
        radius[0] *= rng.uniform(1.0, 1.35)
        balls = list(zip(reach * np.cos(at), reach * np.sin(at), radius, strict=True))
    else:
        index = np.arange(count) + 0.5
        away = np.sqrt(index / count) * rng.uniform(0.6, 0.78)
        at = index * 2.39996 + rng.normal(0, 0.15, count)
        radius = rng.uniform(0.95, 1.35) / np.sqrt(count) * rng.uniform(0.8, 1.2, count)
        balls = list(zip(away * np.cos(at), away * np.sin(at), radius, strict=True))
        if rng.random() < 0.6:
            balls.insert(0, (rng.normal(0, 0.15), rng.normal(0, 0.15), rng.uniform(0.35, 0.6)))
    array = np.array(balls, dtype=np.float64)
    array += rng.normal(0, 0.02, array.shape)
    cos, sin = np.cos(turn), np.sin(turn)
    array[:, :2] = array[:, :2] @ np.array([[cos, sin], [-sin, cos]])
    return array


def _pair(rng: np.random.Generator) -> list[tuple[float, float, float]]:
    """Two cells: the more unlike they are, the less one may cover the other.

    Cells of one size that only touch would be two whole eggs.
    """
    small = float(rng.uniform(0.5, 1.0))
    closest, widest = (0.68, 0.9) if small > 0.85 else (0.72, 1.0)
    apart = (1 + small) * float(rng.uniform(closest, widest))
    return [(-apart * small / (1 + small), 0.0, 1.0), (apart / (1 + small), 0.0, small)]


def union(balls: Balls) -> tuple[Radii, Balls]:
    """Return the outline of all balls together, and the balls scaled as the outline was."""
    radius = np.full(ANGLES, 0.2)
    for x, y, ball in balls:
        along = x * np.cos(_THETA) + y * np.sin(_THETA)
        inner = along**2 - (x * x + y * y - ball * ball)
        far = np.where(inner > 0, along + np.sqrt(np.abs(inner)), 0.0)
        radius = np.maximum(radius, far)
    factor = 2 / float((radius + np.roll(radius, ANGLES // 2)).max())
    return np.asarray(radius * factor, np.float32), balls * factor


def yolk(crop: Crop, thick: Floats, half: float, rng: np.random.Generator, tex: Textures) -> Floats:
    """Return the density (h, w) of granular yolk through a thickness of 0 to 1."""
    fill = float(np.exp(rng.uniform(np.log(0.12), np.log(1.6))))
    flat = rng.uniform(0.1, 0.9)
    fine = tex.cut(rng, crop.shape, rng.uniform(0.8, 3.0))
    coarse = tex.cut(rng, crop.shape, rng.uniform(0.05, 0.16) * half)
    rough = 1 + rng.uniform(0.02, 0.45) * fine + rng.uniform(0.0, 0.35) * coarse
    density = fill * (flat + (1 - flat) * thick) * np.clip(rough, 0.1, 3)
    return np.asarray(density, np.float32)


def paint_egg(
    canvas: Floats,
    centre: tuple[float, float],
    radii: Radii,
    half: float,
    rng: np.random.Generator,
    tex: Textures,
    balls: Balls | None = None,
) -> Layers:
    """Paint an egg, or an embryo of ``balls`` (in shares of ``half``); return what was painted."""
    crop = crop_around(len(canvas), centre, radii, MARGIN + 0.6 * half)
    if crop is None:
        raise ValueError("the body lies outside the canvas")
    inside = crop.inside
    if balls is None:
        power = np.float32(rng.uniform(0.4, 1.6))
        thick = np.sqrt(np.clip(1 - crop.reach**2, 0, 1)) ** power
        seams = np.zeros(crop.shape, np.float32)
    else:
        thick, seams = _cells(crop, balls * half, inside, rng)
    layer = yolk(crop, thick, half, rng, tex) * inside
    if balls is None and rng.random() < 0.5:
        layer *= 1 - _nucleus(crop, half, rng)
    layer += seams
    layer += rng.uniform(0, 0.8) * band(crop.distance, -rng.uniform(0.3, 2), rng.uniform(0.6, 2.2))
    if rng.random() < 0.4:
        layer += _envelope(crop, half, rng)
    if rng.random() < (0.15 if balls is None else 0.35):
        layer += _membrane(crop, half, rng)
    return Layers(crop, np.asarray(layer, np.float32), egg_colour(rng))


def egg_colour(rng: np.random.Generator) -> Colour:
    """Brownish yolk, or any colour of a stain."""
    return brownish(rng) if rng.random() < 0.6 else any_colour(rng, 0.3)


class Layers:
    """What was painted of a body and not yet laid on the canvas.

    What ``only_absorbs`` turns no light in a dark field either: it stays dark there.
    """

    def __init__(
        self, crop: Crop, layer: Floats, colour: Colour, only_absorbs: bool = False
    ) -> None:
        self.crop, self.layer, self.colour = crop, layer, colour
        self.only_absorbs = only_absorbs

    def lay_on(self, canvas: Floats, strength: float, opaque: float, blur: float) -> None:
        """Lay it on the canvas."""
        coloured = self.layer[:, :, None] * (self.colour * np.float32(strength))
        hidden = self.crop.inside * np.float32(opaque) if opaque else 0.0
        lay(canvas, self.crop, np.asarray(coloured, np.float32), hidden, blur)


def _cells(
    crop: Crop, balls: Balls, inside: Floats, rng: np.random.Generator
) -> tuple[Floats, Floats]:
    """Return how thick the cells are (0 to 1), and the seams between them."""
    thick = np.zeros(crop.shape, np.float32)
    seams = np.zeros(crop.shape, np.float32)
    largest = float(balls[:, 2].max())
    dark, wide = rng.uniform(-0.15, 0.5), rng.uniform(0.5, 1.8)
    for x, y, radius in balls:
        away = np.hypot(crop.x - np.float32(x), crop.y - np.float32(y))
        dome = np.sqrt(np.clip(1 - (away / np.float32(radius)) ** 2, 0, 1))
        thick = np.maximum(thick, dome * np.float32(radius / largest))
        seams += np.float32(dark) * band(away - np.float32(radius), -0.5, wide)
    return np.asarray(thick, np.float32), np.asarray(seams * inside, np.float32)


def _nucleus(crop: Crop, half: float, rng: np.random.Generator) -> Floats:
    """The pale round of the germinal vesicle, now and then a dark one."""
    x, y = rng.normal(0, 0.16, 2) * half
    wide = rng.uniform(0.22, 0.55) * half
    away = np.hypot(crop.x - x, crop.y - y) / np.float32(wide)
    pale = 1 / (1 + np.exp(np.clip((away - 1) * rng.uniform(4, 14), -30, 30)))
    return np.asarray(pale * rng.uniform(0.1, 0.7) * rng.choice([1, 1, 1, -0.7]), np.float32)


def _envelope(crop: Crop, half: float, rng: np.random.Generator) -> Floats:
    """A thin clear coat around the egg: fertilised or not, it tells nothing."""
    gap = rng.uniform(0.02, 0.2) * half
    line = rng.uniform(0.03, 0.3) * band(crop.distance, gap, rng.uniform(0.5, 1.5))
    return np.asarray(line, np.float32)


def _membrane(crop: Crop, half: float, rng: np.random.Generator) -> Floats:
    """A round membrane that stands away from the egg or its cells: it is not measured."""
    away = np.hypot(crop.x, crop.y) - np.float32(half * rng.uniform(1.02, 1.45))
    line = rng.uniform(0.03, 0.35) * band(np.asarray(away, np.float32), 0, rng.uniform(0.5, 1.4))
    return np.asarray(line * (1 - crop.inside), np.float32)


def paint_polar_bodies(layers: Layers, radii: Radii, half: float, rng: np.random.Generator) -> None:
    """Add one or two tiny clear balls that sit on the surface side by side."""
    crop = layers.crop
    at = rng.uniform(0, 2 * np.pi)
    count = 1 if rng.random() < 0.6 else 2
    fill, rim = rng.uniform(0.0, 0.7), rng.uniform(0.12, 1.0)
    size = rng.uniform(0.10, 0.22) * half
    outside = 1 - crop.inside
    for index in range(count):
        radius = size * rng.uniform(0.8, 1.1)
        where = at + index * 2.0 * radius / half
        edge = float(radii[int(where / (2 * np.pi) * ANGLES) % ANGLES])
        out = edge + rng.uniform(0.25, 0.95) * radius
        away = np.hypot(crop.x - out * np.cos(where), crop.y - out * np.sin(where)) - radius
        away = np.asarray(away, np.float32)
        ball = fill * np.clip(0.5 - away, 0, 1) + rim * band(away, -0.6, rng.uniform(0.6, 1.2))
        layers.layer += np.asarray(ball * outside, np.float32)


def paint_specks(layers: Layers, half: float, rng: np.random.Generator) -> None:
    """Specks of dirt near the surface, which are no polar bodies: ragged, long or far too small."""
    crop = layers.crop
    for _ in range(int(rng.integers(1, 4))):
        at, out = rng.uniform(0, 2 * np.pi), half * rng.uniform(0.95, 1.35)
        long, thin = rng.uniform(0.03, 0.2) * half, rng.uniform(0.25, 0.5)
        turn = rng.uniform(0, np.pi)
        x, y = crop.x - out * np.cos(at), crop.y - out * np.sin(at)
        along = (x * np.cos(turn) + y * np.sin(turn)) / long
        beside = (y * np.cos(turn) - x * np.sin(turn)) / (long * thin)
        speck = np.clip((1 - np.hypot(along, beside)) * 2.5, 0, 1) * rng.uniform(0.2, 1.3)
        layers.layer += np.asarray(speck * (1 - crop.inside), np.float32)
