"""Larvae for the network that proposes states: with tissue and gut, or empty shells.

Amounts are optical densities, sizes shares of half a body's length. A live larva always shows
tissue; an empty shell, closed or gaping, may hold specks of dirt and a trace of what was there.
"""

from __future__ import annotations

import numpy as np

from counter.imaging.learn import open_shells, outlines
from counter.imaging.learn.body_looks import any_colour, brownish
from counter.imaging.learn.canvas import Crop, Floats, Textures, band, crop_around
from counter.imaging.learn.outlines import ANGLES, Radii
from counter.imaging.learn.state_eggs import MARGIN, Layers
from counter.imaging.learn.state_eyes import eyes, lookalikes
from counter.imaging.learn.velum import velum

_THETA = np.arange(ANGLES) * 2 * np.pi / ANGLES


def live_shape(rng: np.random.Generator) -> tuple[Radii, bool]:
    """Return an outline and whether it has a shell: a trochophore has none yet."""
    kind = rng.random()
    if kind < 0.36:
        return outlines.straight_hinge(rng), True
    if kind < 0.72:
        return outlines.umbo(rng), True
    if kind < 0.9:
        return (outlines.lens(rng) if kind < 0.8 else outlines.biconvex(rng)), True
    return outlines.pear(rng), False


def late_shape(rng: np.random.Generator) -> Radii:
    """Return the outline of a larva old enough for an eye spot, flat or on its edge."""
    kind = rng.random()
    if kind < 0.8:
        return outlines.umbo(rng)
    return outlines.straight_hinge(rng) if kind < 0.92 else outlines.lens(rng)


def valve_shape(rng: np.random.Generator) -> Radii:
    """An empty shell's valve, flat or on its edge."""
    kind = rng.random()
    if kind < 0.5:
        return outlines.straight_hinge(rng)
    return outlines.umbo(rng) if kind < 0.92 else outlines.lens(rng)


def gaping(rng: np.random.Generator, valve: Radii) -> tuple[Radii, tuple[Radii, Radii]]:
    """Return the outline of two valves ajar at the hinge, and each valve, about one middle."""
    opened = np.radians(rng.uniform(6, 55))
    points = outlines.polygon(valve, ANGLES)
    hinge = np.array([0.0, -rng.uniform(0.4, 0.8)])
    parts = []
    for turn in (-opened / 2, opened / 2):
        matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
        parts.append(_star((points - hinge) @ matrix.T + hinge))
    whole = np.maximum(*parts)
    factor = np.float32(2 / float((whole + np.roll(whole, ANGLES // 2)).max()))
    return whole * factor, (parts[0] * factor, parts[1] * factor)


def _star(points: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> Radii:
    """Return the radii, seen from (0, 0), of an outline (n, 2) that surrounds it."""
    at = np.arctan2(points[:, 1], points[:, 0]) % (2 * np.pi)
    order = np.argsort(at)
    away = np.hypot(points[:, 0], points[:, 1])
    return np.interp(_THETA, at[order], away[order], period=2 * np.pi).astype(np.float32)


class ShellLook:
    """How the shells of one body look."""

    def __init__(self, rng: np.random.Generator, half: float) -> None:
        u = rng.uniform
        self.rim = float(np.exp(u(np.log(0.15), np.log(1.5))))
        self.width = u(0.5, 1.8) + u(0.008, 0.05) * half
        self.inner = u(0, 0.35) * self.rim if rng.random() < 0.6 else 0.0
        self.second = u(0, 0.4) * self.rim if rng.random() < 0.5 else 0.0
        self.fill, self.slope = u(0, 0.10), u(0, 0.28)
        self.lines = u(0.0, 0.12) if rng.random() < 0.5 else 0.0
        self.period = u(0.06, 0.16) * half
        self.fringe = u(0.05, 0.4) if rng.random() < 0.2 else 0.0
        self.halo = u(-0.2, 0.1) if rng.random() < 0.5 else 0.0
        self.halo_px = u(1.5, 7)


def shell(crop: Crop, look: ShellLook) -> Floats:
    """Return the density (h, w) of one valve: what light sees of it with nothing inside."""
    inside, width = crop.inside, look.width
    dome = np.sqrt(np.clip(1 - crop.reach**2, 0, 1))
    layer = look.rim * band(crop.distance, -0.8 * width, 0.7 * width)
    layer = layer - np.float32(look.inner) * band(crop.distance, -2.8 * width, 0.9 * width) * inside
    layer = layer + np.float32(look.second) * band(crop.distance, -1.9 * width, 0.4 * width)
    layer = layer + inside * (np.float32(look.fill) + np.float32(look.slope) * (1 - dome) ** 2)
    if look.lines:
        rings = np.cos(crop.distance * np.float32(2 * np.pi / look.period))
        layer = layer + np.float32(look.lines) * rings * inside * np.clip(crop.reach - 0.3, 0, 1)
    if look.fringe:
        decay = np.exp(-np.abs(crop.distance) / np.float32(4))
        layer = layer + np.float32(look.fringe) * np.cos(crop.distance * np.float32(1.2)) * decay
    if look.halo:
        out = np.exp(-np.clip(crop.distance, 0, None) / np.float32(look.halo_px))
        layer = layer + np.float32(look.halo) * out * (1 - inside)
    return np.asarray(layer, np.float32)


def paint_empty(
    canvas: Floats, centre: tuple[float, float], half: float, rng: np.random.Generator,
    tex: Textures,
) -> tuple[list[Layers], Radii]:  # fmt: skip
    """Paint an empty shell, closed or gaping; return its valves and its outline in pixels."""
    turn, look = rng.uniform(0, 2 * np.pi), ShellLook(rng, half)
    valve = valve_shape(rng)
    kind = rng.random()
    if kind < 0.3:
        whole, parts = valve, [valve]
    elif kind < 0.55:
        whole, *parts = open_shells.open_book(rng)
    else:
        whole, both = gaping(rng, valve)
        parts = list(both)
    tint = any_colour(rng, 0.08)
    made = []
    for part in parts:
        crop = _crop(canvas, centre, outlines.turned(part * np.float32(half), turn), half)
        made.append(Layers(crop, shell(crop, look), tint))
    radii = outlines.turned(whole * np.float32(half), turn)
    if rng.random() < 0.6:
        made.append(_remains(_crop(canvas, centre, radii, half), half, rng, tex))
    return made, radii


def _crop(canvas: Floats, centre: tuple[float, float], radii: Radii, half: float) -> Crop:
    crop = crop_around(len(canvas), centre, radii, MARGIN + 0.6 * half)
    if crop is None:
        raise ValueError("the body lies outside the canvas")
    return crop


def _remains(crop: Crop, half: float, rng: np.random.Generator, tex: Textures) -> Layers:
    """A few specks of dirt or bacteria in an empty shell, or a trace of tissue along one side."""
    inside = crop.inside
    specks = tex.cut(rng, crop.shape, rng.uniform(0.8, 3.0)) - np.float32(rng.uniform(1.0, 2.2))
    layer = rng.uniform(0.03, 0.4) * np.clip(specks, 0, 1.5) * inside
    if rng.random() < 0.3:
        layer = layer + rng.uniform(0.01, 0.07) * _lobes(crop, half, rng, 1, (0.3, 0.6)) * inside
    return Layers(crop, np.asarray(layer, np.float32), any_colour(rng, 0.15))


def _lobes(
    crop: Crop, half: float, rng: np.random.Generator, count: int, size: tuple[float, float]
) -> Floats:
    """Return soft-edged ovals in the inner part, summed, about 1 each."""
    total = np.zeros(crop.shape, np.float32)
    middle = rng.normal(0, 0.14, 2) * half
    for _ in range(count):
        x, y = middle + rng.normal(0, 0.2, 2) * half
        long, wide = rng.uniform(*size, 2) * half
        turn = rng.uniform(0, np.pi)
        dx, dy = crop.x - np.float32(x), crop.y - np.float32(y)
        along = (dx * np.cos(turn) + dy * np.sin(turn)) / long
        beside = (dy * np.cos(turn) - dx * np.sin(turn)) / wide
        steep = rng.uniform(3, 9)
        total += 1 / (1 + np.exp(np.clip((np.hypot(along, beside) - 1) * steep, -30, 30)))
    return np.asarray(total, np.float32)


def paint_live(
    canvas: Floats, centre: tuple[float, float], half: float, rng: np.random.Generator,
    tex: Textures, has_eye: bool, is_late: bool = False,
) -> tuple[list[Layers], Radii]:  # fmt: skip
    """Paint a live larva; return its layers and its outline in pixels."""
    shape, shelled = (late_shape(rng), True) if is_late or has_eye else live_shape(rng)
    radii = outlines.turned(shape * np.float32(half), rng.uniform(0, 2 * np.pi))
    crop = _crop(canvas, centre, radii, half)
    made = []
    if shelled:
        made.append(Layers(crop, shell(crop, ShellLook(rng, half)), any_colour(rng, 0.08)))
    made += _soft(crop, half, rng, tex, shelled)
    if shelled and rng.random() < 0.4:
        made.append(_hinge(crop, half, rng))
    if shelled:
        made += lookalikes(crop, half, rng, tex)
    if has_eye:
        made += eyes(crop, half, rng)
    if rng.random() < 0.4:
        made.append(_outer(crop, half, rng, tex))
    return made, radii


def _soft(
    crop: Crop, half: float, rng: np.random.Generator, tex: Textures, shelled: bool
) -> list[Layers]:
    """Tissue and gut; a trochophore is granular all over."""
    inside = crop.inside
    fine = tex.cut(rng, crop.shape, rng.uniform(0.8, 2.5))
    coarse = tex.cut(rng, crop.shape, rng.uniform(0.06, 0.2) * half)
    rough = np.clip(1 + rng.uniform(0.05, 0.5) * fine + rng.uniform(0, 0.4) * coarse, 0.05, 3)
    brown = any_colour(rng, 0.12) if rng.random() < 0.5 else brownish(rng)
    if not shelled:
        dome = np.sqrt(np.clip(1 - crop.reach**2, 0, 1))
        body = rng.uniform(0.1, 0.8) * (rng.uniform(0.2, 0.8) + dome) * rough * inside
        body = body + rng.uniform(0, 0.6) * band(crop.distance, -1, rng.uniform(0.6, 1.6))
        return [Layers(crop, np.asarray(body, np.float32), brown)]
    lobes = np.clip(_lobes(crop, half, rng, int(rng.integers(2, 5)), (0.3, 0.65)), 0, 2)
    amount = float(np.exp(rng.uniform(np.log(0.06), np.log(0.5))))
    tissue = np.float32(amount) * lobes * rough * inside
    gut = np.clip(_lobes(crop, half, rng, int(rng.integers(1, 6)), (0.14, 0.42)), 0, 2.2)
    grains = tex.cut(rng, crop.shape, rng.uniform(0.8, 5))
    full = float(np.exp(rng.uniform(np.log(0.15), np.log(1.6))))
    if rng.random() < 0.12:
        full *= 0.2
    gut = np.float32(full) * gut * np.clip(1 + rng.uniform(0, 0.7) * grains, 0, None) * inside
    spots = np.clip(tex.cut(rng, crop.shape, rng.uniform(0.8, 0.09 * half)) - 1.2, 0, 1.5)
    gut = gut + rng.uniform(0, 0.8) * full * spots * inside * (crop.reach < 0.85)
    return [
        Layers(crop, np.asarray(tissue, np.float32), brown),
        Layers(crop, np.asarray(gut, np.float32), brownish(rng)),
    ]


def _hinge(crop: Crop, half: float, rng: np.random.Generator) -> Layers:
    turn = rng.uniform(0, 2 * np.pi)
    along = crop.x * np.cos(turn) + crop.y * np.sin(turn)
    beside = crop.y * np.cos(turn) - crop.x * np.sin(turn)
    off = np.asarray(beside - rng.uniform(0.3, 0.7) * half, np.float32)
    line = band(off, 0, rng.uniform(0.5, 2)) * (np.abs(along) < rng.uniform(0.2, 0.6) * half)
    layer = rng.uniform(0.1, 0.6) * line * crop.inside
    return Layers(crop, np.asarray(layer, np.float32), any_colour(rng, 0.08))


def _outer(crop: Crop, half: float, rng: np.random.Generator, tex: Textures) -> Layers:
    """Velum or foot outside the shell."""
    at, outside = rng.uniform(0, 2 * np.pi), 1 - crop.inside
    kind = rng.random()
    if kind < 0.5:
        layer = rng.uniform(0.2, 1.1) * velum(crop, half, rng, tex)
    elif kind < 0.8:
        near = np.exp(-np.clip(crop.distance, 0, None) / np.float32(rng.uniform(0.04, 0.2) * half))
        side = np.clip(np.cos(crop.theta - at) + rng.uniform(-0.5, 0.8), 0, 1)
        fuzz = np.clip(0.6 + 0.6 * tex.cut(rng, crop.shape, rng.uniform(0.8, 2)), 0, 2)
        layer = rng.uniform(0.1, 0.5) * near * side * fuzz
    else:
        along = crop.x * np.cos(at) + crop.y * np.sin(at)
        beside = np.abs(crop.y * np.cos(at) - crop.x * np.sin(at))
        wide, tip = rng.uniform(0.1, 0.25) * half, rng.uniform(1.1, 1.6) * half
        tongue = np.clip(wide - beside, 0, 1) * (along > 0) * np.clip(tip - along, 0, 1)
        layer = rng.uniform(0.1, 0.6) * tongue
    return Layers(crop, np.asarray(layer * outside, np.float32), any_colour(rng, 0.12))
