"""Invented hatcheries whose litter or light the finder as it ships is taken in by, and plain ones.

Each maker draws the settings of one field of its slides. The odd ones differ in what lies beside
the larvae; the plain ones hold what the finder is used to.
"""

from __future__ import annotations

from collections.abc import Callable

from numpy.random import Generator

from counter.imaging.draw.settings import (
    Camera,
    Contrast,
    Group,
    Kind,
    Light,
    SceneSettings,
)

Maker = Callable[[Generator], SceneSettings]


def _field(*groups: Group, **more: object) -> SceneSettings:
    size = {"width_px": 1100, "height_px": 820} | more
    return SceneSettings(um_per_px=1.24, population=groups, **size)  # type: ignore[arg-type]


def _some(rng: Generator, kind: Kind, low: int, high: int, *length_um: float) -> Group:
    lengths = (length_um[0], length_um[1]) if length_um else None
    return Group(kind, int(rng.integers(low, high)), lengths)


def _larvae(rng: Generator) -> tuple[Group, ...]:
    return (_some(rng, Kind.D_HINGE, 8, 14), _some(rng, Kind.UMBO, 0, 4))


def large_algae(rng: Generator) -> SceneSettings:
    """Feed cells as large as larvae."""
    return _field(*_larvae(rng), _some(rng, Kind.ALGA, 4, 10, 50.0, 95.0))


def algae_in_dark_field(rng: Generator) -> SceneSettings:
    """The same in dark field."""
    light = Light(contrast=Contrast.DARK_FIELD, colour=(0.03, 0.03, 0.04))
    algae = _some(rng, Kind.ALGA, 4, 10, 50.0, 95.0)
    return _field(_some(rng, Kind.D_HINGE, 8, 14), algae, light=light)


def large_eggs(rng: Generator) -> SceneSettings:
    """Eggs of another species, as large as D-hinge larvae."""
    return _field(*_larvae(rng), _some(rng, Kind.EGG, 4, 10, 52.0, 75.0))


def short_ciliates(rng: Generator) -> SceneSettings:
    """Ciliates as short and as wide as larvae."""
    return _field(*_larvae(rng), _some(rng, Kind.CILIATE, 6, 14, 52.0, 90.0))


def grey_phase(rng: Generator) -> SceneSettings:
    """Ciliates in phase contrast with a camera that sees no colour."""
    light = Light(contrast=Contrast.PHASE, colour=(0.6, 0.6, 0.6))
    groups = (_some(rng, Kind.D_HINGE, 8, 14), _some(rng, Kind.CILIATE, 6, 14, 52.0, 90.0))
    return _field(*groups, light=light, camera=Camera(colour=False))


def blurred_bubbles(rng: Generator) -> SceneSettings:
    """Bubbles through a lens that is never quite sharp."""
    groups = (_some(rng, Kind.D_HINGE, 8, 14), _some(rng, Kind.BUBBLE, 8, 16, 50.0, 110.0))
    return _field(*groups, defocus_um=14.0, camera=Camera(blur_px=2.5))


def compact_flakes(rng: Generator) -> SceneSettings:
    """Many flakes of the length of larvae."""
    groups = (_some(rng, Kind.D_HINGE, 6, 14), _some(rng, Kind.DEBRIS, 25, 50, 60.0, 140.0))
    return _field(*groups)


def plain(rng: Generator) -> SceneSettings:
    """Larvae, small algae, a few flakes."""
    return _field(*_larvae(rng), _some(rng, Kind.ALGA, 0, 12), _some(rng, Kind.DEBRIS, 0, 5))


def plain_phase(rng: Generator) -> SceneSettings:
    """The same in phase contrast."""
    light = Light(contrast=Contrast.PHASE, colour=(0.6, 0.6, 0.6))
    return _field(*_larvae(rng), _some(rng, Kind.ALGA, 0, 12), light=light)


def plain_noisy(rng: Generator) -> SceneSettings:
    """Through a poor camera."""
    camera = Camera(shot_noise=0.06, read_noise=0.02, jpeg_quality=40)
    return _field(*_larvae(rng), _some(rng, Kind.DEBRIS, 0, 12), camera=camera)


def later_stages(rng: Generator) -> SceneSettings:
    """What the same tank holds weeks later: umbo, eyed and foot-bearing larvae."""
    return _field(
        _some(rng, Kind.UMBO, 3, 7), _some(rng, Kind.EYED, 2, 5), _some(rng, Kind.PEDIVELIGER, 1, 4)
    )


def empty_shells(rng: Generator) -> SceneSettings:
    """Dead larvae, and some on their side."""
    return _field(_some(rng, Kind.EMPTY_SHELL, 5, 10), _some(rng, Kind.ON_SIDE, 2, 5))


def trochophores(rng: Generator) -> SceneSettings:
    """The day before: no shell yet."""
    return _field(_some(rng, Kind.TROCHOPHORE, 8, 16))


ODD: tuple[Maker, ...] = (
    large_algae, algae_in_dark_field, large_eggs, short_ciliates, grey_phase, blurred_bubbles,
    compact_flakes,
)  # fmt: skip
PLAIN: tuple[Maker, ...] = (plain, plain_phase, plain_noisy)
OTHER_DAYS: tuple[Maker, ...] = (later_stages, empty_shells, trochophores)
"""What a lens taught on D-hinge and umbo larvae may meet next."""
