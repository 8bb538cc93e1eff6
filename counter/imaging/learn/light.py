"""From optical densities to what a camera saves: lamp, contrast, view, blur, noise, file."""

from __future__ import annotations

from enum import IntEnum

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.learn.canvas import Floats, Textures, blurred

Mask = NDArray[np.bool_]


def lamp(rng: np.random.Generator, size: int, tex: Textures) -> Floats:
    """The empty field (size, size, 3), about 1 at its brightest: tint, slant, vignette, dirt."""
    knots = rng.uniform(0, 1, (4, 4)) * rng.choice([0, 0.1, 0.3, 0.7], p=[0.2, 0.4, 0.25, 0.15])
    field = cv2.resize((1 - knots).astype(np.float32), (size, size), interpolation=cv2.INTER_CUBIC)
    y, x = np.mgrid[-1 : 1 : size * 1j, -1 : 1 : size * 1j].astype(np.float32)
    slant = rng.normal(0, rng.choice([0.03, 0.2, 0.5], p=[0.5, 0.35, 0.15]), 2)
    field = field * np.clip(1 + slant[0] * x + slant[1] * y, 0.15, 2)
    if rng.random() < 0.3:
        mottle = tex.cut(rng, (size, size), rng.uniform(3, 24))
        field = field * np.clip(
            1 + np.float32(rng.uniform(0, 0.05) * rng.choice([1, 4])) * mottle, 0.2, 2
        )
    tint = rng.uniform(0.25, 1, 3) if rng.random() < 0.35 else 1 + rng.normal(0, 0.05, 3)
    lit = field[:, :, None] * (tint / tint.max()).astype(np.float32)
    return np.asarray(np.clip(lit, 0.01, 2), np.float32)


class Contrast(IntEnum):
    """How bodies are made to show."""

    BRIGHT = 0
    DARK = 1
    PHASE = 2
    INVERTED = 3


def expose(
    density: Floats, field: Floats, rng: np.random.Generator, kind: Contrast | None = None
) -> Floats:
    """Return the light that reaches the camera, 0 to about 1, in a contrast given or by chance."""
    if kind is None:
        kind = Contrast(int(rng.choice(4, p=[0.6, 0.2, 0.12, 0.08])))
    strength = np.float32(rng.uniform(0.5, 1.4))
    if kind is Contrast.BRIGHT:
        light = field * np.exp(-np.clip(density * strength, -1.2, 6))
    elif kind is Contrast.DARK:
        light = _dark_field(density * strength, field, rng)
    elif kind is Contrast.PHASE:
        soft = blurred(density, rng.uniform(4, 16))
        relief = density - np.float32(rng.uniform(0.3, 1)) * soft
        light = field * (0.45 - np.float32(rng.uniform(0.15, 0.5)) * np.tanh(relief * strength))
    else:
        light = 1 - 0.9 * field * np.exp(-np.clip(density * strength, -0.6, 6))
    return recorded(light, rng)


def recorded(light: Floats, rng: np.random.Generator) -> Floats:
    """Return light as some camera records its colours and tones: grey, mixed, bent, or as it is."""
    if rng.random() < 0.35:
        grey = light @ (np.array([0.3, 0.5, 0.2], np.float32))
        light = np.repeat(grey[:, :, None], 3, 2)
    elif rng.random() < 0.25:
        mix = np.eye(3) + rng.normal(0, 0.25, (3, 3))
        light = light @ mix.astype(np.float32).T
    light = np.clip(light, 0, None)
    return np.asarray(light ** np.float32(np.exp(rng.normal(0, 0.25))), dtype=np.float32)


def _dark_field(density: Floats, field: Floats, rng: np.random.Generator) -> Floats:
    shine = 1 - np.exp(-np.abs(density) * np.float32(rng.uniform(0.5, 2.5)))
    if rng.random() < 0.6:
        grey = np.ascontiguousarray(density.mean(axis=2))
        edge = np.hypot(cv2.Sobel(grey, cv2.CV_32F, 1, 0), cv2.Sobel(grey, cv2.CV_32F, 0, 1))
        edge = np.clip(edge * np.float32(rng.uniform(0.05, 0.5)), 0, 1.5)
        shine = shine * np.float32(rng.uniform(0.2, 1)) + edge[:, :, None]
    cold = np.clip(1 + rng.normal(0, 0.25, 3), 0.3, 1.7).astype(np.float32)
    floor = np.float32(rng.uniform(0, 0.15) * rng.choice([0.1, 1]))
    return np.asarray(field * (floor + np.clip(shine, 0, 1.3) * cold), dtype=np.float32)


def frame(light: Floats, rng: np.random.Generator, visible: Mask) -> None:
    """Put in place what hides the field: a round view, plain blocks, a strip; a scale bar."""
    size = len(light)
    chance = rng.random()
    y, x = np.mgrid[0:size, 0:size]
    if chance < 0.07:
        radius = rng.uniform(0.5, 1.5) * size
        turn = rng.uniform(0, 2 * np.pi)
        away = radius + rng.uniform(-0.6, 0.3) * size
        middle = size / 2 + np.array([np.cos(turn), np.sin(turn)]) * away
        far = np.hypot(x - middle[0], y - middle[1]) - radius
        light *= np.clip(-far / rng.uniform(1, 8), 0, 1)[:, :, None]
        light += np.float32(rng.uniform(0, 0.03))
        visible &= far < 0
    elif chance < 0.11:
        side, quarter = int(rng.uniform(0.05, 0.5) * size), int(rng.integers(4))
        np.rot90(light, quarter)[:side] = rng.choice([0.0, 0.0, 1.0])
        np.rot90(visible, quarter)[:side] = False
    if rng.random() < 0.08:
        _scale_bar(light, rng)


def _scale_bar(light: Floats, rng: np.random.Generator) -> None:
    size = len(light)
    ink = float(rng.choice([0.0, 1.2]))
    x, y = (int(value) for value in rng.uniform(0.05, 0.8, 2) * size)
    long, thick = int(rng.uniform(0.1, 0.5) * size), int(rng.integers(2, 12))
    mask = np.zeros((size, size), np.uint8)
    cv2.rectangle(mask, (x, y), (x + long, y + thick), 255, -1)
    words = f"{int(rng.integers(1, 100)) * 10} um"
    font, tall = int(rng.integers(0, 5)), float(rng.uniform(0.4, 1.2))
    cv2.putText(mask, words, (x, y - 6), font, tall, 255, int(rng.integers(1, 3)), cv2.LINE_AA)
    cover = mask[:, :, None].astype(np.float32) / 255
    light *= 1 - cover
    light += cover * np.float32(ink)


def photograph(light: Floats, size: int, rng: np.random.Generator, tex: Textures) -> Floats:
    """Return the picture (size, size, 3) that a camera takes, in any unit of light."""
    u = rng.uniform
    if rng.random() < 0.7:
        light = blurred(light, u(0.3, 1.4) if rng.random() < 0.8 else u(1.2, 2.6))
    if rng.random() < 0.1:
        light = _motion(light, rng)
    light = noisy(light, rng, u(0, 0.04) if rng.random() < 0.7 else u(0, 0.12), tex)
    if rng.random() < 0.12:
        light = _phone(light, rng)
    elif rng.random() < 0.15:
        light = through_jpeg(light, rng)
    if rng.random() < 0.2:
        coarse = int(size * u(0.55, 1.0))
        light = _resized(light, coarse, cv2.INTER_AREA)
        light = noisy(light, rng, u(0, 0.02), tex)
        light = _resized(light, size, cv2.INTER_LINEAR)
    else:
        light = _resized(light, size, cv2.INTER_AREA)
        light = noisy(light, rng, u(0, 0.02) if rng.random() < 0.5 else 0.0, tex)
    if rng.random() < 0.3:
        light = through_jpeg(light, rng)
    if rng.random() < 0.2:
        light = np.clip(light, 0, u(0.7, 1.0) * float(light.max()))
    return np.asarray(light, np.float32)


def as_seen(light: Floats) -> NDArray[np.uint8]:
    """Scale a picture by its brightest places and take the root; 1 becomes 212.

    The root keeps faint bodies in a dark field apart from black and evens out photon noise.
    """
    top = max(float(np.percentile(light[::2, ::2], 99.9)), 0.012)
    return np.asarray(np.clip(np.sqrt(np.clip(light / top, 0, 1.44)) * 212.5, 0, 255), np.uint8)


def _resized(light: Floats, size: int, way: int) -> Floats:
    return np.asarray(cv2.resize(light, (size, size), interpolation=way), np.float32)


def noisy(
    light: Floats, rng: np.random.Generator, amount: float, tex: Textures | None = None
) -> Floats:
    """Add noise, grey or coloured, of ``amount`` of the brightest; cheap where ``tex`` is given."""
    if amount <= 0:
        return light
    top = np.float32(max(float(light.max()), 0.05))
    height, width = light.shape[:2]

    def white() -> Floats:
        if tex is not None:
            return tex.white(rng, (height, width))
        return rng.standard_normal((height, width), dtype=np.float32)

    noise = white()[:, :, None]
    if rng.random() < 0.5:
        noise = noise + np.float32(0.7) * np.stack([white() for _ in range(3)], axis=2)
    if rng.random() < 0.5:
        noise = noise * np.sqrt(np.clip(light / top, 0.02, 1))
    return np.asarray(np.clip(light + noise * (top * np.float32(amount)), 0, None), np.float32)


def _phone(light: Floats, rng: np.random.Generator) -> Floats:
    """A phone at the eyepiece: a corner's shade, noise smoothed away, edges sharpened, JPEG."""
    size = len(light)
    at = np.linspace(-1, 1, size, dtype=np.float32)
    off = rng.normal(0, 0.4, 2)
    away = np.square(at[None, :] - np.float32(off[0])) + np.square(at[:, None] - np.float32(off[1]))
    light = light * np.clip(1 - np.float32(rng.uniform(0, 0.35)) * away, 0.1, 1)[:, :, None]
    top = max(float(light.max()), 1e-3)
    picture = np.clip(light * (255 / top), 0, 255).astype(np.uint8)
    if rng.random() < 0.6:
        picture = np.asarray(cv2.medianBlur(picture, 3 if rng.random() < 0.6 else 5), np.uint8)
    smooth = np.asarray(picture, np.float32)
    halo = smooth - blurred(smooth, rng.uniform(0.8, 4))
    sharp = np.clip(smooth + np.float32(rng.uniform(0.3, 2.0)) * halo, 0, 255)
    toned = 255 * (sharp / 255) ** np.float32(np.exp(rng.normal(0, 0.25)))
    return through_jpeg(np.asarray(toned * np.float32(top / 255), np.float32), rng)


def _motion(light: Floats, rng: np.random.Generator) -> Floats:
    long, turn = int(rng.integers(3, 16)), rng.uniform(0, np.pi)
    kernel = np.zeros((17, 17), np.float32)
    dx, dy = np.cos(turn) * long / 2, np.sin(turn) * long / 2
    cv2.line(kernel, (round(8 - dx), round(8 - dy)), (round(8 + dx), round(8 + dy)), 1.0)
    return np.asarray(cv2.filter2D(light, -1, kernel / kernel.sum()), dtype=np.float32)


def through_jpeg(light: Floats, rng: np.random.Generator) -> Floats:
    top = max(float(light.max()), 1e-3)
    bytes_ = np.clip(light * (255 / top), 0, 255).astype(np.uint8)
    quality = [cv2.IMWRITE_JPEG_QUALITY, int(rng.integers(25, 95))]
    done, packed = cv2.imencode(".jpg", bytes_, quality)
    if not done:
        raise RuntimeError("JPEG encoding failed")
    back = cv2.imdecode(packed, cv2.IMREAD_COLOR)
    return np.asarray(back, np.float32) * np.float32(top / 255)
