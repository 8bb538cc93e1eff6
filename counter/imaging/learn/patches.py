"""Whole training patches: a slide by chance, photographed, with what is to be learnt of it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.learn import light, litter, outlines
from counter.imaging.learn.bodies import Body, BodyClass, Look, any_look, paint
from counter.imaging.learn.canvas import Floats, Textures
from counter.imaging.learn.targets import Placed, Targets, targets

SIZE = 256
FINE = 2
"""The slide is painted this much finer than the patch, then reduced as a camera's picture is."""

SMALLEST, LARGEST = 10.0, 120.0


@dataclass(frozen=True)
class Patch:
    """``seen`` (SIZE, SIZE, 3): the picture as the network gets it; what to learn of it; bodies."""

    seen: NDArray[np.uint8]
    learn: Targets
    bodies: tuple[Placed, ...]


def draw_patch(rng: np.random.Generator, tex: Textures) -> Patch:
    """Draw one patch; the same state of ``rng`` gives the same patch."""
    canvas = np.zeros((SIZE * FINE, SIZE * FINE, 3), np.float32)
    if rng.random() < 0.22:
        litter.rulings(canvas, rng, tex)
    early = rng.random() < 0.3
    if early:
        _scatter(canvas, rng, tex)
    bodies = _population(rng)
    if not early:
        _scatter(canvas, rng, tex)
    dirt = (np.abs(canvas).max(axis=2) > 0.06).astype(np.uint8)
    changes = [paint(canvas, body, rng, tex) for body in bodies]
    if rng.random() < 0.1:
        litter.fibre(canvas, tuple(rng.uniform(0, SIZE * FINE, 2)), rng.uniform(20, 120), rng, tex)
    lit = light.expose(canvas, light.lamp(rng, SIZE * FINE, tex), rng)
    visible = np.ones(canvas.shape[:2], bool)
    light.frame(lit, rng, visible)
    placed = tuple(
        _placed(body, change)
        for body, change in zip(bodies, changes, strict=True)
        if body.blur_px < LOST * body.half_px
    )
    small = visible[FINE // 2 :: FINE, FINE // 2 :: FINE].astype(np.uint8)
    dirt = cv2.resize(dirt, (SIZE, SIZE), interpolation=cv2.INTER_NEAREST)
    seen = light.photograph(lit, SIZE, rng)
    return Patch(seen, targets(list(placed), dirt, small), placed)


LOST = 0.24
"""A body blurred by more than this share of half its length is a ghost and does not count."""

FAINTEST = 0.045
"""A body that changes the light by less than this on average is neither right nor wrong to find."""


def _placed(body: Body, change: float) -> Placed:
    points = outlines.polygon(body.radii, 48) + np.array(body.centre)
    small = (points + 0.5) / FINE - 0.5
    far = body.blur_px / body.half_px
    shelled = body.look.kind in (BodyClass.LARVA, BodyClass.EMPTY)
    faint = change < FAINTEST or far > (0.15 if shelled else 0.10)
    return Placed(small, int(body.look.kind), not faint)


def _scatter(canvas: Floats, rng: np.random.Generator, tex: Textures) -> None:
    """Litter: mostly a little, sometimes a lot of one kind."""
    if rng.random() < 0.2:
        return
    size = len(canvas)
    kinds = rng.choice(len(litter.KINDS), int(rng.integers(1, 4)))
    for kind in kinds:
        put = litter.KINDS[int(kind)]
        most = {litter.fibre: 3, litter.scratch: 4, litter.bubble: 7, litter.ghost: 5}.get(put, 22)
        for _ in range(int(rng.integers(1, most + 1) * rng.choice([0.3, 1.0])) + 1):
            half = float(np.exp(rng.uniform(np.log(2.0), np.log(70.0))))
            if put in (litter.flake, litter.cloud):
                half = min(half, float(np.exp(rng.uniform(np.log(2.0), np.log(70.0)))))
            x, y = rng.uniform(-0.05, 1.05, 2) * size
            put(canvas, (float(x), float(y)), half, rng, tex)


def _population(rng: np.random.Generator) -> list[Body]:
    """Place bodies of one to three looks: apart, touching, overlapping, up to a crowd."""
    share = float(
        rng.choice(
            [0.0, rng.uniform(0.01, 0.1), rng.uniform(0.05, 0.2), rng.uniform(0.2, 0.45)],
            p=[0.10, 0.38, 0.32, 0.20],
        )
    )
    if share == 0:
        return []
    first = BodyClass(int(rng.choice(4, p=[0.2, 0.47, 0.08, 0.25])))
    looks = [any_look(rng, first)]
    for _ in range(int(rng.choice([0, 1, 2], p=[0.45, 0.35, 0.2]))):
        kind = (
            first if rng.random() < 0.6 else BodyClass(int(rng.choice(4, p=[0.25, 0.4, 0.2, 0.15])))
        )
        looks.append(any_look(rng, kind))
    long = float(np.exp(rng.uniform(np.log(SMALLEST), np.log(LARGEST))))
    sizes = [long] + [
        float(np.clip(long * np.exp(rng.normal(0, 0.5)), SMALLEST, LARGEST)) for _ in looks[1:]
    ]
    spread = rng.choice([0.04, 0.12, 0.3])
    sticky = rng.choice([0.0, 0.3, 0.8], p=[0.45, 0.3, 0.25])
    deepest = rng.choice([0.0, 0.12, 0.35], p=[0.4, 0.35, 0.25])
    bodies: list[Body] = []
    area = 0.0
    for _ in range(200):
        which = int(rng.integers(len(looks)))
        size = float(np.clip(sizes[which] * np.exp(rng.normal(0, spread)), SMALLEST, LARGEST))
        body = _try(rng, looks[which], size * FINE / 2, bodies, sticky, deepest)
        if body is None:
            continue
        bodies.append(body)
        area += 0.7 * size**2
        if area > share * SIZE**2 or len(bodies) > 80:
            break
    return bodies


def _try(
    rng: np.random.Generator,
    look: Look,
    half: float,
    others: list[Body],
    sticky: float,
    deepest: float,
) -> Body | None:
    side = SIZE * FINE
    turn = rng.uniform(0, 2 * np.pi)
    radii = outlines.turned(look.shape(rng) * np.float32(half), turn)
    if others and rng.random() < sticky:
        beside = others[int(rng.integers(len(others)))]
        at = rng.uniform(0, 2 * np.pi)
        index = int(at / (2 * np.pi) * outlines.ANGLES)
        back = (index + outlines.ANGLES // 2) % outlines.ANGLES
        apart = float(beside.radii[index] + radii[back])
        apart -= rng.uniform(-0.02, deepest) * 2 * min(half, beside.half_px)
        x = beside.centre[0] + np.cos(at) * apart
        y = beside.centre[1] + np.sin(at) * apart
    else:
        x, y = rng.uniform(-half, side + half, 2)
    for other in others:
        far = math.hypot(x - other.centre[0], y - other.centre[1])
        if far >= half + other.half_px:
            continue
        at = math.atan2(y - other.centre[1], x - other.centre[0]) % (2 * math.pi)
        index = int(at / (2 * np.pi) * outlines.ANGLES) % outlines.ANGLES
        back = (index + outlines.ANGLES // 2) % outlines.ANGLES
        reach = float(other.radii[index] + radii[back])
        if far < reach - (deepest + 0.02) * 2 * min(half, other.half_px):
            return None
    if not (-half < x < side + half and -half < y < side + half):
        return None
    blur = abs(rng.normal(0, 1)) * look.defocus * half * 2 if rng.random() < 0.8 else 0.0
    if rng.random() < 0.05:
        blur = rng.uniform(LOST, 0.6) * half
    strength = float(np.exp(rng.normal(0, 0.35 * look.varied)))
    return Body((float(x), float(y)), radii, look, turn, float(blur), strength)
