"""Drawn scenes of each kind, small enough for tests, and what is looked for on them."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from counter.domain.catalogue import species
from counter.domain.species import Target, TargetKind, target_of
from counter.imaging.draw.scene import draw_scene
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
from counter.imaging.draw.truth import Scene

OYSTER = "eastern-oyster"


@dataclass(frozen=True, slots=True)
class Setting:
    """A kind of scene: how it is drawn and whether larvae or eggs are looked for on it."""

    settings: SceneSettings
    kind: TargetKind = TargetKind.LARVAE


def _field(*population: Group, **rest: object) -> SceneSettings:
    size: dict[str, object] = {"width_px": 900, "height_px": 680, **rest}
    return SceneSettings(population=population, **size)  # type: ignore[arg-type]


YOUNG = (Group(Kind.D_HINGE, 9), Group(Kind.UMBO, 3))

KINDS: dict[str, Setting] = {
    "d-hinge": Setting(_field(Group(Kind.D_HINGE, 12))),
    "umbo": Setting(_field(Group(Kind.UMBO, 6))),
    "late": Setting(_field(Group(Kind.EYED, 2), Group(Kind.PEDIVELIGER, 2), width_px=1100)),
    "eggs": Setting(
        _field(
            Group(Kind.EGG, 14), Group(Kind.POLAR_BODY, 4), Group(Kind.FOUR_CELLS, 4), um_per_px=0.9
        ),
        TargetKind.EGGS,
    ),
    "crowded": Setting(_field(Group(Kind.D_HINGE, 40), crowding=0.5, overlap=0.03, apart_um=3)),
    "crowded eggs": Setting(
        _field(Group(Kind.EGG, 80), crowding=0.5, overlap=0.03, apart_um=2, um_per_px=0.9),
        TargetKind.EGGS,
    ),
    "overlapped": Setting(_field(Group(Kind.UMBO, 8), crowding=0.8, overlap=0.25)),
    "litter": Setting(
        _field(*YOUNG, Group(Kind.DEBRIS, 12), Group(Kind.ALGA, 20), Group(Kind.FIBRE, 2))
    ),
    "bubbles": Setting(_field(*YOUNG, Group(Kind.BUBBLE, 8))),
    "ciliates": Setting(_field(*YOUNG, Group(Kind.CILIATE, 5))),
    "dead": Setting(_field(Group(Kind.ON_SIDE, 5), Group(Kind.EMPTY_SHELL, 5))),
    "thin rulings": Setting(_field(*YOUNG, rulings=Rulings(period_um=500, angle_deg=7))),
    "bright grooves": Setting(
        _field(
            *YOUNG,
            rulings=Rulings(
                period_um=500, angle_deg=-18, width_um=30, style=RulingStyle.BRIGHT_GROOVES
            ),
        )
    ),
    "round field": Setting(_field(*YOUNG, light=Light(round_field=0.75))),
    "dark field": Setting(_field(*YOUNG, light=Light(contrast=Contrast.DARK_FIELD))),
    "phase": Setting(_field(*YOUNG, light=Light(contrast=Contrast.PHASE))),
    "uneven": Setting(
        _field(*YOUNG, light=Light(colour=(0.62, 0.55, 0.8), uneven=0.5, vignette=0.3))
    ),
    "noisy": Setting(
        _field(
            *YOUNG,
            camera=Camera(blur_px=1.2, shot_noise=0.05, read_noise=0.02, jpeg_quality=50),
        )
    ),
    "16 bits": Setting(_field(*YOUNG, camera=Camera(bits=16, colour=False))),
}

DIRT = Setting(
    _field(
        Group(Kind.DEBRIS, 18), Group(Kind.ALGA, 40), Group(Kind.FIBRE, 3), Group(Kind.BUBBLE, 2)
    )
)


def target_for(setting: Setting) -> Target:
    """Return what is looked for on a kind of scene, with the species' own limits."""
    return target_of(species(OYSTER), setting.kind)


@cache
def scene(name: str, seed: int) -> Scene:
    """Draw a scene of this kind; drawn once for all tests of a run."""
    setting = DIRT if name == "dirt" else KINDS[name]
    return draw_scene(setting.settings, seed)
