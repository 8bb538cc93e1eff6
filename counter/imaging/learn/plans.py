"""What a training patch is to show: mostly anything, now and then what is known to be hard."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from counter.imaging.learn.body_looks import SHAPES, BodyClass, Shapes

SMALLEST, LARGEST = 9.0, 120.0
"""Bodies' lengths in pixels of a patch."""


@dataclass(frozen=True)
class Plan:
    """What a patch is to show: ``first`` the commonest class, ``share`` of the area covered by
    bodies, ``sticky`` how often a body is put beside another, ``deepest`` how far into it (of the
    smaller one's length), ``long`` the commonest length in pixels, ``ruled`` how often there are
    rulings, ``dark`` whether it is a dark field for certain, ``bright`` whether the bodies are
    single bright cells, ``shapes`` the shapes of each class, ``plain`` whether the bodies have
    nothing inside, ``blurred`` the least and most share of half its length by which each is blurred
    (none: by chance), ``heavy`` how much more litter there is than usual.
    """

    first: BodyClass
    share: float
    sticky: float
    deepest: float
    long: float
    ruled: float = 0.22
    dark: bool = False
    bright: bool = False
    shapes: Shapes = field(default_factory=lambda: SHAPES)
    plain: bool = False
    blurred: tuple[float, float] | None = None
    heavy: float = 1.0


def any_plan(rng: np.random.Generator) -> Plan:
    """Draw what a patch is to show: mostly anything, now and then what is known to be hard."""
    u = rng.uniform
    long = float(np.exp(u(np.log(SMALLEST), np.log(LARGEST))))
    chance = rng.random()
    if chance < 0.06:  # embryos in heaps
        kind = BodyClass.EGG if rng.random() < 0.5 else BodyClass.OTHER
        return Plan(kind, u(0.1, 0.5), 0.9, u(0, 0.12), u(14, 80), dark=rng.random() < 0.7)
    if chance < 0.13:  # single cells on a counting chamber
        return Plan(BodyClass.OTHER, u(0.02, 0.3), 0.0, 0.0, u(9, 32), 0.7, bright=True)
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
