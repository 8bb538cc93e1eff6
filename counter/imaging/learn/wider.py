"""The wider half of the patches: dividing eggs, lobed embryos, larvae on their side, litter."""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np

from counter.imaging.learn import creatures, grains, litter, outlines
from counter.imaging.learn.body_looks import WIDER, BodyClass, cleaved, gaping
from counter.imaging.learn.canvas import Floats, Textures
from counter.imaging.learn.plans import SMALLEST, Plan, any_plan

Place = tuple[float, float]
Painter = Callable[[Floats, Place, float, np.random.Generator, Textures], None]

LOBED = (
    (outlines.lobed, 0.55),
    (cleaved, 0.25),
    (outlines.cells, 0.1),
    (outlines.any_body, 0.1),
)
SIDE = ((outlines.lens, 0.45), (outlines.biconvex, 0.55))
DIVIDING = ((cleaved, 0.7), (outlines.egg, 0.3))
WHOLE = ((outlines.egg, 1.0),)
PLAIN = ((outlines.egg, 0.7), (outlines.any_body, 0.3))
SHELLED = (BodyClass.LARVA, BodyClass.EMPTY)
OPEN = ((gaping, 0.8), (outlines.umbo, 0.1), (outlines.straight_hinge, 0.1))


def plan(rng: np.random.Generator) -> Plan:
    """Draw what one of the wider patches is to show."""
    u = rng.uniform
    long = float(np.exp(u(np.log(SMALLEST + 1), np.log(90.0))))
    chance = rng.random()
    egg = BodyClass.EGG if rng.random() < 0.5 else BodyClass.OTHER
    if chance < 0.1:  # large embryos of no even outline, mostly in dark field
        shapes = {**WIDER, egg: LOBED}
        sticky, dark = u(0, 0.7), bool(rng.random() < 0.75)
        return Plan(egg, u(0.05, 0.5), sticky, u(0, 0.1), u(22, 115), 0.05, dark, shapes=shapes)
    if chance < 0.24:  # dividing eggs
        shapes = {**WIDER, BodyClass.EGG: DIVIDING}
        return Plan(BodyClass.EGG, u(0.03, 0.4), u(0, 0.6), u(0, 0.08), u(12, 60), shapes=shapes)
    if chance < 0.32:  # larvae on their side
        shapes = {**WIDER, BodyClass.LARVA: SIDE}
        return Plan(BodyClass.LARVA, u(0.02, 0.25), u(0, 0.5), u(0, 0.15), long, shapes=shapes)
    if chance < 0.37:  # gaping shells
        shapes = {**WIDER, BodyClass.EMPTY: OPEN}
        return Plan(BodyClass.EMPTY, u(0.02, 0.25), u(0, 0.4), u(0, 0.12), long, shapes=shapes)
    if chance < 0.42:  # discs without anything inside, out of focus
        shapes, blurred = {**WIDER, egg: PLAIN}, (0.03, 0.19)
        share, sticky = u(0.02, 0.3), u(0, 0.3)
        return Plan(egg, share, sticky, 0.0, long, shapes=shapes, plain=True, blurred=blurred)
    first = BodyClass(int(rng.choice(4, p=[0.2, 0.55, 0.1, 0.15])))
    if chance < 0.47:  # whole bodies that touch, without overlap, and are as many as they look
        kind = BodyClass.EGG if rng.random() < 0.5 else BodyClass.LARVA
        shapes = {**WIDER, BodyClass.EGG: WHOLE}
        return Plan(kind, u(0.05, 0.4), u(0.7, 1), u(0, 0.06), min(long, u(14, 70)), shapes=shapes)
    if chance < 0.56:  # litter alone
        return Plan(first, 0.0, 0.0, 0.0, long, shapes=WIDER, heavy=u(1, 3))
    if chance < 0.78:  # a few bodies in much litter
        share, sticky, deepest = u(0.01, 0.2), u(0, 0.5), u(0, 0.15)
        return Plan(first, share, sticky, deepest, long, shapes=WIDER, heavy=u(1, 2.5))
    usual = any_plan(rng)
    return Plan(**{**vars(usual), "shapes": WIDER})


KINDS: tuple[tuple[Painter, float, int], ...] = (
    (creatures.ciliate, 4.0, 9),
    (creatures.rotifer, 0.7, 3),
    (creatures.nauplius, 0.7, 3),
    (grains.air, 3.2, 9),
    (grains.foam, 1.2, 3),
    (grains.pellet, 1.2, 8),
    (grains.lump, 2.0, 7),
    (grains.crystal, 1.0, 8),
    (grains.shell_piece, 0.5, 8),
    (grains.diatom, 1.2, 10),
    (grains.pollen, 0.7, 6),
    (grains.threads, 1.0, 5),
    (litter.flake, 1.5, 14),
    (litter.crumb, 2.0, 14),
    (litter.cloud, 0.7, 6),
    (litter.alga, 1.2, 30),
    (litter.fibre, 0.5, 3),
    (litter.ghost, 2.8, 8),
    (litter.drop, 0.7, 8),
)
"""Each kind of litter, how often it is chosen, how many of it there are at most."""


def scatter(
    canvas: Floats, rng: np.random.Generator, tex: Textures, plan: Plan, fine: int = 2
) -> list[Place]:
    """Strew litter, most of it about as large as the bodies; return places on bubbles' rims."""
    perches: list[Place] = []
    if plan.share and plan.first in SHELLED and rng.random() < 0.4:
        _beside_shells(canvas, rng, tex, plan.long * fine / 2)
    if plan.heavy == 1.0 and rng.random() < 0.25:
        return perches
    chances = np.array([share for _, share, _ in KINDS])
    for which in rng.choice(len(KINDS), int(rng.integers(1, 5)), p=chances / chances.sum()):
        put, _, most = KINDS[int(which)]
        count = rng.uniform(0, most) * plan.heavy * rng.choice([0.35, 1.0])
        for _ in range(1 + int(count)):
            half = _size(rng, plan.long * fine / 2)
            x, y = (float(value) for value in rng.uniform(-0.05, 1.05, 2) * len(canvas))
            if put is grains.foam:
                half = min(half, 40.0)
            put(canvas, (x, y), half, rng, tex)
            if put is grains.air and half > 12:
                turn, far = rng.uniform(0, 2 * np.pi), half * rng.uniform(0.85, 1.4)
                perches.append((float(x + far * np.cos(turn)), float(y + far * np.sin(turn))))
    return perches


def _beside_shells(canvas: Floats, rng: np.random.Generator, tex: Textures, body: float) -> None:
    """Bare ciliates among larvae of this half length."""
    for _ in range(int(rng.integers(1, 9))):
        half = body * float(np.exp(rng.uniform(np.log(0.35), np.log(1.2))))
        x, y = (float(value) for value in rng.uniform(-0.05, 1.05, 2) * len(canvas))
        creatures.bare(canvas, (x, y), half, rng, tex)


def _size(rng: np.random.Generator, body: float) -> float:
    """Half a length: 0.3 to 1.5 of a body's, or anything."""
    low, high = (0.3 * body, 1.5 * body) if rng.random() < 0.7 else (2.0, 110.0)
    return float(np.clip(np.exp(rng.uniform(np.log(low), np.log(high))), 1.5, 130.0))


OVER: tuple[Painter, ...] = (
    litter.flake,
    litter.flake,
    grains.lump,
    litter.alga,
    litter.cloud,
    grains.threads,
    grains.pellet,
    grains.diatom,
)


def cover(
    canvas: Floats,
    bodies: Sequence[tuple[Place, float]],
    rng: np.random.Generator,
    tex: Textures,
) -> None:
    """Put litter on and beside some bodies, given by their centres and half lengths in pixels."""
    for (x, y), half in bodies[:20]:
        if rng.random() < 0.5:
            continue
        put = OVER[int(rng.integers(len(OVER)))]
        turn, far = rng.uniform(0, 2 * np.pi), half * rng.uniform(0.5, 1.5)
        where = (float(x + far * np.cos(turn)), float(y + far * np.sin(turn)))
        put(canvas, where, float(half * rng.uniform(0.12, 0.6)), rng, tex)
