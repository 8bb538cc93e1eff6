"""A whole slide, photographed: the second renderer, written apart from all others.

It works in optical density (what things take from the light adds up), so that it shares neither
code nor idea with ``counter/imaging/draw`` or with ``counter/imaging/learn``. Nothing was ever
trained or tuned on its pictures except where a benchmark says so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import cv2
import numpy as np
from numpy.random import Generator
from numpy.typing import NDArray

from counter.domain.mark import Point
from tests.accuracy.slides import dirt
from tests.accuracy.slides.body import Layer, draw_body, with_foot
from tests.accuracy.slides.shapes import Floats, outline, share_inside

LENGTHS_UM = {
    "egg": (48.0, 70.0),
    "d-hinge": (62.0, 85.0),
    "umbo": (110.0, 220.0),
    "eyed": (250.0, 300.0),
    "pediveliger": (290.0, 330.0),
    "empty": (70.0, 180.0),
    "on-side": (70.0, 180.0),
}
SMALL_DIRT: Mapping[str, int] = {"flake": 6, "alga": 30}
TRIES = 300
ROUND = 0.47
"""Radius of a round field of view as a share of the picture's height."""


@dataclass(frozen=True, slots=True)
class SlideSettings:
    """What lies on a slide and how it is photographed.

    ``bodies`` and ``dirt`` say how many of each kind; ``clumped`` and ``overlapped`` (0 to 1) how
    many bodies touch, or lie over, another; ``blur_um`` the spread of bodies out of focus;
    ``rulings`` a style and a period in µm; ``uneven`` how much the light falls off (0 to 1).
    """

    bodies: Mapping[str, int] = field(default_factory=lambda: {"d-hinge": 20})
    dirt: Mapping[str, int] = field(default_factory=lambda: SMALL_DIRT)
    um_per_px: float = 1.24
    width_px: int = 1296
    height_px: int = 972
    target: Literal["larvae", "eggs"] = "larvae"
    clumped: float = 0.0
    overlapped: float = 0.0
    blur_um: float = 0.0
    foot: bool = False
    rulings: tuple[Literal["thin", "grooves"], float] | None = None
    light: Literal["bright", "dark", "phase"] = "bright"
    tint: tuple[float, float, float] = (1.0, 1.0, 1.0)
    uneven: float = 0.1
    noise: float = 0.008
    round_view: bool = False
    scale_bar: bool = False
    bits: Literal[8, 16] = 8
    moved_px: int = 0
    jpeg_quality: int | None = None


@dataclass(frozen=True, slots=True)
class Drawn:
    """One body's truth. ``share`` is how much of it lies on the picture; the outline is whole."""

    kind: str
    x_px: float
    y_px: float
    outline_px: tuple[Point, ...]
    length_um: float
    share: float

    @property
    def is_cut(self) -> bool:
        """Whether the border cuts it."""
        return self.share < 0.9999


@dataclass(frozen=True, slots=True)
class Slide:
    """A picture (h, w, 3) uint8 or (h, w) uint16 and the bodies on it."""

    pixels: NDArray[np.uint8] | NDArray[np.uint16]
    um_per_px: float
    truth: tuple[Drawn, ...]

    @property
    def eggs(self) -> tuple[Drawn, ...]:
        """The eggs."""
        return tuple(each for each in self.truth if each.kind == "egg")

    @property
    def larvae(self) -> tuple[Drawn, ...]:
        """The larvae, empty shells among them."""
        return tuple(each for each in self.truth if each.kind != "egg")


def draw_slide(settings: SlideSettings, seed: int) -> Slide:
    """Draw one slide; the same settings and seed give the same picture."""
    rng = np.random.default_rng(seed)
    slide = np.zeros((settings.height_px, settings.width_px, 3), np.float32)
    truth = _bodies(slide, settings, rng)
    for name, count in settings.dirt.items():
        for _ in range(count):
            dirt.PIECES[name](slide, settings.um_per_px, rng)
    if settings.rulings is not None:
        style, period_um = settings.rulings
        lines = dirt.thin_lines if style == "thin" else dirt.grooves
        lines(slide, settings.um_per_px, rng, period_um)
    return Slide(_photographed(slide, settings, rng), settings.um_per_px, tuple(truth))


def _bodies(slide: Layer, settings: SlideSettings, rng: Generator) -> list[Drawn]:
    """Lay the bodies on the slide; those of which hardly anything is seen are no truth."""
    truth: list[Drawn] = []
    places: list[tuple[float, float, float]] = []
    um_per_px = settings.um_per_px
    for kind in (name for name, count in settings.bodies.items() for _ in range(count)):
        placed = _place(places, kind, settings, rng)
        if placed is None:
            continue
        x, y, length_px = placed
        places.append((x, y, length_px / 2))
        points = outline(kind, length_px, rng) + np.array([x, y])
        patch = draw_body(kind, points, um_per_px, rng)
        if settings.foot and rng.random() < 0.6:
            patch = with_foot(patch, points, um_per_px, rng)
        blur_um = rng.uniform(0.5, 0.9) + abs(rng.normal(0, 1)) * settings.blur_um
        dirt.add(slide, patch, blur_um / um_per_px)
        share = share_inside(points, settings.width_px, settings.height_px)
        if share > 0.03:
            truth.append(_drawn(kind, points, length_px * um_per_px, share, slide.shape))
    return truth


def _drawn(
    kind: str, points: Floats, length_um: float, share: float, shape: tuple[int, ...]
) -> Drawn:
    """Return the truth; the centre is that of the part which lies on the picture."""
    seen = points.clip([-0.5, -0.5], [shape[1] - 0.5, shape[0] - 0.5])
    x, y = seen.mean(axis=0)
    return Drawn(kind, float(x), float(y), tuple(map(tuple, points.tolist())), length_um, share)


def _place(
    places: list[tuple[float, float, float]], kind: str, settings: SlideSettings, rng: Generator
) -> tuple[float, float, float] | None:
    """Return x, y and length in pixels of a place that is free; None when none was found."""
    width, height = settings.width_px, settings.height_px
    for _ in range(TRIES):
        length = rng.uniform(*LENGTHS_UM[kind]) / settings.um_per_px
        apart = 1.05
        if places and rng.random() < settings.clumped:
            x, y, half = places[int(rng.integers(len(places)))]
            turn, far = rng.uniform(0, 2 * np.pi), (half + length / 2) * rng.uniform(0.88, 0.98)
            x, y, apart = x + far * np.cos(turn), y + far * np.sin(turn), 0.80
        else:
            x, y = rng.uniform([-length / 4] * 2, [width + length / 4, height + length / 4])
        if rng.random() < settings.overlapped:
            apart = 0.72
        if settings.round_view:
            away = np.hypot(x - width / 2, y - height / 2)
            if away > height * ROUND - 0.6 * length:
                continue
        if all(np.hypot(x - a, y - b) > (c + length / 2) * apart for a, b, c in places):
            return float(x), float(y), float(length)
    return None


def _photographed(
    slide: Layer, settings: SlideSettings, rng: Generator
) -> NDArray[np.uint8] | NDArray[np.uint16]:
    height, width = slide.shape[:2]
    light = _lit(slide, _lamp(height, width, settings.uneven, rng), settings)
    if settings.round_view:
        y, x = np.mgrid[:height, :width]
        away = np.hypot(x - width / 2, y - height / 2)
        light = light / (1 + np.exp(np.clip((away - height * ROUND) / 2, -60, 60)))[..., None]
        light = light + 0.01
    if settings.moved_px:
        light = np.asarray(cv2.blur(light, (settings.moved_px, 1)), np.float64)
    light = light + rng.normal(0, 1, light.shape) * settings.noise * np.sqrt(light.clip(0.05, 1))
    if settings.scale_bar:
        _burn_in(light)
    if settings.bits == 16:
        return np.asarray(light.mean(axis=2).clip(0, 1) * 4095, np.uint16)
    pixels = np.asarray(light.clip(0, 1) * 255 + 0.5, np.uint8)
    if settings.jpeg_quality is not None:
        _, code = cv2.imencode(".jpg", pixels, [cv2.IMWRITE_JPEG_QUALITY, settings.jpeg_quality])
        pixels = np.asarray(cv2.imdecode(code, cv2.IMREAD_COLOR), np.uint8)
    return pixels


def _lamp(height: int, width: int, uneven: float, rng: Generator) -> Floats:
    """Return the lamp's light (h, w): brightest somewhere near the middle, leaning to a side."""
    y, x = np.mgrid[:height, :width].astype(np.float64)
    x, y = x / width - 0.5, y / height - 0.5
    right, down = rng.uniform(-1, 1, 2)
    round_part = ((x + 0.2 * right) ** 2 + (y + 0.2 * down) ** 2) * 2
    return np.asarray(1 - uneven * round_part - 0.5 * uneven * (right * x + down * y))


def _lit(slide: Layer, lamp: Floats, settings: SlideSettings) -> Floats:
    """Return the light (h, w, 3), 0 to 1, that comes through the slide or off it."""
    tint = np.array(settings.tint)
    if settings.light == "bright":
        return np.asarray(0.82 * lamp[..., None] * np.exp(-slide) * tint)
    if settings.light == "dark":
        edges = np.abs(slide - cv2.GaussianBlur(slide, (0, 0), 2))
        scattered = 1 - np.exp(-1.3 * (np.abs(slide) + 0.6 * edges))
        return np.asarray((0.05 + 0.9 * scattered) * lamp[..., None] * tint)
    around = cv2.GaussianBlur(slide, (0, 0), 14 / settings.um_per_px)
    grey = (0.42 * lamp[..., None] - 0.35 * (slide - around)).mean(axis=2, keepdims=True)
    return np.repeat(np.asarray(grey), 3, axis=2)


def _burn_in(light: Floats) -> None:
    """Write a scale bar into the picture's corner."""
    height, width = light.shape[:2]
    light[height - 40 : height - 34, width - 260 : width - 60] = 1.0
    text = np.zeros((height, width), np.uint8)
    place = (width - 220, height - 46)
    cv2.putText(text, "250 um", place, cv2.FONT_HERSHEY_SIMPLEX, 0.8, 255, 2)
    light[text > 100] = 1.0
