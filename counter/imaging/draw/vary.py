"""Settings drawn at random over all that a bench may see: for training and for hard tests."""

from __future__ import annotations

import numpy as np
from numpy.random import Generator, SeedSequence, default_rng

from counter.imaging.draw.settings import (
    EGGS,
    LARVAE,
    USUAL_LENGTH_UM,
    Camera,
    Contrast,
    Group,
    Kind,
    Light,
    Rulings,
    RulingStyle,
    SceneSettings,
)

VARIED = (*(kind for kind in LARVAE if kind is not Kind.OPEN_SHELL), *EGGS)
"""What varied settings count by themselves; open shells came later, and would change every draw."""

_BACKGROUNDS = (
    (0.80, 0.80, 0.77),
    (0.86, 0.72, 0.47),
    (0.74, 0.80, 0.86),
    (0.84, 0.80, 0.84),
    (0.62, 0.70, 0.58),
    (0.92, 0.92, 0.90),
)
_DARK = (0.030, 0.034, 0.045)
_GREY = (0.50, 0.52, 0.50)


def varied_settings(
    seed: int,
    width_px: int = 640,
    height_px: int = 480,
    kinds: tuple[Kind, ...] = VARIED,
) -> SceneSettings:
    """Return settings that hang on ``seed`` alone, with one to three of ``kinds`` to count.

    Scale, light, contrast, camera, rulings, crowding, focus and litter vary over what hatchery
    microscopes show. The scale is such that the smallest kind is 24 to 90 px long, and the number
    of objects covers up to a third of the picture.
    """
    # A stream of its own, apart from the streams that draw_scene takes from the same seed.
    rng = default_rng(SeedSequence([seed, 7]))
    chosen = [kinds[i] for i in rng.choice(len(kinds), min(len(kinds), int(rng.integers(1, 4))))]
    smallest_um = min(USUAL_LENGTH_UM[kind][0] for kind in chosen)
    um_per_px = float(np.clip(smallest_um / rng.uniform(24.0, 90.0), 0.3, 5.0))
    area_um2 = width_px * height_px * um_per_px**2
    return SceneSettings(
        width_px,
        height_px,
        um_per_px,
        (*_counted(chosen, area_um2, rng), *_litter(area_um2, rng)),
        light=_light(rng),
        camera=_camera(rng),
        rulings=_rulings(width_px * um_per_px, rng) if rng.random() < 0.3 else None,
        crowding=float(rng.choice([0.0, 0.1, 0.5])),
        overlap=float(rng.uniform(0.0, 0.12)),
        apart_um=float(rng.uniform(0.0, 12.0)),
        defocus_um=float(rng.choice([0.0, 3.0, 8.0, 20.0])),
        beyond_um=float(rng.choice([0.0, 150.0])),
    )


def _counted(chosen: list[Kind], area_um2: float, rng: Generator) -> list[Group]:
    """Groups that together cover up to a third of the area."""
    room_um2 = area_um2 * rng.uniform(0.02, 0.33) / len(chosen)
    groups = []
    for kind in chosen:
        body_um2 = np.pi / 4 * USUAL_LENGTH_UM[kind][1] ** 2
        groups.append(Group(kind, int(np.clip(rng.poisson(room_um2 / body_um2), 0, 150))))
    return groups


def _litter(area_um2: float, rng: Generator) -> list[Group]:
    """Debris, algae, ciliates, bubbles and fibres, from a clean drop to a dirty one."""
    mm2 = area_um2 * 1e-6
    dirt = float(rng.choice([0.0, 0.3, 1.0, 2.5]))
    usual = {Kind.DEBRIS: 4.0, Kind.ALGA: 12.0, Kind.CILIATE: 0.7, Kind.BUBBLE: 0.4}
    groups = [
        Group(kind, int(min(rng.poisson(dirt * number * mm2), 60)))
        for kind, number in usual.items()
    ]
    return [*groups, Group(Kind.FIBRE, int(rng.random() < 0.15 * dirt))]


def _light(rng: Generator) -> Light:
    contrast = rng.choice(list(Contrast), p=[0.7, 0.2, 0.1])
    colour = {
        Contrast.BRIGHT_FIELD: _BACKGROUNDS[int(rng.integers(len(_BACKGROUNDS)))],
        Contrast.DARK_FIELD: _DARK,
        Contrast.PHASE: _GREY,
    }[Contrast(contrast)]
    bright = rng.uniform(0.75, 1.08, 3) * rng.uniform(0.8, 1.0)
    red, green, blue = (float(min(c * b, 0.97)) for c, b in zip(colour, bright, strict=True))
    return Light(
        Contrast(contrast),
        (red, green, blue),
        uneven=float(rng.uniform(0.0, 0.45)),
        vignette=float(rng.uniform(0.0, 0.35)),
        round_field=float(rng.uniform(0.7, 1.1)) if rng.random() < 0.15 else None,
    )


def _camera(rng: Generator) -> Camera:
    return Camera(
        blur_px=float(rng.uniform(0.4, 1.8)),
        shot_noise=float(rng.uniform(0.0, 0.04)),
        read_noise=float(rng.uniform(0.0, 0.015)),
        jpeg_quality=int(rng.integers(55, 96)) if rng.random() < 0.5 else None,
        colour=bool(rng.random() < 0.7),
    )


def _rulings(width_um: float, rng: Generator) -> Rulings:
    period_um = float(rng.choice([50.0, 200.0, 250.0, 1000.0]))
    period_um = max(period_um, width_um / 12)
    style = RulingStyle(rng.choice(list(RulingStyle)))
    wide = (
        rng.uniform(20.0, 40.0) if style is RulingStyle.BRIGHT_GROOVES else rng.uniform(3.0, 10.0)
    )
    return Rulings(
        period_um,
        float(min(wide, period_um / 5)),
        float(rng.uniform(-45.0, 45.0)),
        (float(rng.uniform(0, period_um)), float(rng.uniform(0, period_um))),
        style,
        float(rng.uniform(0.25, 0.8)),
        crossed=bool(rng.random() < 0.8),
    )
