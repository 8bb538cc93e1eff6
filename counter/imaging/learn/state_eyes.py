"""Eye spots for the network that proposes states, and what is taken for one.

An eye spot is one round, nearly black spot with a crisp edge in the body's inner part, one of a
pair whose other half is at times seen through the body. Gut granules come in clusters and are
browner, oil drops are clear within, specks and dirt are ragged, long or too small. Sizes are shares
of half a body's length, amounts optical densities; all of it drawn wider than it is seen.
"""

from __future__ import annotations

import numpy as np

from counter.imaging.learn.body_looks import any_colour, brownish
from counter.imaging.learn.canvas import Crop, Floats, Textures, band
from counter.imaging.learn.state_eggs import Layers


def eyes(crop: Crop, half: float, rng: np.random.Generator) -> list[Layers]:
    """The spot, and at times its fellow on the other side, softer and fainter.

    Pigment only takes light away, or scatters as well and is then bright in a dark field.
    """
    at, out = rng.uniform(0, 2 * np.pi), min(abs(rng.normal(0, 0.26)), 0.6) * half
    x, y = out * np.cos(at), out * np.sin(at)
    radius = float(np.exp(rng.uniform(np.log(0.026), np.log(0.085)))) * half
    dark, soft = rng.uniform(0.9, 3.2), rng.uniform(0.25, 0.8)
    layer = dark * _round(crop, x, y, radius, soft)
    if rng.random() < 0.5:
        wide = radius + rng.uniform(0.0, 0.05) * half
        layer = layer + rng.uniform(0, 0.5) * _round(crop, x, y, wide, 0.03 * half + 0.3)
    if rng.random() < 0.25:
        turn, apart = rng.uniform(0, 2 * np.pi), rng.uniform(0.03, 0.35) * half
        x, y = x + apart * np.cos(turn), y + apart * np.sin(turn)
        fainter, softer = rng.uniform(0.2, 1.0), soft + rng.uniform(0, 0.03) * half
        layer = np.maximum(layer, dark * fainter * _round(crop, x, y, radius, softer))
    layer = np.asarray(layer * crop.inside, np.float32)
    return [Layers(crop, layer, any_colour(rng, 0.05), only_absorbs=rng.random() < 0.55)]


def lookalikes(crop: Crop, half: float, rng: np.random.Generator, tex: Textures) -> list[Layers]:
    """Some of what is taken for an eye spot, by chance; often none."""
    made = []
    if rng.random() < 0.3:
        made.append(_granules(crop, half, rng))
    if rng.random() < 0.25:
        made.append(_drops(crop, half, rng))
    if rng.random() < 0.25:
        made.append(_specks(crop, half, rng))
    if rng.random() < 0.12:
        made.append(_dirt(crop, half, rng, tex))
    return made


def _round(crop: Crop, x: float, y: float, radius: float, soft: float) -> Floats:
    away = np.hypot(crop.x - np.float32(x), crop.y - np.float32(y)) - np.float32(radius)
    return np.asarray(1 / (1 + np.exp(np.clip(away / np.float32(soft), -30, 30))), np.float32)


def _oval(crop: Crop, middle: tuple[float, float], long: float, thin: float, turn: float) -> Floats:
    """Return about the signed distance, in pixels, to an oval's edge."""
    x, y = crop.x - np.float32(middle[0]), crop.y - np.float32(middle[1])
    along = (x * np.cos(turn) + y * np.sin(turn)) / long
    beside = (y * np.cos(turn) - x * np.sin(turn)) / (long * thin)
    return np.asarray((np.hypot(along, beside) - 1) * (long * thin), np.float32)


def _granules(crop: Crop, half: float, rng: np.random.Generator) -> Layers:
    """Dark food in the gut: a cluster of unequal brown grains, paler than an eye spot."""
    layer = np.zeros(crop.shape, np.float32)
    x, y = rng.normal(0, 0.2, 2) * half
    spread = rng.uniform(0.05, 0.22) * half
    for _ in range(int(rng.integers(3, 15))):
        middle = (x + rng.normal(0, spread), y + rng.normal(0, spread))
        long = rng.uniform(0.015, 0.09) * half
        off = _oval(crop, middle, long, rng.uniform(0.45, 1.0), rng.uniform(0, np.pi))
        soft = rng.uniform(0.4, 1.0) + rng.uniform(0, 0.02) * half
        edge = 1 / (1 + np.exp(np.clip(off / np.float32(soft), -30, 30)))
        layer = np.maximum(layer, rng.uniform(0.15, 1.1) * edge)
    return Layers(crop, np.asarray(layer * crop.inside, np.float32), brownish(rng))


def _drops(crop: Crop, half: float, rng: np.random.Generator) -> Layers:
    """Oil drops: clear, with a dark edge."""
    layer = np.zeros(crop.shape, np.float32)
    for _ in range(int(rng.integers(1, 7))):
        x, y = rng.normal(0, 0.26, 2) * half
        radius = rng.uniform(0.02, 0.1) * half
        away = np.asarray(np.hypot(crop.x - x, crop.y - y) - radius, np.float32)
        layer += rng.uniform(0.1, 0.7) * band(away, 0, rng.uniform(0.5, 1.0)) * crop.inside
        layer -= rng.uniform(0, 0.25) * np.clip(-0.3 - away, 0, 1) * crop.inside
    return Layers(crop, layer, any_colour(rng, 0.08))


def _specks(crop: Crop, half: float, rng: np.random.Generator) -> Layers:
    """Bacteria and fine dirt on the shell: tiny, many, also outside the body."""
    layer = np.zeros(crop.shape, np.float32)
    for _ in range(int(rng.integers(2, 25))):
        at, out = rng.uniform(0, 2 * np.pi), rng.uniform(0, 1.2) ** 0.5 * half
        long = rng.uniform(0.006, 0.02) * half
        middle = (out * np.cos(at), out * np.sin(at))
        off = _oval(crop, middle, long, rng.uniform(0.3, 1.0), rng.uniform(0, np.pi))
        layer = np.maximum(layer, rng.uniform(0.2, 1.6) * np.clip(0.5 - off, 0, 1))
    return Layers(crop, np.asarray(layer, np.float32), any_colour(rng, 0.1))


def _dirt(crop: Crop, half: float, rng: np.random.Generator, tex: Textures) -> Layers:
    """A crumb or a splinter on the shell: ragged or long, anywhere, also across the rim."""
    at, out = rng.uniform(0, 2 * np.pi), rng.uniform(0.1, 1.0) * half
    middle = (out * np.cos(at), out * np.sin(at))
    is_splinter = rng.random() < 0.4
    long = rng.uniform(0.06, 0.3) * half
    thin = rng.uniform(0.08, 0.3) if is_splinter else rng.uniform(0.45, 0.9)
    off = _oval(crop, middle, long, thin, rng.uniform(0, np.pi))
    ragged = tex.cut(rng, crop.shape, max(0.8, 0.3 * long)) * np.float32(0.35 * long * thin)
    layer = rng.uniform(0.3, 2.0) * np.clip(0.5 - (off + ragged), 0, 1)
    return Layers(crop, np.asarray(layer, np.float32), any_colour(rng, 0.1))
