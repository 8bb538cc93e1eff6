"""Lengths against analytic bodies: exact coverage, blurred as light is, with the camera's noise."""

from __future__ import annotations

from collections.abc import Callable

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from skimage.draw import polygon2mask
from skimage.measure import find_contours

from counter.imaging.light import flatten, reduced
from counter.imaging.measure import ferets_px
from counter.imaging.outline import refine
from counter.imaging.rim import settled

Floats = NDArray[np.float64]

FINE = 5
"""How many samples a pixel is drawn with along each side."""

TURNS = np.arange(720) * np.pi / 360


def oval(length_px: float) -> Floats:
    """An ellipse, 0.85 as wide as long."""
    return np.column_stack([np.cos(TURNS), 0.85 * np.sin(TURNS)]) * length_px / 2


def disc(length_px: float) -> Floats:
    """A circle: the longest extent is to be had in every direction, so noise shows most."""
    return np.column_stack([np.cos(TURNS), np.sin(TURNS)]) * length_px / 2


def shell(length_px: float) -> Floats:
    """A D: a rounded bow over a straight hinge of two thirds of the length."""
    far = (np.abs(np.cos(TURNS)) ** 2.3 + np.abs(np.sin(TURNS)) ** 2.3) ** (-1 / 2.3)
    x, y = far * np.cos(TURNS), 0.85 * np.maximum(far * np.sin(TURNS), -0.5)
    return np.column_stack([x, y]) * length_px / 2


def pictured(
    bodies: list[Floats], size: tuple[int, int], blur_px: float, rim_px: float, noise: float
) -> NDArray[np.uint8]:
    """Dark bodies on bright water: a plain step, or a darker rim on a pale inside."""
    light = np.full((size[0] * FINE, size[1] * FINE), 200.0, np.float32)
    for body in bodies:
        inside = polygon2mask(light.shape, ((body + 0.5) * FINE - 0.5)[:, ::-1])
        depth = cv2.distanceTransform(inside.astype(np.uint8), cv2.DIST_L2, 5) / FINE
        light[inside] = 150.0 if rim_px else 120.0
        light[inside & (depth < rim_px)] = 90.0
    small = cv2.resize(light, size[::-1], interpolation=cv2.INTER_AREA)
    if blur_px:
        small = cv2.GaussianBlur(small, (0, 0), blur_px)
    grain = np.random.default_rng(5).normal(0, noise, small.shape)
    return np.asarray((small + grain).clip(0, 255).round(), np.uint8)


def bias_percent(
    shape: Callable[[float], Floats], length_px: float, blur_px: float, rim_px: float, noise: float
) -> float:
    """The mean error of the lengths of twelve bodies, turned and placed between the pixels."""
    rng = np.random.default_rng(2)
    room = round(1.3 * length_px + 12 + 6 * blur_px)
    bodies, rough = [], []
    for index in range(12):
        turn = rng.uniform(0, 2 * np.pi)
        turned = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
        middle = (np.array([index % 4, index // 4]) + 0.5) * room + rng.uniform(-0.5, 0.5, 2)
        body = shape(length_px) @ turned.T + middle
        bodies.append(body)
        wobble = 1 + rng.normal(0, 0.02, (36, 1))
        rough.append((body[::20] - middle) * wobble + middle)
    pixels = pictured(bodies, (3 * room, 4 * room), blur_px, rim_px, noise)
    copy = reduced(pixels, 1)
    flat = flatten(copy, np.full(pixels.shape, 255, np.uint8), 2 * length_px)
    found = refine(rough, None, pixels, copy, flat)
    truth = ferets_px(np.stack(bodies))[:, 0]
    return float(100 * (ferets_px(found.outlines)[:, 0] / truth - 1).mean())
