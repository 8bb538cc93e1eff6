"""More that does not count: foam, pellets, lumps, crystals, shell pieces, diatoms, pollen."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from counter.imaging.learn import outlines
from counter.imaging.learn.body_looks import any_colour, brownish
from counter.imaging.learn.canvas import Floats, Textures, band, crop_around, lay
from counter.imaging.learn.creatures import stroke
from counter.imaging.learn.outlines import ANGLES

Place = tuple[float, float]
_THETA = np.arange(ANGLES) * 2 * np.pi / ANGLES


def air(canvas: Floats, at: Place, size: float, rng: np.random.Generator, tex: Textures) -> None:
    """An air bubble: a ring that is blackest at its sharp outer edge, a bright middle, a glint."""
    del tex
    size = max(size, 2.5)
    crop = crop_around(len(canvas), at, np.full(ANGLES, size, np.float32), 5)
    if crop is None:
        return
    clear = rng.uniform(0.25, 0.85)
    slope = np.clip((crop.reach - clear) / (1 - clear), 0, 1) ** np.float32(rng.uniform(0.4, 1.5))
    layer = rng.uniform(1.0, 3.5) * slope * crop.inside
    layer = layer - rng.uniform(0, 0.5) * np.clip(1 - crop.reach / clear, 0, 1) * crop.inside
    layer = layer - rng.uniform(0, 0.5) * band(crop.distance, 1.5, rng.uniform(0.8, 2.5))
    if rng.random() < 0.35:
        layer = layer + rng.uniform(0.1, 0.8) * band(crop.reach, clear * rng.uniform(0.3, 0.9), 0.4)
    for _ in range(int(rng.integers(0, 3))):
        turn, out = rng.uniform(0, 2 * np.pi), rng.uniform(0, 0.75) * size
        away = np.hypot(crop.x - out * np.cos(turn), crop.y - out * np.sin(turn))
        spot = np.exp(-0.5 * np.square(away / max(0.8, size * rng.uniform(0.04, 0.2))))
        layer = layer - rng.uniform(0.3, 1.8) * spot * crop.inside
    opaque = crop.inside * np.float32(rng.uniform(0.2, 1))
    colour = any_colour(rng, 0.05)
    blur = abs(rng.normal(0, 0.06)) * size if rng.random() < 0.25 else 0.0
    layer = (layer[:, :, None] * colour).astype(np.float32)
    lay(canvas, crop, layer, opaque, blur, float(rng.uniform(0, 1)))


def foam(canvas: Floats, at: Place, size: float, rng: np.random.Generator, tex: Textures) -> None:
    """Bubbles of several sizes that touch."""
    held = [(at[0], at[1], size)]
    air(canvas, at, size, rng, tex)
    for _ in range(int(rng.integers(1, 7))):
        x, y, radius = held[int(rng.integers(len(held)))]
        new = max(2.5, radius * float(np.exp(rng.normal(-0.3, 0.5))))
        turn = rng.uniform(0, 2 * np.pi)
        far = radius + new + rng.uniform(-0.1, 0.05) * min(radius, new)
        there = (x + far * np.cos(turn), y + far * np.sin(turn))
        if all(np.hypot(there[0] - a, there[1] - b) > 0.85 * (c + new) for a, b, c in held):
            held.append((*there, new))
            air(canvas, there, new, rng, tex)


def pellet(canvas: Floats, at: Place, size: float, rng: np.random.Generator, tex: Textures) -> None:
    """Droppings: a granular rod without a rim, its ends round or broken."""
    base = outlines.ellipse(rng.uniform(1.8, 5), rng.uniform(2, 6))
    rough = outlines.wobble(rng, rng.uniform(0.02, 0.1), int(rng.integers(6, 40)))
    radii = outlines.scaled(base * rough) * np.float32(size)
    crop = crop_around(len(canvas), at, outlines.turned(radii, rng.uniform(0, 6.3)), 4)
    if crop is None:
        return
    grains = tex.cut(rng, crop.shape, rng.uniform(0.8, 5))
    layer = crop.inside * np.clip(1 + rng.uniform(0.2, 0.8) * grains, 0, 3) * rng.uniform(0.1, 1.2)
    colour = brownish(rng) if rng.random() < 0.7 else any_colour(rng, 0.15)
    lay(canvas, crop, (layer[:, :, None] * colour).astype(np.float32), 0)


def lump(canvas: Floats, at: Place, size: float, rng: np.random.Generator, tex: Textures) -> None:
    """Grains packed to a compact heap about as large as a body, its edge knobbly."""
    colour = brownish(rng) if rng.random() < 0.6 else any_colour(rng, 0.15)
    squash, turn = rng.uniform(0.5, 1), rng.uniform(0, np.pi)
    amount = rng.uniform(0.1, 0.9)
    blur = abs(rng.normal(0, 0.06)) * size if rng.random() < 0.3 else 0.0
    for _ in range(int(rng.integers(6, 28))):
        along, beside = rng.normal(0, 0.36, 2) * size * np.array([1, squash])
        x = at[0] + along * np.cos(turn) - beside * np.sin(turn)
        y = at[1] + along * np.sin(turn) + beside * np.cos(turn)
        part = max(1.0, size * rng.uniform(0.1, 0.42))
        shape = outlines.ragged(rng) if rng.random() < 0.5 else outlines.any_body(rng)
        crop = crop_around(
            len(canvas), (float(x), float(y)), shape * np.float32(part), 3 + 3 * blur
        )
        if crop is None:
            continue
        rough = 1 + rng.uniform(0, 0.7) * tex.cut(rng, crop.shape, rng.uniform(0.8, 3))
        layer = amount * rng.uniform(0.3, 1) * crop.inside * np.clip(rough, 0, 3)
        layer = layer + rng.uniform(-0.1, 0.4) * band(crop.distance, -0.5, 0.8)
        lay(canvas, crop, (layer[:, :, None] * colour).astype(np.float32), 0, blur)


def crystal(
    canvas: Floats, at: Place, size: float, rng: np.random.Generator, tex: Textures
) -> None:
    """A grain of salt or sand: straight edges, facets, clear with dark rims, or dark."""
    del tex
    corners = int(rng.integers(3, 8))
    where = (np.arange(corners) + rng.uniform(-0.3, 0.3, corners)) * 2 * np.pi / corners
    edge = np.full(ANGLES, np.inf)
    for turn in where:
        rise = np.cos(_THETA - turn)
        side = rng.uniform(0.7, 1.1) / np.maximum(rise, 1e-3)
        edge = np.minimum(edge, np.where(rise > 1e-3, side, np.inf))
    radii = outlines.scaled(np.minimum(edge, 2.5) * outlines.ellipse(rng.uniform(1, 2.2)) ** 0.8)
    radii = outlines.turned(radii * np.float32(size), rng.uniform(0, 6.3))
    crop = crop_around(len(canvas), at, radii, 5)
    if crop is None:
        return
    layer = rng.uniform(-0.3, 0.5) * crop.inside
    layer = layer + rng.uniform(0.2, 1.8) * band(crop.distance, -1, rng.uniform(0.6, 2.5))
    layer = layer - rng.uniform(0, 0.5) * band(crop.distance, 1.5, 1)
    if rng.random() < 0.5:  # clear, with bevelled sides that are grey all over
        margin = rng.uniform(0.12, 0.45) * size
        bevel = np.clip((crop.distance + np.float32(margin)) * 0.7, 0, 1) * crop.inside
        layer = rng.uniform(0.0, 0.35) * layer + rng.uniform(0.08, 0.7) * bevel
    for _ in range(int(rng.integers(1, 5))):
        turn, off = rng.uniform(0, 2 * np.pi), rng.uniform(-0.4, 0.4) * size
        plane = crop.x * np.float32(np.cos(turn)) + crop.y * np.float32(np.sin(turn))
        facet = np.clip(plane - np.float32(off), 0, 1) * crop.inside
        layer = layer + rng.uniform(-0.3, 0.4) * facet
        layer = layer + rng.uniform(0, 0.6) * band(plane, off, 0.8) * crop.inside
    lay(canvas, crop, (layer[:, :, None] * any_colour(rng, 0.08)).astype(np.float32), 0)


def shell_piece(
    canvas: Floats, at: Place, size: float, rng: np.random.Generator, tex: Textures
) -> None:
    """A broken piece of a shell: a bow of its edge, a clear plate that ends in a jagged line."""
    shape = outlines.umbo(rng) if rng.random() < 0.6 else outlines.straight_hinge(rng)
    radii = outlines.turned(shape * np.float32(size), rng.uniform(0, 6.3))
    crop = crop_around(len(canvas), at, radii, 5)
    if crop is None:
        return
    turn, wide = rng.uniform(0, 2 * np.pi), rng.uniform(0.4, 1.4)
    off = np.abs((crop.theta - np.float32(turn) + np.pi) % (2 * np.pi) - np.pi)
    rough = tex.cut(rng, crop.shape, max(1.0, 0.1 * size))
    kept = np.clip((wide - off) * 0.2 * size + rough, 0, 1)
    kept = kept * np.clip((crop.reach - rng.uniform(0.3, 0.8)) * 0.4 * size + rough, 0, 1)
    width = rng.uniform(0.6, 2.0)
    layer = rng.uniform(0.2, 1.4) * band(crop.distance, -0.8 * width, width)
    layer = (layer + rng.uniform(0.0, 0.2) * crop.inside) * kept
    layer = layer + rng.uniform(0, 0.8) * 4 * kept * (1 - kept) * crop.inside
    lay(canvas, crop, (layer[:, :, None] * any_colour(rng, 0.08)).astype(np.float32), 0)


def diatom(canvas: Floats, at: Place, size: float, rng: np.random.Generator, tex: Textures) -> None:
    """A glassy boat or needle with cross lines, or a chain of boxes."""
    del tex
    turn = rng.uniform(0, 2 * np.pi)
    if rng.random() < 0.35:
        _chain(canvas, at, size, turn, rng)
        return
    base = outlines.ellipse(rng.uniform(2.5, 9), rng.uniform(1.2, 2.2))
    radii = outlines.turned(outlines.scaled(base) * np.float32(size), turn)
    crop = crop_around(len(canvas), at, radii, 4)
    if crop is None:
        return
    along = crop.x * np.float32(np.cos(turn)) + crop.y * np.float32(np.sin(turn))
    beside = crop.y * np.float32(np.cos(turn)) - crop.x * np.float32(np.sin(turn))
    rows = np.cos(along * np.float32(2 * np.pi / rng.uniform(2.5, 7)))
    layer = rng.uniform(0, 0.25) * rows * crop.inside + rng.uniform(0, 0.3) * crop.inside
    layer = layer + rng.uniform(0.2, 1.2) * band(crop.distance, -0.8, rng.uniform(0.6, 1.4))
    layer = layer + rng.uniform(0, 0.5) * band(beside, 0, 0.8) * crop.inside
    gold = np.exp(-np.square((np.abs(along) - 0.35 * size) / (0.2 * size))) * crop.inside
    whole = layer[:, :, None] * any_colour(rng, 0.06)
    whole = whole + (rng.uniform(0, 0.7) * gold)[:, :, None] * brownish(rng)
    lay(canvas, crop, whole.astype(np.float32), 0)


def _chain(canvas: Floats, at: Place, size: float, turn: float, rng: np.random.Generator) -> None:
    """Boxes in a row, each with a dark wall and a coloured middle."""
    cell = max(2.0, size * rng.uniform(0.12, 0.35))
    shape = outlines.scaled(outlines.ellipse(rng.uniform(0.7, 2.2), 6.0))
    radii = outlines.turned(shape * np.float32(cell), turn)
    green = np.array([1.2, 0.6, 1.3], np.float32) * np.float32(rng.uniform(0.1, 1))
    wall, fill = rng.uniform(0.1, 0.9), rng.uniform(0, 1)
    step = 2 * cell * rng.uniform(0.85, 1.05)
    bend = rng.normal(0, 0.04)
    x, y = at
    for index in range(int(rng.integers(3, 12))):
        crop = crop_around(len(canvas), (x, y), radii, 3)
        if crop is not None:
            middle = fill * np.clip(1.2 - 1.5 * crop.reach, 0, 1)
            layer = wall * band(crop.distance, -0.5, 0.7)[:, :, None] + middle[:, :, None] * green
            lay(canvas, crop, layer.astype(np.float32), 0)
        way = turn + bend * index
        x, y = float(x + step * np.cos(way)), float(y + step * np.sin(way))


def pollen(canvas: Floats, at: Place, size: float, rng: np.random.Generator, tex: Textures) -> None:
    """A spiny or knobbly ball with a thick dark wall, or a pine's with two air sacs."""
    spikes = int(rng.integers(9, 26))
    wave = np.abs(np.cos(_THETA * spikes / 2)) ** rng.uniform(2, 10)
    base = outlines.ellipse(rng.uniform(1, 1.3)) * (1 + rng.uniform(0.12, 0.3) * wave)
    radii = outlines.scaled(base) * np.float32(max(4.0, size))
    crop = crop_around(len(canvas), at, radii, 4)
    if crop is None:
        return
    rough = tex.cut(rng, crop.shape, rng.uniform(0.8, 3))
    layer = rng.uniform(0.1, 1.2) * crop.inside * np.clip(1 + 0.4 * rough, 0, 2)
    layer = layer + rng.uniform(0.2, 1.2) * band(crop.reach, 0.75, 0.08) * crop.inside
    yellow = np.array([0.5, 0.8, 1.5], np.float32)
    colour = yellow if rng.random() < 0.5 else brownish(rng)
    lay(canvas, crop, (layer[:, :, None] * colour).astype(np.float32), 0)


def threads(
    canvas: Floats, at: Place, size: float, rng: np.random.Generator, tex: Textures
) -> None:
    """A few hairs or filaments from one place, straight or curled."""
    del tex
    for _ in range(int(rng.integers(1, 6))):
        bend = np.cumsum(rng.normal(0, rng.uniform(0.02, 0.3), 30)) + rng.uniform(0, 6.3)
        way: NDArray[np.float64] = np.column_stack([np.cos(bend), np.sin(bend)])
        line = np.array(at) + np.cumsum(way, 0) * size * rng.uniform(1, 5) / 30
        stroke(canvas, line, rng.uniform(1, 5), rng.uniform(-0.2, 0.9), rng.uniform(0.4, 1.5))
