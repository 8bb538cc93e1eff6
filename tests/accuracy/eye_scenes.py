"""Kinds of scene on which the finders are measured, written apart from what was learnt from.

The network learns from :mod:`counter.imaging.learn`; these scenes are drawn by
:mod:`counter.imaging.draw`, which shares no line with it.
"""

from __future__ import annotations

from collections.abc import Callable

from numpy.random import Generator

from counter.domain.species import TargetKind
from counter.imaging.draw.settings import (
    Camera,
    Contrast,
    Group,
    Kind,
    Light,
    Rulings,
    RulingStyle,
    SceneSettings,
)

Maker = Callable[[Generator], SceneSettings]
GREY = (0.62, 0.62, 0.62)


def _groups(rng: Generator, *parts: tuple[Kind, int, int]) -> tuple[Group, ...]:
    return tuple(Group(kind, int(rng.integers(low, high + 1))) for kind, low, high in parts)


def _scene(population: tuple[Group, ...], um_per_px: float = 1.24, **more: object) -> SceneSettings:
    size = {"width_px": 1100, "height_px": 820} | more
    return SceneSettings(um_per_px=um_per_px, population=population, **size)  # type: ignore[arg-type]


def _some_dirt(rng: Generator) -> tuple[Group, ...]:
    return _groups(rng, (Kind.DEBRIS, 0, 5), (Kind.ALGA, 0, 12))


def d_hinge(rng: Generator) -> SceneSettings:
    return _scene(_groups(rng, (Kind.D_HINGE, 10, 25)) + _some_dirt(rng))


def umbo(rng: Generator) -> SceneSettings:
    return _scene(_groups(rng, (Kind.UMBO, 6, 14)) + _some_dirt(rng))


def late(rng: Generator) -> SceneSettings:
    return _scene(_groups(rng, (Kind.EYED, 2, 5), (Kind.PEDIVELIGER, 2, 5)) + _some_dirt(rng))


def mixed(rng: Generator) -> SceneSettings:
    parts = ((Kind.D_HINGE, 4, 9), (Kind.UMBO, 3, 7), (Kind.EYED, 1, 2), (Kind.ON_SIDE, 1, 3))
    return _scene(_groups(rng, *parts) + _some_dirt(rng))


def trochophore(rng: Generator) -> SceneSettings:
    return _scene(_groups(rng, (Kind.TROCHOPHORE, 8, 20)) + _some_dirt(rng))


def empty_shells(rng: Generator) -> SceneSettings:
    return _scene(_groups(rng, (Kind.EMPTY_SHELL, 3, 8), (Kind.D_HINGE, 4, 10)))


def eggs(rng: Generator) -> SceneSettings:
    parts = ((Kind.EGG, 10, 25), (Kind.POLAR_BODY, 3, 8), (Kind.TWO_CELLS, 2, 5))
    cleaved = ((Kind.FOUR_CELLS, 2, 5), (Kind.EIGHT_CELLS, 2, 5))
    violet = Light(colour=(0.55, 0.45, 0.8))
    return _scene(_groups(rng, *parts, *cleaved), light=violet)


def egg_clumps(rng: Generator) -> SceneSettings:
    return _scene(_groups(rng, (Kind.EGG, 30, 50)), crowding=0.8, overlap=0.02)


def touching(rng: Generator) -> SceneSettings:
    return _scene(_groups(rng, (Kind.D_HINGE, 24, 40)), crowding=0.8, overlap=0.03)


def overlapping(rng: Generator) -> SceneSettings:
    return _scene(_groups(rng, (Kind.UMBO, 10, 16)), crowding=0.7, overlap=0.25)


def crowded(rng: Generator) -> SceneSettings:
    return _scene(_groups(rng, (Kind.UMBO, 20, 28)), crowding=0.3, overlap=0.05, apart_um=2.0)


def bubbles(rng: Generator) -> SceneSettings:
    return _scene(_groups(rng, (Kind.D_HINGE, 8, 16), (Kind.BUBBLE, 6, 14)))


def debris(rng: Generator) -> SceneSettings:
    return _scene(_groups(rng, (Kind.D_HINGE, 6, 14), (Kind.DEBRIS, 20, 50), (Kind.FIBRE, 0, 3)))


def ciliates(rng: Generator) -> SceneSettings:
    return _scene(_groups(rng, (Kind.UMBO, 4, 8), (Kind.CILIATE, 6, 16), (Kind.ALGA, 20, 50)))


def dirt_only(rng: Generator) -> SceneSettings:
    parts = ((Kind.DEBRIS, 10, 40), (Kind.BUBBLE, 2, 6), (Kind.FIBRE, 0, 3), (Kind.CILIATE, 0, 5))
    return _scene(_groups(rng, *parts, (Kind.ALGA, 10, 40)))


def thin_rulings(rng: Generator) -> SceneSettings:
    lines = Rulings(
        width_um=float(rng.uniform(5, 12)),
        angle_deg=float(rng.uniform(-8, 8)),
        period_um=500.0,
        offset_um=(float(rng.uniform(0, 500)), float(rng.uniform(0, 500))),
    )
    return _scene(_groups(rng, (Kind.D_HINGE, 8, 18)), rulings=lines)


def wide_rulings(rng: Generator) -> SceneSettings:
    lines = Rulings(
        width_um=float(rng.uniform(25, 60)),
        angle_deg=float(rng.uniform(-45, 45)),
        style=RulingStyle.BRIGHT_GROOVES,
        offset_um=(float(rng.uniform(0, 1000)), float(rng.uniform(0, 1000))),
    )
    return _scene(_groups(rng, (Kind.UMBO, 5, 10), (Kind.D_HINGE, 3, 8)), rulings=lines)


def round_view(rng: Generator) -> SceneSettings:
    light = Light(round_field=float(rng.uniform(0.75, 0.95)), uneven=0.3)
    return _scene(_groups(rng, (Kind.UMBO, 5, 9), (Kind.D_HINGE, 4, 9)), light=light)


def dark_field(rng: Generator) -> SceneSettings:
    light = Light(contrast=Contrast.DARK_FIELD, colour=(0.03, 0.03, 0.04))
    return _scene(_groups(rng, (Kind.UMBO, 4, 8), (Kind.D_HINGE, 5, 10)), light=light)


def phase(rng: Generator) -> SceneSettings:
    light = Light(contrast=Contrast.PHASE, colour=GREY)
    return _scene(_groups(rng, (Kind.UMBO, 3, 7), (Kind.D_HINGE, 4, 10)), light=light)


def defocused(rng: Generator) -> SceneSettings:
    return _scene(_groups(rng, (Kind.D_HINGE, 6, 14), (Kind.UMBO, 2, 6)), defocus_um=14.0)


def noisy(rng: Generator) -> SceneSettings:
    camera = Camera(shot_noise=0.06, read_noise=0.02, jpeg_quality=40)
    return _scene(_groups(rng, (Kind.D_HINGE, 8, 16)), camera=camera)


def uneven(rng: Generator) -> SceneSettings:
    light = Light(uneven=0.65, vignette=0.5)
    return _scene(_groups(rng, (Kind.UMBO, 5, 10), (Kind.D_HINGE, 3, 8)), light=light)


def coarse(rng: Generator) -> SceneSettings:
    population = _groups(rng, (Kind.D_HINGE, 20, 40), (Kind.UMBO, 8, 16))
    return _scene(population, 3.4, width_px=760, height_px=560)


def fine(rng: Generator) -> SceneSettings:
    population = _groups(rng, (Kind.D_HINGE, 4, 8), (Kind.UMBO, 1, 3))
    return _scene(population, 0.62, width_px=1500, height_px=1100)


def grey_16_bit(rng: Generator) -> SceneSettings:
    return _scene(_groups(rng, (Kind.UMBO, 5, 10)), camera=Camera(bits=16, colour=False))


EGGS = frozenset({"eggs", "egg_clumps"})

KINDS: dict[str, Maker] = {
    maker.__name__: maker
    for maker in (
        d_hinge, umbo, late, mixed, trochophore, empty_shells, eggs, egg_clumps, touching,
        overlapping, crowded, bubbles, debris, ciliates, dirt_only, thin_rulings, wide_rulings,
        round_view, dark_field, phase, defocused, noisy, uneven, coarse, fine, grey_16_bit,
    )
}  # fmt: skip


def target_of_kind(kind: str) -> TargetKind:
    """What is counted on this kind of scene."""
    return TargetKind.EGGS if kind in EGGS else TargetKind.LARVAE
