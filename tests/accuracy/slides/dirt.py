"""What else lies on a slide: it is never counted. Each function adds density to the whole slide."""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
from numpy.random import Generator

from tests.accuracy.slides.body import Layer, Patch, bell, cloudy, draw_body, step
from tests.accuracy.slides.shapes import Floats, outline

Put = Callable[[Layer, float, Generator], None]


def add(slide: Layer, patch: Patch, blur_px: float) -> None:
    """Lay a patch on the slide, out of focus by ``blur_px``, with the faint rings of defocus."""
    density, left, top = patch.density, patch.left, patch.top
    if blur_px > 0:
        wide = int(4 * blur_px) + 1
        framed = cv2.copyMakeBorder(density, wide, wide, wide, wide, cv2.BORDER_CONSTANT)
        density = np.asarray(framed, np.float32)
        left, top = left - wide, top - wide
        soft = cv2.GaussianBlur(density, (0, 0), blur_px)
        inner = cv2.GaussianBlur(density, (0, 0), 0.5 * blur_px)
        outer = cv2.GaussianBlur(density, (0, 0), 1.3 * blur_px)
        density = np.asarray(soft + 0.5 * (inner - outer), np.float32)
    height, width = density.shape[:2]
    x0, y0 = max(left, 0), max(top, 0)
    x1, y1 = min(left + width, slide.shape[1]), min(top + height, slide.shape[0])
    if x1 > x0 and y1 > y0:
        slide[y0:y1, x0:x1] += density[y0 - top : y1 - top, x0 - left : x1 - left]


def _somewhere(slide: Layer, rng: Generator) -> Floats:
    return rng.uniform([0, 0], [slide.shape[1], slide.shape[0]])


def _filled(points: Floats, margin: int = 8) -> tuple[int, int, Layer]:
    """Return a polygon as a smooth mask (h, w) and where its top-left pixel lies."""
    left, top = (int(value) for value in np.floor(points.min(axis=0)) - margin)
    right, bottom = (int(value) for value in np.ceil(points.max(axis=0)) + margin)
    mask = np.zeros((bottom - top, right - left), np.float32)
    corners = np.round((points - [left, top]) * 16).astype(np.int32)
    cv2.fillPoly(mask, [corners], 1.0, cv2.LINE_AA, 4)
    return left, top, mask


def _disc(x: float, y: float, radius_px: float) -> tuple[int, int, Layer]:
    """Return how far (px) each place lies inside a circle, around it."""
    reach = int(radius_px + 8)
    left, top = int(x) - reach, int(y) - reach
    rows, columns = np.mgrid[: 2 * reach + 1, : 2 * reach + 1].astype(np.float32)
    depth = radius_px - np.hypot(columns + left - x, rows + top - y)
    return left, top, np.asarray(depth, np.float32)


def _grey(grey: Layer, colour: tuple[float, float, float] = (1, 1, 1)) -> Layer:
    return (grey[..., None] * np.array(colour, np.float32)).astype(np.float32)


def flake(slide: Layer, um_per_px: float, rng: Generator) -> None:
    """A ragged crumb of 8 to 60 µm."""
    turn = np.linspace(0, 2 * np.pi, int(rng.integers(7, 14)), endpoint=False)
    far = rng.uniform(4, 30) / um_per_px * rng.uniform(0.3, 1.2, turn.size)
    flat = rng.uniform(0.4, 1)
    points = np.column_stack([far * np.cos(turn) * flat, far * np.sin(turn)])
    left, top, mask = _filled(points + _somewhere(slide, rng))
    mask = mask * rng.uniform(0.1, 0.7) * (1 + 0.5 * cloudy(mask.shape, 2, rng))
    add(slide, Patch(left, top, _grey(mask, (0.9, 1, 1.1))), rng.uniform(0.5, 2) / um_per_px)


def bubble(slide: Layer, um_per_px: float, rng: Generator) -> None:
    """An air bubble of 40 to 220 µm: a wide dark ring around a bright middle."""
    radius = rng.uniform(20, 110) / um_per_px
    x, y = _somewhere(slide, rng)
    left, top, depth = _disc(float(x), float(y), radius)
    wide = rng.uniform(0.12, 0.25) * radius
    ring = np.where(depth > 0, 1.6 * bell(depth, 0, wide) - 0.08 * (depth > 2 * wide), 0)
    ring = ring - 0.1 * bell(depth, -2, 2) * (depth < 0)
    add(slide, Patch(left, top, _grey(np.asarray(ring, np.float32))), 0.6 / um_per_px)


def alga(slide: Layer, um_per_px: float, rng: Generator) -> None:
    """A green cell of 4 to 12 µm."""
    x, y = _somewhere(slide, rng)
    left, top, depth = _disc(float(x), float(y), rng.uniform(2, 6) / um_per_px)
    add(slide, Patch(left, top, _grey(0.4 * step(depth / 0.5), (1, 0.6, 1))), 0.8 / um_per_px)


def fibre(slide: Layer, um_per_px: float, rng: Generator) -> None:
    """A wavy thread of 0.2 to 0.9 mm."""
    turn = np.cumsum(rng.normal(0, 0.12, 60)) + rng.uniform(0, 2 * np.pi)
    pace = rng.uniform(200, 900) / um_per_px / 60
    points = np.column_stack([np.cos(turn), np.sin(turn)]) * pace
    points = _somewhere(slide, rng) + np.cumsum(points, axis=0)
    mask = np.zeros(slide.shape[:2], np.float32)
    wide = max(1, int(rng.uniform(4, 14) / um_per_px))
    corners = np.round(points * 16).astype(np.int32)
    cv2.polylines(mask, [corners], False, 1.0, wide, cv2.LINE_AA, 4)
    slide += _grey(mask * np.float32(rng.uniform(0.15, 0.6)))


def ciliate(slide: Layer, um_per_px: float, rng: Generator) -> None:
    """A slipper of 35 to 110 µm, clear, with a thin skin."""
    half = rng.uniform(35, 110) / um_per_px / 2
    turn = np.linspace(0, 2 * np.pi, 40, endpoint=False)
    slim = 2 * rng.uniform(0.25, 0.4)
    points = half * np.column_stack([np.cos(turn), slim * np.sin(turn) * (1 + 0.3 * np.cos(turn))])
    spin = rng.uniform(0, 2 * np.pi)
    spun = np.array([[np.cos(spin), -np.sin(spin)], [np.sin(spin), np.cos(spin)]])
    left, top, mask = _filled(points @ spun.T + _somewhere(slide, rng))
    skin = np.clip(mask - cv2.erode(mask, np.ones((3, 3))), 0, 1)
    mask = 0.15 * mask * (1 + 0.5 * cloudy(mask.shape, 1.5, rng)) + 0.3 * skin
    add(slide, Patch(left, top, _grey(np.asarray(mask, np.float32))), 0.8 / um_per_px)


def ghost(slide: Layer, um_per_px: float, rng: Generator) -> None:
    """A body far out of focus, of which only a faint cloud is seen."""
    points = outline("umbo", rng.uniform(60, 150) / um_per_px, rng) + _somewhere(slide, rng)
    patch = draw_body("umbo", points, um_per_px, rng)
    add(slide, Patch(patch.left, patch.top, 0.25 * patch.density), 18 / um_per_px)


def _lines_apart_um(
    slide: Layer, um_per_px: float, period_um: float, rng: Generator
) -> list[Layer]:
    """Return, for two sets of lines at right angles, the µm from each place to the nearest."""
    turn = rng.uniform(-0.1, 0.1)
    y, x = np.mgrid[: slide.shape[0], : slide.shape[1]].astype(np.float32)
    across = x * np.cos(turn) + y * np.sin(turn), y * np.cos(turn) - x * np.sin(turn)
    half = period_um / 2
    return [
        np.abs((each * um_per_px + rng.uniform(0, period_um)) % period_um - half).astype(np.float32)
        for each in across
    ]


def thin_lines(slide: Layer, um_per_px: float, rng: Generator, period_um: float) -> None:
    """Thin dark rulings, as on glass."""
    for apart in _lines_apart_um(slide, um_per_px, period_um, rng):
        slide += _grey(0.5 * bell(apart, 0, 3))


def grooves(slide: Layer, um_per_px: float, rng: Generator, period_um: float) -> None:
    """Wide bright grooves with rough dark edges, as in plastic."""
    for apart in _lines_apart_um(slide, um_per_px, period_um, rng):
        rough = 1 + 0.4 * cloudy(apart.shape, 1, rng)
        slide += _grey(
            0.35 * bell(apart, 25, 3) * rough - 0.18 * step(np.float32(0.5) * (22 - apart))
        )


PIECES: dict[str, Put] = {
    "flake": flake,
    "bubble": bubble,
    "alga": alga,
    "fibre": fibre,
    "ciliate": ciliate,
    "ghost": ghost,
}
