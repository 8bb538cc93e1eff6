"""Whole training patches: a slide by chance, photographed, with what is to be learnt of it."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.learn import light, litter, open_shells, outlines, waves
from counter.imaging.learn import wider as more
from counter.imaging.learn.bodies import Body, paint
from counter.imaging.learn.body_looks import BodyClass, Look, any_look, bright_cell, cleaved, gaping
from counter.imaging.learn.canvas import Floats, Textures
from counter.imaging.learn.lifelike import paint_lifelike
from counter.imaging.learn.plans import LARGEST, SMALLEST, Plan, any_plan
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


@dataclass(frozen=True)
class Drawn:
    """A slide before it is photographed.

    ``light`` (s, s, 3), ``dirt`` (s, s), 1 where something lies that does not count, and
    ``visible`` (s, s) are :data:`FINE` times as fine as a patch; the bodies are in pixels of the
    patch.
    """

    light: Floats
    dirt: NDArray[np.uint8]
    visible: NDArray[np.bool_]
    bodies: tuple[Placed, ...]


def draw_patch(
    rng: np.random.Generator,
    tex: Textures,
    wider: float = 0.55,
    lifelike: float = 0.4,
    bent: float = 0.3,
) -> Patch:
    """Draw one patch; the same state of ``rng`` gives the same patch.

    ``wider`` is the share of patches with more litter and more kinds of it (:mod:`wider`),
    ``lifelike`` that of patches with bodies in the detail of :mod:`lifelike`, ``bent`` that of
    patches whose light goes through the bodies as waves do (:mod:`waves`).
    """
    slide = draw_slide(rng, tex, wider, lifelike, bent)
    small = slide.visible[FINE // 2 :: FINE, FINE // 2 :: FINE].astype(np.uint8)
    dirt = np.asarray(cv2.resize(slide.dirt, (SIZE, SIZE), interpolation=cv2.INTER_NEAREST))
    seen = light.as_seen(light.photograph(slide.light, SIZE, rng, tex))
    return Patch(seen, targets(list(slide.bodies), dirt.astype(np.uint8), small), slide.bodies)


def draw_slide(
    rng: np.random.Generator, tex: Textures, wider: float, lifelike: float, bent: float = 0.3
) -> Drawn:
    """Draw what lies on a slide, and the light that reaches the camera; as for a patch."""
    canvas = np.zeros((SIZE * FINE, SIZE * FINE, 3), np.float32)
    is_wider = rng.random() < wider
    plan = more.plan(rng) if is_wider else any_plan(rng)
    if rng.random() < plan.ruled:
        litter.rulings(canvas, rng, tex)
    perches = more.scatter(canvas, rng, tex, plan) if is_wider else _scatter(canvas, rng, tex)
    bodies = _population(rng, plan, perches)
    dirt = (np.abs(canvas).max(axis=2) > 0.06).astype(np.uint8)
    bodies, changes = _painted(canvas, bodies, rng, tex, rng.random() < lifelike)
    if is_wider and rng.random() < 0.35:
        more.cover(canvas, [(body.centre, body.half_px) for body in bodies], rng, tex)
    if rng.random() < 0.1:
        litter.fibre(canvas, tuple(rng.uniform(0, SIZE * FINE, 2)), rng.uniform(20, 120), rng, tex)
    is_dark = plan.dark or (is_wider and rng.random() < 0.12)
    contrast = light.Contrast.DARK if is_dark else None
    field = light.lamp(rng, SIZE * FINE, tex)
    if rng.random() < bent:
        lit, shown = waves.through_lens(canvas, field, bodies, rng, contrast)
        changes = [min(pair) for pair in zip(changes, shown, strict=True)]
    else:
        lit = light.expose(canvas, field, rng, contrast)
    visible = np.ones(canvas.shape[:2], bool)
    light.frame(lit, rng, visible)
    placed = tuple(
        _placed(body, change)
        for body, change in zip(bodies, changes, strict=True)
        if body.blur_px < LOST * body.half_px
    )
    return Drawn(lit, dirt, visible, placed)


def _painted(
    canvas: Floats, bodies: list[Body], rng: np.random.Generator, tex: Textures, lifelike: bool
) -> tuple[list[Body], list[float]]:
    """Paint the bodies; return them as they were painted, and how much each changes the light."""
    done, changes = [], []
    for body in bodies:
        made = paint_lifelike(canvas, body, rng, tex) if lifelike else None
        as_painted, change = made or (body, paint(canvas, body, rng, tex))
        done.append(as_painted)
        changes.append(change)
    return done, changes


LOST, UNSURE = 0.26, 0.18
"""A body blurred by more than this share of half its length is a ghost and does not count; by more
than the second share, it is neither right nor wrong to find."""

FAINTEST = 0.045
"""A body that changes the light by less than this on average is neither right nor wrong to find."""


def _placed(body: Body, change: float) -> Placed:
    points = outlines.tipped(body.radii, 48) + np.array(body.centre)
    small = (points + 0.5) / FINE - 0.5
    faint = change < FAINTEST or body.blur_px > UNSURE * body.half_px
    return Placed(small, int(body.look.kind), not faint)


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
    looks = [_look(rng, plan, plan.first)]
    for _ in range(int(rng.choice([0, 1, 2], p=[0.45, 0.35, 0.2]))):
        other = BodyClass(int(rng.choice(4, p=[0.25, 0.4, 0.2, 0.15])))
        looks.append(_look(rng, plan, plan.first if rng.random() < 0.6 else other))
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


def _look(rng: np.random.Generator, plan: Plan, kind: BodyClass) -> Look:
    if plan.bright:
        return bright_cell(rng)
    look = any_look(rng, kind, plan.shapes)
    if look.shape is outlines.lobed:
        look = replace(look, coarse=float(rng.uniform(0, 0.9)))
    if look.shape is cleaved:
        look = replace(look, grain=look.grain * float(rng.uniform(0.2, 0.8)))
    if plan.plain and kind is plan.first:
        fill = float(rng.uniform(0.12, 1.2) * rng.choice([1, 1, 1, -0.5]))
        look = replace(look, fill=fill, grain=0.0, coarse=0.0, gut=0.0, lines=0.0, inner=0.0)
    return look


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
    shapes, balls = _shapes(rng, look, half, turn)
    radii, *valves = (outlines.turned(each * np.float32(half), turn) for each in shapes)
    if perch is not None:
        x, y = perch
    elif others and rng.random() < plan.sticky and look.shape is not outlines.refractile:
        beside = others[int(rng.integers(len(others)))]
        at = rng.uniform(0, 2 * np.pi)
        index = int(at / (2 * np.pi) * outlines.ANGLES)
        back = (index + outlines.ANGLES // 2) % outlines.ANGLES
        apart = float(beside.radii[index] + radii[back])
        over = deepest * (RESTING if _rests(look) and _rests(beside.look) else 1.0)
        apart -= rng.uniform(-0.02, over) * 2 * min(half, beside.half_px)
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
        over = deepest * (RESTING if _rests(look) and _rests(other.look) else 1.0)
        if far < reach - (over + 0.02) * 2 * min(half, other.half_px):
            return None
    if not (-half < x < side + half and -half < y < side + half):
        return None
    blur = _blur(rng, look, plan, half)
    cone = rng.uniform(0.05, 1.0) if rng.random() < 0.5 else 0.0
    strength = float(np.exp(rng.normal(0, 0.35 * look.varied)))
    centre, by = (float(x), float(y)), float(blur)
    return Body(centre, radii, look, turn, by, strength, tuple(valves), cone, balls)


RESTING = 0.25
"""Whole eggs are balls that lie on the floor of the chamber: seen from above two of them touch, but
cover little of each other. What does, are the cells of one that divides."""


def _rests(look: Look) -> bool:
    return look.kind is BodyClass.EGG and look.shape is outlines.egg


def _shapes(
    rng: np.random.Generator, look: Look, half: float, turn: float
) -> tuple[tuple[outlines.Radii, ...], NDArray[np.float64] | None]:
    """Return a body's outline, and its valves' or its cells' where it has any."""
    if look.shape is gaping:
        return open_shells.gaping(rng), None
    if look.shape is not cleaved:
        return (look.shape(rng),), None
    whole, balls = outlines.cleaved(rng)
    cos, sin = np.cos(turn), np.sin(turn)
    x, y = balls[:, 0] * cos - balls[:, 1] * sin, balls[:, 0] * sin + balls[:, 1] * cos
    return (whole,), np.column_stack([x, y, balls[:, 2]]) * half


def _blur(rng: np.random.Generator, look: Look, plan: Plan, half: float) -> float:
    """By how many pixels a body is out of focus."""
    if plan.blurred is not None:
        return float(rng.uniform(*plan.blurred) * half)
    chance = rng.random()
    if chance < 0.04:
        return float(rng.uniform(LOST, 0.6) * half)
    if chance < 0.1:
        return float(rng.uniform(0.08, UNSURE) * half)
    return float(abs(rng.normal(0, 1)) * look.defocus * half * 2 * (rng.random() < 0.8))
