"""Light as waves: what a microscope makes of bodies that hardly absorb but bend the light.

The light behind the slide is exp(-density / 2 + i phase); through a pupil, a little out of focus,
it becomes the picture (Goodman JW, Introduction to Fourier Optics, 3rd ed. 2005, sections 3.10 and
6.2). The pupil makes the contrast: whole, with a ring that shifts the direct light (Zernike's phase
contrast), with a stop that takes it away (dark field), or darker on one side (oblique light).
Bright rims, shadows and rings follow by themselves.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from counter.imaging.learn.bodies import Body
from counter.imaging.learn.body_looks import BodyClass
from counter.imaging.learn.canvas import Floats, blurred, crop_around
from counter.imaging.learn.light import Contrast, recorded

Waves = NDArray[np.complex64]

MIDDLE_PX = 30.0
"""Half a body's length on the canvas of about this is taken where a slide shows none."""


def thickness(size: int, bodies: Sequence[Body], rng: np.random.Generator) -> Floats:
    """How much later the light leaves each place (size, size), in radians: bodies are domes.

    Empty shells are thin; what is out of focus bends the light over a wider place.
    """
    late = np.zeros((size, size), np.float32)
    most = float(np.exp(rng.uniform(np.log(0.3), np.log(9.0)))) * rng.choice([1, 1, 1, -1])
    for body in bodies:
        crop = crop_around(size, body.centre, body.radii, 3 + 3 * body.blur_px)
        if crop is None:
            continue
        height = most * float(np.exp(rng.normal(0, 0.2)))
        if body.look.kind is BodyClass.EMPTY:
            height *= 0.15
        dome = np.float32(height) * np.sqrt(np.clip(1 - crop.reach**2, 0, 1))
        dome = blurred(dome, max(1.0, 0.02 * body.half_px, body.blur_px))
        rows, columns = crop.shape
        late[crop.top : crop.top + rows, crop.left : crop.left + columns] += dome
    return late


def pupil(size: int, widest: float, contrast: Contrast, rng: np.random.Generator) -> Waves:
    """What a lens lets through of each frequency (size, size), none above ``widest`` cycles/px."""
    along = np.fft.fftfreq(size).astype(np.float32)
    away = np.hypot(along[None, :], along[:, None])
    through = np.clip((widest - away) / 0.02 + 0.5, 0, 1).astype(np.complex64)
    if contrast is Contrast.PHASE:
        direct = np.clip((rng.uniform(0.004, 0.015) - away) / 0.002 + 0.5, 0, 1)
        shift = np.exp(1j * np.pi / 2 * rng.choice([1, -1])) * rng.uniform(0.3, 0.9)
        through *= (1 + (shift - 1) * direct).astype(np.complex64)
    elif contrast is Contrast.DARK:
        through *= np.clip((away - rng.uniform(0.004, 0.04)) / 0.004 + 0.5, 0, 1)
    elif rng.random() < 0.3:
        turn = rng.uniform(0, 2 * np.pi)
        side = np.cos(turn) * along[None, :] + np.sin(turn) * along[:, None]
        shade = np.tanh(side / np.float32(rng.uniform(0.02, 0.2)))
        through *= 1 + np.float32(rng.uniform(0.2, 0.9)) * shade
    return np.asarray(through, np.complex64)


def spread(wave: Waves, distance_px2: float, through: Waves) -> Floats:
    """Return the light (h, w) of a ``wave`` (h, w) seen through a pupil, out of focus.

    ``distance_px2`` is wavelength times distance in squares of a pixel; its sign is the side.
    """
    height, width = wave.shape
    y, x = np.fft.fftfreq(height)[:, None], np.fft.fftfreq(width)[None, :]
    away = (np.square(y) + np.square(x)).astype(np.float32)
    chirp = np.exp(np.complex64(-1j * np.pi * distance_px2) * away)
    seen = np.fft.ifft2(np.fft.fft2(wave) * chirp * through)
    return np.asarray(np.square(seen.real) + np.square(seen.imag), np.float32)


def through_lens(
    density: Floats, field: Floats, bodies: Sequence[Body], rng: np.random.Generator,
    contrast: Contrast | None = None,
) -> tuple[Floats, list[float]]:  # fmt: skip
    """Return the light (s, s, 3) that reaches the camera, in a contrast given or by chance.

    With it comes by how much each body changes it, on average inside its outline. ``density`` and
    the empty ``field`` are (s, s, 3). The lamp has a width: the picture is blurred as by as many
    pictures, each a little aside.
    """
    if contrast is None:
        contrast = Contrast(int(rng.choice(3, p=[0.6, 0.2, 0.2])))
    size = len(density)
    grey = density.mean(axis=2)
    ratio = np.float32(rng.normal(0, 1.2))
    late = thickness(size, bodies, rng) + ratio * blurred(np.clip(grey, -1.5, 4), 0.8)
    dark = np.clip(grey * np.float32(rng.uniform(0.5, 1.3)), -1.2, 6)
    wave = np.exp((-0.5 * dark + 1j * late).astype(np.complex64))
    halves = [body.half_px for body in bodies] or [MIDDLE_PX]
    fringe = rng.uniform(0.02, 0.16) * float(np.median(halves))
    distance = fringe**2 * float(rng.choice([-1, 1]))
    widest = rng.uniform(0.12, 0.5)
    light = spread(wave, distance, pupil(size, widest, contrast, rng))
    aside = rng.uniform(0.1, 0.7) * abs(distance) * widest
    if aside > 0.3:
        light = blurred(light, float(min(aside, 0.12 * np.median(halves) + 0.3)))
    if contrast is Contrast.DARK:
        top = max(float(np.percentile(light[::2, ::2], 99)), 0.02)
        light = light * np.float32(rng.uniform(0.3, 1) / top) + np.float32(rng.uniform(0, 0.06))
    usual = float(np.median(light[::2, ::2]))
    relief = np.abs(light - np.float32(usual)) / np.float32(max(usual, 0.15))
    changes = [_inside(relief, body) for body in bodies]
    own = np.clip(density - grey[:, :, None], -0.7, 2)  # what one colour loses more than another
    lit = field * np.clip(light, 0, 2.5)[:, :, None] * np.exp(-own)
    return recorded(lit, rng), changes


def _inside(relief: Floats, body: Body) -> float:
    crop = crop_around(len(relief), body.centre, body.radii, 0)
    if crop is None:
        return 0.0
    rows, columns = crop.shape
    there = relief[crop.top : crop.top + rows, crop.left : crop.left + columns]
    return float((there * crop.inside).sum() / max(float(crop.inside.sum()), 1.0))
