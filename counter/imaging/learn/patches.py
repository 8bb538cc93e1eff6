"""Whole training patches: a slide by chance, photographed, with what is to be learnt of it."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.learn import light, litter, outlines
from counter.imaging.learn.bodies import (
    Body,
    BodyClass,
    Look,
    any_look,
    bright_cell,
    gaping,
    paint,
)
from counter.imaging.learn.canvas import Floats, Textures
from counter.imaging.learn.targets import Placed, Targets, targets

SIZE = 256
FINE = 2
"""The slide is painted this much finer than the patch, then reduced as a camera's picture is."""


@dataclass(frozen=True)
class Patch:
    """``seen`` (SIZE, SIZE, 3): the picture as the network gets it; what to learn of it; bodies."""

    seen: NDArray[np.uint8]
    learn: Targets
    bodies: tuple[Placed, ...]


def draw_patch(rng: np.random.Generator, tex: Textures) -> Patch:
    """Draw one patch; the same state of ``rng`` gives the same patch."""
    canvas = np.zeros((SIZE * FINE, SIZE * FINE, 3), np.float32)
    plan = any_plan(rng)
    if rng.random() < plan.ruled:
        litter.rulings(canvas, rng, tex)
    perches = _scatter(canvas, rng, tex)
    bodies = _population(rng, plan, perches)
    dirt = (np.abs(canvas).max(axis=2) > 0.06).astype(np.uint8)
    changes = [paint(canvas, body, rng, tex) for body in bodies]
    if rng.random() < 0.1:
        litter.fibre(canvas, tuple(rng.uniform(0, SIZE * FINE, 2)), rng.uniform(20, 120), rng, tex)
    contrast = light.Contrast.DARK if plan.dark else None
    lit = light.expose(canvas, light.lamp(rng, SIZE * FINE, tex), rng, contrast)
    visible = np.ones(canvas.shape[:2], bool)
    light.frame(lit, rng, visible)
    placed = tuple(
        _placed(body, change)
        for body, change in zip(bodies, changes, strict=True)
        if body.blur_px < LOST * body.half_px
    )
    small = visible[FINE // 2 :: FINE, FINE // 2 :: FINE].astype(np.uint8)
    dirt = cv2.resize(dirt, (SIZE, SIZE), interpolation=cv2.INTER_NEAREST)
    seen = light.photograph(lit, SIZE, rng, tex)
    return Patch(seen, targets(list(placed), dirt, small), placed)


LOST, UNSURE = 0.26, 0.18
"""A body blurred by more than this share of half its length is a ghost and does not count; by more
than the second share, it is neither right nor wrong to find."""

FAINTEST = 0.045
"""A body that changes the light by less than this on average is neither right nor wrong to find."""

SMALLEST, LARGEST = 9.0, 120.0


def _placed(body: Body, change: float) -> Placed:
    points = outlines.polygon(body.radii, 48) + np.array(body.centre)
    small = (points + 0.5) / FINE - 0.5
    faint = change < FAINTEST or body.blur_px > UNSURE * body.half_px
    return Placed(small, int(body.look.kind), not faint)


@dataclass(frozen=True)
class Plan:
    """What a patch is to show: ``first`` the commonest class, ``share`` of the area covered by
    bodies, ``sticky`` how often a body is put beside another, ``deepest`` how far into it (of the
    smaller one's length), ``long`` the commonest length in pixels, ``ruled`` how often there are
    rulings, ``dark`` whether it is a dark field for certain, ``bright`` whether the bodies are
    single bright cells.
    """

    first: BodyClass
    share: float
    sticky: float
    deepest: float
    long: float
    ruled: float = 0.22
    dark: bool = False
    bright: bool = False


def any_plan(rng: np.random.Generator) -> Plan:
    """Draw what a patch is to show: mostly anything, now and then what is known to be hard."""
    u = rng.uniform
    long = float(np.exp(u(np.log(SMALLEST), np.log(LARGEST))))
    chance = rng.random()
    if chance < 0.06:  # embryos in heaps
        kind = BodyClass.EGG if rng.random() < 0.5 else BodyClass.OTHER
        return Plan(kind, u(0.1, 0.5), 0.9, u(0, 0.12), u(14, 80), dark=rng.random() < 0.7)
    if chance < 0.13:  # single cells on a counting chamber
        return Plan(BodyClass.OTHER, u(0.02, 0.3), u(0, 0.6), 0.05, u(9, 32), 0.7, bright=True)
    if chance < 0.22:  # a crowd
        kind = BodyClass(int(rng.choice(4, p=[0.25, 0.55, 0.08, 0.12])))
        return Plan(kind, u(0.25, 0.55), u(0, 0.8), u(0, 0.25), min(long, u(12, 60)))
    share = float(
        rng.choice([0.0, u(0.01, 0.1), u(0.05, 0.2), u(0.2, 0.45)], p=[0.12, 0.38, 0.32, 0.18])
    )
    return Plan(
        first=BodyClass(int(rng.choice(4, p=[0.2, 0.5, 0.1, 0.2]))),
        share=share,
        sticky=float(rng.choice([0.0, 0.3, 0.8], p=[0.45, 0.3, 0.25])),
        deepest=float(rng.choice([0.0, 0.12, 0.35], p=[0.4, 0.3, 0.3])),
        long=long,
    )


Place = tuple[float, float]


def _scatter(canvas: Floats, rng: np.random.Generator, tex: Textures) -> list[Place]:
    """Litter: mostly a little, sometimes a lot of one kind. Return places on bubbles' rims."""
    perches: list[Place] = []
    if rng.random() < 0.2:
        return perches
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
            if put is litter.bubble and half > 12:
                turn, far = rng.uniform(0, 2 * np.pi), half * rng.uniform(0.85, 1.15)
                perches.append((float(x + far * np.cos(turn)), float(y + far * np.sin(turn))))
    return perches


def _population(rng: np.random.Generator, plan: Plan, perches: list[Place]) -> list[Body]:
    """Place bodies of one to three looks: apart, touching, overlapping, up to a crowd."""
    if plan.share == 0:
        return []
    looks = [bright_cell(rng) if plan.bright else any_look(rng, plan.first)]
    for _ in range(int(rng.choice([0, 1, 2], p=[0.45, 0.35, 0.2]))):
        other = BodyClass(int(rng.choice(4, p=[0.25, 0.4, 0.2, 0.15])))
        kind = plan.first if rng.random() < 0.6 else other
        looks.append(bright_cell(rng) if plan.bright else any_look(rng, kind))
    long = plan.long
    sizes = [long] + [
        float(np.clip(long * np.exp(rng.normal(0, 0.5)), SMALLEST, LARGEST)) for _ in looks[1:]
    ]
    spread = rng.choice([0.04, 0.12, 0.3])
    bodies: list[Body] = []
    area = 0.0
    for _ in range(260):
        which = int(rng.integers(len(looks)))
        size = float(np.clip(sizes[which] * np.exp(rng.normal(0, spread)), SMALLEST, LARGEST))
        perch = perches.pop() if perches and rng.random() < 0.3 else None
        body = _try(rng, looks[which], size * FINE / 2, bodies, plan, perch)
        if body is None:
            continue
        bodies.append(body)
        area += 0.7 * size**2
        if area > plan.share * SIZE**2 or len(bodies) > 90:
            break
    return bodies


def _try(
    rng: np.random.Generator,
    look: Look,
    half: float,
    others: list[Body],
    plan: Plan,
    perch: Place | None,
) -> Body | None:
    side, deepest = SIZE * FINE, plan.deepest
    turn = rng.uniform(0, 2 * np.pi)
    shapes = outlines.gaping(rng) if look.shape is gaping else (look.shape(rng),)
    radii, *valves = (outlines.turned(each * np.float32(half), turn) for each in shapes)
    if perch is not None:
        x, y = perch
    elif others and rng.random() < plan.sticky:
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
    if rng.random() < 0.04:
        blur = rng.uniform(LOST, 0.6) * half
    elif rng.random() < 0.06:
        blur = rng.uniform(0.08, UNSURE) * half
    cone = rng.uniform(0.05, 1.0) if rng.random() < 0.5 else 0.0
    strength = float(np.exp(rng.normal(0, 0.35 * look.varied)))
    return Body((float(x), float(y)), radii, look, turn, float(blur), strength, tuple(valves), cone)
