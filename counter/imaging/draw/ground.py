"""The empty field: lamp, uneven light, round field of view, rulings of the chamber."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.random import Generator
from scipy.special import expit

from counter.imaging.draw.place import field_circle
from counter.imaging.draw.settings import (
    Contrast,
    Light,
    Rulings,
    RulingStyle,
    SceneSettings,
)
from counter.imaging.draw.shape import Layer

_COARSE = 64


def empty_field(settings: SceneSettings, rng: Generator) -> Layer:
    """Return the light of the empty slide, (H, W, 3), 1 is full white; rulings not yet drawn."""
    light = settings.light
    shade = _shade(light, settings.width_px, settings.height_px, rng)
    rough = rng.standard_normal((settings.height_px // 8 + 2, settings.width_px // 8 + 2))
    mottle = cv2.GaussianBlur(rough.astype(np.float32), (0, 0), 3.0)
    size = (settings.width_px, settings.height_px)
    shade += 0.03 * np.asarray(cv2.resize(mottle, size, interpolation=cv2.INTER_CUBIC))
    colour = np.array(light.colour, np.float32)
    return np.asarray(shade[:, :, None] * colour, dtype=np.float32)


def _shade(light: Light, width_px: int, height_px: int, rng: Generator) -> Layer:
    """The evenness of the light, at most 1: a slanting lamp, a bright spot, dim corners."""
    y, x = np.mgrid[-1 : 1 : _COARSE * 1j, -1 : 1 : _COARSE * 1j]
    turn = rng.uniform(0, 2 * np.pi)
    slant = 0.5 + 0.35 * (x * np.cos(turn) + y * np.sin(turn))
    spot_x, spot_y = rng.uniform(-0.6, 0.6, 2)
    spot = 1 - np.exp(-((x - spot_x) ** 2 + (y - spot_y) ** 2) / 1.3)
    missing = 0.5 * slant + 0.5 * spot
    missing = (missing - missing.min()) / np.ptp(missing)
    shade = 1 - light.uneven * missing - light.vignette * ((x**2 + y**2) / 2) ** 1.5
    shade = np.clip(shade, 0.05, 1).astype(np.float32)
    return np.asarray(
        cv2.resize(shade, (width_px, height_px), interpolation=cv2.INTER_CUBIC), dtype=np.float32
    )


def seen(settings: SceneSettings) -> Layer | None:
    """Return how much of each pixel (H, W) a round field of view shows; None if it shows all."""
    circle = field_circle(settings)
    if circle is None:
        return None
    y, x = np.ogrid[: settings.height_px, : settings.width_px]
    away = np.hypot(x - circle[0], y - circle[1]) - circle[2]
    return np.clip(0.5 - away / 4.0, 0, 1).astype(np.float32)


def rule(field: Layer, settings: SceneSettings, rng: Generator) -> None:
    """Draw the rulings into ``field`` (H, W, 3) in place; nothing if there are none."""
    rulings = settings.rulings
    if rulings is None:
        return
    turn = np.radians(rulings.angle_deg)
    y, x = np.ogrid[: settings.height_px, : settings.width_px]
    axes = [(np.cos(turn), np.sin(turn))]
    if rulings.crossed:
        axes.append((-np.sin(turn), np.cos(turn)))
    dark = settings.light.contrast is Contrast.DARK_FIELD
    for (a, b), offset in zip(axes, rulings.offset_um, strict=False):
        place = ((x * a + y * b) * settings.um_per_px).astype(np.float32) - np.float32(offset)
        along = ((y * a - x * b) * settings.um_per_px).astype(np.float32)
        line = np.round(place / rulings.period_um)
        away = place - line * np.float32(rulings.period_um)
        layer = _line(away, along, line, rulings, settings.um_per_px, rng)
        if dark:
            field += 0.5 * np.abs(layer)[:, :, None]
        else:
            field *= (1 + layer)[:, :, None]


def _line(
    away: Layer, along: Layer, line: Layer, rulings: Rulings, um_per_px: float, rng: Generator
) -> Layer:
    """What a line adds to the light (-1 to 1) at ``away`` µm from its middle."""
    half = rulings.width_um / 2
    soft = max(0.30 * half, 0.6 * um_per_px)
    if rulings.style is RulingStyle.DARK_LINES:
        sharp = expit((half - np.abs(away)) / (0.4 * soft))
        return np.asarray(-rulings.strength * sharp, dtype=np.float32)
    rough = _scratches(along, line, rng)
    middle = expit((half - np.abs(away)) / (0.5 * soft))
    edges = np.exp(-0.5 * ((np.abs(away) - half) / soft) ** 2)
    light = rulings.strength * (
        0.42 * middle * (0.8 + 0.2 * rough) - 0.75 * edges * (0.7 + 0.3 * rough)
    )
    return np.asarray(light, dtype=np.float32)


def _scratches(along: Layer, line: Layer, rng: Generator) -> Layer:
    """Roughness along each line, 0 to about 2, that differs from line to line."""
    table = np.convolve(rng.standard_normal(4096), np.ones(5) / 5, mode="same")
    index = (along / 3.0 + line * 977).astype(np.int64) % len(table)
    return np.asarray(np.clip(1 + 0.6 * table[index], 0, 2), dtype=np.float32)
