"""What lies on a slide and does not count."""

from __future__ import annotations

import cv2
import numpy as np

from counter.imaging.learn import outlines
from counter.imaging.learn.body_looks import any_colour, brownish
from counter.imaging.learn.canvas import Floats, Textures, band, crop_around, lay


def flake(
    canvas: Floats, at: tuple[float, float], size: float, rng: np.random.Generator, tex: Textures
) -> None:
    """A ragged crumb, or a heap of them."""
    pieces = 1 if rng.random() < 0.5 else int(rng.integers(3, 14))
    colour = (brownish(rng) if rng.random() < 0.5 else any_colour(rng, 0.1)) * np.float32(
        rng.uniform(0.15, 1.6)
    )
    blur = abs(rng.normal(0, 0.08)) * size if rng.random() < 0.4 else 0.0
    for _ in range(pieces):
        x, y = np.array(at) + rng.normal(0, 0.45 * size, 2) * (pieces > 1)
        part = size * (rng.uniform(0.15, 0.6) if pieces > 1 else 1.0)
        radii = outlines.ragged(rng) * np.float32(part)
        crop = crop_around(len(canvas), (float(x), float(y)), radii, 3 + 3 * blur)
        if crop is None:
            continue
        inside = crop.inside
        rough = np.clip(
            1 + rng.uniform(0, 0.9) * tex.cut(rng, crop.shape, rng.uniform(0.8, 5)), 0, 3
        )
        edge = rng.uniform(-0.3, 0.6) * band(crop.distance, -1, 1)
        layer = (inside * rough * rng.uniform(0.4, 1.2) + edge)[:, :, None] * colour
        lay(canvas, crop, layer.astype(np.float32), 0, blur)


def crumb(
    canvas: Floats, at: tuple[float, float], size: float, rng: np.random.Generator, tex: Textures
) -> None:
    """A compact lump of grains with a rough edge: as large and as round as a larva, but no body."""
    size = min(size, 45.0)
    base = outlines.ellipse(rng.uniform(1, 1.8)) * outlines.wobble(rng, rng.uniform(0.05, 0.2), 5)
    rough = outlines.wobble(rng, rng.uniform(0.05, 0.2), int(rng.integers(15, 60)))
    radii = outlines.turned(outlines.scaled(base * rough) * np.float32(size), rng.uniform(0, 6.3))
    crop = crop_around(len(canvas), at, radii, 5)
    if crop is None:
        return
    grains = tex.cut(rng, crop.shape, rng.uniform(0.8, max(1.0, min(6.0, 0.25 * size))))
    coarse = tex.cut(rng, crop.shape, max(1.0, 0.3 * size))
    cover = np.clip(0.6 + rng.uniform(0.3, 1.2) * grains + rng.uniform(0, 0.8) * coarse, 0, 2.5)
    layer = crop.inside * cover * rng.uniform(0.15, 1.0)
    layer = layer + rng.uniform(0, 0.25) * grains * crop.inside
    colour = brownish(rng) if rng.random() < 0.5 else any_colour(rng, 0.1)
    blur = abs(rng.normal(0, 0.05)) * size if rng.random() < 0.3 else 0.0
    lay(canvas, crop, (layer[:, :, None] * colour).astype(np.float32), 0, blur)


def cloud(
    canvas: Floats, at: tuple[float, float], size: float, rng: np.random.Generator, tex: Textures
) -> None:
    """A patchy aggregate without an outline."""
    radii = outlines.scaled(outlines.ellipse(rng.uniform(1, 2.5)) * outlines.wobble(rng, 0.2))
    radii = outlines.turned(radii * np.float32(size), rng.uniform(0, 6.3))
    crop = crop_around(len(canvas), at, radii, 0.6 * size)
    if crop is None:
        return
    rough = tex.cut(rng, crop.shape, rng.uniform(0.1, 0.4) * size)
    fine = tex.cut(rng, crop.shape, rng.uniform(0.8, 3))
    lumps = np.clip((rough - crop.reach * 1.6 + rng.uniform(0.2, 1.0)) * 2.5, 0, 1)
    lumps = lumps * np.clip(0.8 + 0.4 * fine, 0, None)
    colour = (brownish(rng) if rng.random() < 0.6 else any_colour(rng, 0.15)) * np.float32(
        rng.uniform(0.1, 1.3)
    )
    lay(canvas, crop, (lumps[:, :, None] * colour).astype(np.float32), 0)


def alga(
    canvas: Floats, at: tuple[float, float], size: float, rng: np.random.Generator, tex: Textures
) -> None:
    """A small cell, or a chain or a clump of a few."""
    del tex
    size = min(size, rng.uniform(1.0, 7.0))
    green = np.array([1.2, 0.6, 1.2], np.float32) * np.float32(rng.uniform(0.1, 1.2))
    colour = green if rng.random() < 0.5 else any_colour(rng, 0.2) * np.float32(rng.uniform(0.1, 1))
    turn = rng.uniform(0, 2 * np.pi)
    count = 1 if rng.random() < 0.6 else int(rng.integers(2, 9))
    radii = outlines.turned(
        outlines.scaled(outlines.ellipse(rng.uniform(1, 3))) * np.float32(size), turn
    )
    for index in range(count):
        step = 2.1 * size * index
        where = (at[0] + step * np.cos(turn), at[1] + step * np.sin(turn))
        crop = crop_around(len(canvas), where, radii, 4)
        if crop is not None:
            shell = crop.inside + rng.uniform(-0.5, 0.8) * band(crop.distance, 0, 0.8)
            lay(canvas, crop, (shell[:, :, None] * colour).astype(np.float32), 0)


def ciliate(
    canvas: Floats, at: tuple[float, float], size: float, rng: np.random.Generator, tex: Textures
) -> None:
    """A long granular animal without a shell."""
    aspect = rng.uniform(2.0, 4.5)
    radii = outlines.scaled(
        outlines.ellipse(aspect) * (1 + 0.12 * np.cos(np.arange(outlines.ANGLES) * np.pi / 360))
    )
    radii = outlines.turned(radii * np.float32(size), rng.uniform(0, 6.3))
    crop = crop_around(len(canvas), at, radii, 6)
    if crop is None:
        return
    inside = crop.inside
    rough = 1 + rng.uniform(0.2, 0.9) * tex.cut(rng, crop.shape, rng.uniform(0.8, 2.5))
    layer = inside * rough * rng.uniform(0.1, 0.6) + rng.uniform(0, 0.4) * band(
        crop.distance, -1, 1
    )
    near = np.exp(-np.clip(crop.distance, 0, None) / 1.5) * (1 - inside)
    layer += rng.uniform(0, 0.2) * near * np.clip(rng.standard_normal(crop.shape), 0, 2)
    lay(canvas, crop, (layer[:, :, None] * any_colour(rng, 0.1)).astype(np.float32), 0)


def bubble(
    canvas: Floats, at: tuple[float, float], size: float, rng: np.random.Generator, tex: Textures
) -> None:
    """A ring, dark and thick, with a clear or bright middle; or the thin rim of a drop."""
    del tex
    radii = np.full(outlines.ANGLES, size, np.float32)
    crop = crop_around(len(canvas), at, radii, 6)
    if crop is None:
        return
    thick = rng.uniform(0.05, 0.55) * size
    depth = rng.uniform(0.5, 3.5)
    if rng.random() < 0.6:
        ring = np.clip((crop.distance + thick) / max(thick, 1), 0, 1) ** rng.uniform(0.3, 2)
        ring = ring * crop.inside
    else:
        ring = band(crop.distance, -thick / 2, thick / 4 + 0.5)
    layer = depth * ring - rng.uniform(0, 0.35) * crop.inside * (crop.reach < 1 - thick / size)
    layer -= rng.uniform(0, 0.4) * band(crop.distance, 1.5, 1.5)
    if rng.random() < 0.4:
        glint = np.clip(np.cos(crop.theta - rng.uniform(0, 6.3)) - rng.uniform(0, 0.8), 0, 1)
        spot = band(crop.reach, rng.uniform(0.3, 0.95), rng.uniform(0.03, 0.2) * 3)
        layer -= rng.uniform(0.3, 1.5) * glint * spot * crop.inside
    opaque = crop.inside * np.float32(rng.uniform(0, 1))
    lay(canvas, crop, np.repeat(layer[:, :, None], 3, 2).astype(np.float32), opaque)


def drop(
    canvas: Floats, at: tuple[float, float], size: float, rng: np.random.Generator, tex: Textures
) -> None:
    """A clear bead of which little more than one or two crescents shows."""
    del tex
    radii = np.full(outlines.ANGLES, size, np.float32)
    crop = crop_around(len(canvas), at, radii, 6)
    if crop is None:
        return
    layer = rng.uniform(0, 0.5) * band(crop.distance, -1, rng.uniform(0.6, 2))
    for _ in range(int(rng.integers(1, 3))):
        facing = np.cos(crop.theta - rng.uniform(0, 6.3)) - rng.uniform(0, 0.8)
        arc = np.exp(-0.5 * ((crop.reach - rng.uniform(0.5, 0.95)) / rng.uniform(0.03, 0.2)) ** 2)
        layer = layer + rng.uniform(-1.5, 2.5) * np.clip(2 * facing, 0, 1) * arc * crop.inside
    lay(canvas, crop, np.repeat(layer[:, :, None], 3, 2).astype(np.float32), 0)


def fibre(
    canvas: Floats, at: tuple[float, float], size: float, rng: np.random.Generator, tex: Textures
) -> None:
    """A long bent thread."""
    del tex
    count = 40
    bend = np.cumsum(rng.normal(0, rng.uniform(0.02, 0.25), count)) + rng.uniform(0, 6.3)
    step = size * rng.uniform(2, 9) / count
    line = np.array(at) + np.cumsum(np.column_stack([np.cos(bend), np.sin(bend)]), 0) * step
    _stroke(canvas, line, rng.uniform(1.0, 9), rng)


def scratch(
    canvas: Floats, at: tuple[float, float], size: float, rng: np.random.Generator, tex: Textures
) -> None:
    """A straight or gently bent hairline, or a piece of a ring."""
    del tex
    turn = rng.uniform(0, 6.3)
    bend = turn + np.linspace(0, rng.uniform(-3.5, 3.5), 30)
    line = np.array(at) + np.cumsum(np.column_stack([np.cos(bend), np.sin(bend)]), 0) * size / 9
    _stroke(canvas, line, rng.uniform(0.7, 3), rng)


def _stroke(
    canvas: Floats,
    line: np.ndarray[tuple[int, ...], np.dtype[np.float64]],
    width: float,
    rng: np.random.Generator,
) -> None:
    mask = np.zeros(canvas.shape[:2], np.uint8)
    points = np.round(line * 16).astype(np.int32)
    cv2.polylines(mask, [points], False, 255, max(1, round(width)), cv2.LINE_AA, 4)
    body = cv2.GaussianBlur(mask, (0, 0), rng.uniform(0.4, 2.0)).astype(np.float32) / 255
    if width > 3 and rng.random() < 0.5:
        core = np.zeros_like(mask)
        cv2.polylines(core, [points], False, 255, max(1, round(width / 2)), cv2.LINE_AA, 4)
        body -= rng.uniform(0.3, 1.2) * core.astype(np.float32) / 255
    canvas += body[:, :, None] * (any_colour(rng, 0.15) * np.float32(rng.uniform(-0.3, 1.2)))


def ghost(
    canvas: Floats, at: tuple[float, float], size: float, rng: np.random.Generator, tex: Textures
) -> None:
    """Something far out of focus: a faint disc or ring without any edge."""
    del tex
    shape = outlines.any_body if rng.random() < 0.4 else outlines.egg
    radii = outlines.turned(shape(rng) * np.float32(size), rng.uniform(0, 6.3))
    soft = size * rng.uniform(0.4, 0.9)
    crop = crop_around(len(canvas), at, radii, 3 * soft)
    if crop is None:
        return
    disc = 1 / (1 + np.exp(np.clip(crop.distance / (0.35 * soft), -30, 30)))
    ring = rng.uniform(-1, 1) * band(crop.distance, -0.5 * soft, 0.5 * soft)
    colour = any_colour(rng, 0.2) * np.float32(rng.uniform(0.03, 0.4) * rng.choice([1, 1, 1, -1]))
    lay(canvas, crop, ((disc + ring)[:, :, None] * colour).astype(np.float32), 0)


def _spans(rng: np.random.Generator, size: int) -> list[float]:
    period = rng.uniform(0.12, 1.2) * size
    offset = rng.uniform(0, period)
    lines = list(np.arange(offset - size, 2 * size, period))
    if rng.random() < 0.3:
        gap = rng.uniform(3, 14)
        beside = (gap,) if rng.random() < 0.6 else (gap, 2 * gap)
        lines += [line + by for by in beside for line in lines]
    return lines


def rulings(canvas: Floats, rng: np.random.Generator, tex: Textures) -> None:
    """A grid of thin lines or of wide grooves, dark or bright, at any angle."""
    size = len(canvas)
    turn = rng.normal(0, 0.12) if rng.random() < 0.7 else rng.uniform(0, np.pi)
    wide = rng.random() < 0.4
    width = rng.uniform(8, 34) if wide else rng.uniform(0.8, 5)
    amount = rng.uniform(0.1, 1.0) * (rng.choice([1, -0.4]) if not wide else 1)
    y, x = np.mgrid[0:size, 0:size].astype(np.float32)
    rough = tex.cut(rng, (size, size), rng.uniform(0.8, 4))
    for across in (turn, turn + np.pi / 2)[: 2 if rng.random() < 0.75 else 1]:
        place = x * np.float32(np.cos(across)) + y * np.float32(np.sin(across))
        for line in _spans(rng, size):
            off = place - np.float32(line)
            if wide:
                edges = band(np.abs(off) - width / 2, 0, rng.uniform(0.8, 3))
                mid = np.clip(width / 2 - np.abs(off), 0, 1)
                layer = amount * edges - rng.uniform(0, 0.35) * mid
                layer += 0.1 * rough * mid
            else:
                layer = amount * band(off, 0, width / 2) * np.clip(1 + 0.25 * rough, 0, 2)
            canvas += layer[:, :, None].astype(np.float32)


KINDS = (flake, cloud, crumb, crumb, alga, ciliate, bubble, fibre, scratch, ghost, ghost, drop)
