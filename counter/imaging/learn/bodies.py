"""Bodies placed on a slide and painted: tissue, shell, cells, gut, velum and foot."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.learn import outlines
from counter.imaging.learn.body_looks import SIDEWAYS, BodyClass, Look
from counter.imaging.learn.canvas import Crop, Floats, Textures, band, crop_around, lay
from counter.imaging.learn.outlines import Radii
from counter.imaging.learn.velum import velum


@dataclass(frozen=True)
class Body:
    """A placed body: centre and radii in canvas pixels, its look, how blurred it is.

    ``balls`` (n, 3) are the cells of a dividing egg: x, y from the centre and radius, in pixels.
    """

    centre: tuple[float, float]
    radii: Radii
    look: Look
    turn: float
    blur_px: float
    strength: float
    valves: tuple[Radii, ...] = ()
    cone: float = 0.0
    balls: NDArray[np.float64] | None = None

    @cached_property
    def half_px(self) -> float:
        """Half its longest diameter through the centre."""
        return float((self.radii + np.roll(self.radii, outlines.ANGLES // 2)).max() / 2)


def paint(canvas: Floats, body: Body, rng: np.random.Generator, textures: Textures) -> float:
    """Paint one body; return by how much it changes the light inside its outline, on average.

    On a dark ground (a bubble's rim, other bodies) the same body changes less of the light.
    """
    look, half = body.look, body.half_px
    margin = 3 * body.blur_px + 2 * look.halo_px + 4 + 0.5 * half
    crop = crop_around(len(canvas), body.centre, body.radii, margin)
    if crop is None:
        return 0.0
    inside = crop.inside
    dome = np.sqrt(np.clip(1 - crop.reach**2, 0, 1)) ** np.float32(2 * look.dome_power)
    rough = textures.cut(rng, crop.shape, look.grain_px)
    tissue = (np.float32(look.fill) + np.float32(look.dome) * dome) * inside
    grain = look.grain * (0.35 + abs(look.fill + look.dome * 0.5))
    tissue += np.float32(grain) * rough * inside
    if look.coarse:
        tissue *= 1 + np.float32(look.coarse) * textures.cut(rng, crop.shape, 0.2 * half)
    shell = _shell(body, crop, inside)
    if body.balls is not None:
        domed, furrow = _cells(crop, body.balls)
        tissue *= domed
        shell += np.float32(rng.uniform(-0.25, 0.8) * (0.2 + abs(look.fill))) * furrow * inside
    gut = _gut(body, crop, rng, textures) * inside
    layer = (
        tissue[:, :, None] * look.colour[2]
        + shell[:, :, None] * look.colour[0]
        + gut[:, :, None] * look.colour[1]
    ) * np.float32(body.strength)
    _attach(layer, body, crop, inside, rng, textures)
    rows, columns = crop.shape
    there = canvas[crop.top : crop.top + rows, crop.left : crop.left + columns, 1]
    left = np.exp(-np.clip(there, 0, None)) * inside
    change = float((np.abs(layer[:, :, 1]) * left).sum() / max(float(inside.sum()), 1.0))
    cover = inside * np.float32(look.opaque) if look.opaque else 0
    lay(canvas, crop, layer, cover, body.blur_px, body.cone)
    return change


def _shell(body: Body, crop: Crop, inside: Floats) -> Floats:
    look, half = body.look, body.half_px
    width = look.rim_px + look.rim_share * half
    shell = look.rim * band(crop.distance, -0.8 * width, width * 0.7)
    if look.inner:
        shell -= np.float32(look.inner) * band(crop.distance, -2.8 * width, width * 0.9) * inside
    if look.halo:
        out = np.exp(-np.clip(crop.distance, 0, None) / np.float32(look.halo_px))
        shell += np.float32(look.halo) * out * (1 - inside)
    if look.fringe:
        period = np.float32(2 * np.pi / (3 + 4 * body.blur_px))
        decay = np.exp(-np.abs(crop.distance) / np.float32(3 + 3 * body.blur_px))
        shell += np.float32(look.fringe) * np.cos(crop.distance * period) * decay
    for valve in body.valves:
        line = band(crop.distance_to(valve), -0.8 * width, width * 0.7)
        shell += np.float32(0.7 * look.rim) * line * inside
    if look.shape in SIDEWAYS:
        y = -crop.x * np.float32(np.sin(body.turn)) + crop.y * np.float32(np.cos(body.turn))
        seam = np.float32(look.rim * look.inner) * band(y, 0.0, width)
        shell += seam * inside
    if look.lines:
        rings = np.cos(crop.reach * np.float32(half / 3.0)) * np.clip(crop.reach - 0.3, 0, 1)
        shell += np.float32(look.lines) * rings * inside
    if look.kind is BodyClass.LARVA and look.shape is outlines.straight_hinge:
        y = -crop.x * np.float32(np.sin(body.turn)) + crop.y * np.float32(np.cos(body.turn))
        shell *= 1 + 0.5 * (y < -0.3 * half)
    if look.shape is outlines.cells:
        furrow = np.cos(crop.theta * 2 - np.float32(2 * body.turn))
        shell += np.float32(0.4 * abs(look.fill)) * np.exp(-np.square(furrow * 6)) * inside
    return np.asarray(shell, dtype=np.float32)


def _cells(crop: Crop, balls: NDArray[np.float64]) -> tuple[Floats, Floats]:
    """Return the thickness of a dividing egg's cells, about 1, and the furrows between them."""
    first, second = np.full((2, *crop.shape), -1, np.float32)
    for x, y, radius in balls.astype(np.float32):
        deep = 1 - (np.square(crop.x - x) + np.square(crop.y - y)) / (radius * radius)
        second = np.maximum(second, np.minimum(first, deep))
        first = np.maximum(first, deep)
    domed = np.float32(0.45) + np.float32(0.65) * np.sqrt(np.clip(first, 0, 1))
    width = np.float32(0.06 + 1.2 / max(float(balls[:, 2].max()), 1.0))
    furrow = np.exp(-np.square((first - second) / (2 * width))) * (first > -0.5)
    return np.asarray(domed, np.float32), np.asarray(furrow, np.float32)


def _gut(body: Body, crop: Crop, rng: np.random.Generator, textures: Textures) -> Floats:
    look, half = body.look, body.half_px
    gut = np.zeros(crop.shape, np.float32)
    if not look.gut:
        return gut
    middle = rng.normal(0, 0.18, 2) * half
    for _ in range(look.gut_lobes):
        x, y = middle + rng.normal(0, 0.16, 2) * half
        wide, high = rng.uniform(0.12, 0.5, 2) * half
        at = np.square((crop.x - x) / wide) + np.square((crop.y - y) / high)
        gut += np.exp(-0.7 * at) if rng.random() < 0.6 else np.clip(1.5 - at, 0, 1)
    rough = textures.cut(rng, crop.shape, rng.uniform(0.8, 6))
    gut = np.clip(gut, 0, 1.3) * np.clip(1 + rng.uniform(0, 0.7) * rough, 0, None)
    gut *= np.float32(look.gut * rng.uniform(0.4, 1.2))
    if look.eye:
        x, y = rng.normal(0, 0.25, 2) * half
        away = np.hypot(crop.x - x, crop.y - y)
        gut += np.float32(look.eye) * np.clip(0.055 * half + 0.8 - away, 0, 1)
    return np.asarray(gut, np.float32)


def _attach(
    layer: Floats,
    body: Body,
    crop: Crop,
    inside: Floats,
    rng: np.random.Generator,
    tex: Textures,
) -> None:
    """Foot, velum or fuzz outside the outline: of the body, but not of its shell."""
    if body.look.kind is BodyClass.EMPTY or rng.random() < 0.55:
        return
    half = body.half_px
    at = rng.uniform(0, 2 * np.pi)
    colour = body.look.colour[2] * np.float32(rng.uniform(0.05, 0.4))
    larva = body.look.kind is BodyClass.LARVA
    if larva and rng.random() < 0.4:
        sheet = velum(crop, half, rng, tex) * np.float32(rng.uniform(1.5, 5))
        layer += sheet[:, :, None] * colour
    elif larva and rng.random() < 0.6:
        along = crop.x * np.float32(np.cos(at)) + crop.y * np.float32(np.sin(at))
        beside = -crop.x * np.float32(np.sin(at)) + crop.y * np.float32(np.cos(at))
        tip = half * rng.uniform(1.1, 1.8)
        wide = half * rng.uniform(0.08, 0.35)
        foot = np.clip(wide - np.abs(beside), 0, 1) * (along > 0) * np.clip(tip - along, 0, 1)
        speck = cv2.GaussianBlur(rng.standard_normal(crop.shape).astype(np.float32), (0, 0), 1.0)
        foot = foot * np.clip(1 + rng.uniform(0, 3) * speck, 0, 3)
        foot = foot + rng.uniform(0, 1) * band(np.abs(beside), wide, 1.0) * (foot > 0)
        layer += (foot * (1 - inside))[:, :, None] * colour * np.float32(rng.uniform(0.8, 2.2))
    else:
        near = np.exp(-np.clip(crop.distance, 0, None) / np.float32(rng.uniform(0.03, 0.15) * half))
        side = np.clip(np.cos(crop.theta - at) + rng.uniform(-0.5, 1), 0, 1)
        speck = rng.standard_normal(crop.shape).astype(np.float32)
        speck = np.clip(0.5 + cv2.GaussianBlur(speck, (0, 0), 0.8) * 2, 0, 2)
        layer += (near * side * speck * (1 - inside))[:, :, None] * colour
