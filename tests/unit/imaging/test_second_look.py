"""Where a scale makes every body the wrong size, the second look sees what is there."""

from __future__ import annotations

import functools

import numpy as np
import pytest

from counter.domain.catalogue import species
from counter.domain.progress import Silent
from counter.domain.second_look import OtherSize
from counter.domain.species import TargetKind, target_of
from counter.imaging import net
from counter.imaging.detect import Detection, detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, SceneSettings
from counter.imaging.photo import Photo
from counter.imaging.scene import prepare
from counter.imaging.second_look import second_look

OYSTER = species("eastern-oyster")
LARVAE, EGGS = (target_of(OYSTER, kind) for kind in (TargetKind.LARVAE, TargetKind.EGGS))
LITTER = (Group(Kind.DEBRIS, 12), Group(Kind.ALGA, 25), Group(Kind.BUBBLE, 3), Group(Kind.FIBRE, 1))
SCENES = {
    "young": (Group(Kind.D_HINGE, 10), Group(Kind.ALGA, 6)),
    "late": (Group(Kind.EYED, 6), Group(Kind.ALGA, 6)),
    "eggs": (Group(Kind.EGG, 12), Group(Kind.TWO_CELLS, 3)),
    "dirt": LITTER,
    "hatched": (Group(Kind.UMBO, 8),),
}
UM_PER_PX = 1.6


@functools.cache
def pixels_of(name: str) -> Photo:
    """A drawn field."""
    wide = 2 if name == "late" else 1
    drawn = SceneSettings(560 * wide, 420 * wide, UM_PER_PX, SCENES[name])
    return Photo(draw_scene(drawn, 5).pixels)


def seen(name: str, times: float, target: object = LARVAE) -> Detection:
    """What is detected on a field whose scale is said to be ``times`` the right one."""
    assert target in (LARVAE, EGGS)
    photo = pixels_of(name).with_scale(UM_PER_PX * times)
    return detect(photo, EGGS if target == EGGS else LARVAE, Silent())


@pytest.mark.parametrize(
    ("name", "times", "target", "length_um", "bodies"),
    [
        ("young", 0.25, LARVAE, 18, 8),
        ("young", 0.4, LARVAE, 28, 8),
        ("young", 0.5, LARVAE, 35, 8),
        ("late", 2.0, LARVAE, 580, 5),
        ("eggs", 0.25, EGGS, 12.5, 11),
        ("eggs", 0.5, EGGS, 25, 11),
        ("eggs", 4.0, EGGS, 200, 11),
    ],
)
def test_bodies_of_another_size_are_seen(
    name: str, times: float, target: object, length_um: float, bodies: int
) -> None:
    """Nearly all of them, and how long they seem."""
    found = seen(name, times, target)
    assert len(found.marks) <= 3
    other = found.other_size
    assert other is not None
    assert other.bodies >= bodies
    assert (other.times > 1) is (times < 1)
    assert other.median_px * UM_PER_PX * times == pytest.approx(length_um, rel=0.12)


@pytest.mark.parametrize(
    ("name", "target"), [("young", LARVAE), ("eggs", EGGS), ("dirt", LARVAE), ("dirt", EGGS),
                         ("hatched", EGGS)],
)  # fmt: skip
def test_at_the_right_scale_nothing_is_said(name: str, target: object) -> None:
    """Of larvae and eggs, of dirt alone, and of hatched larvae where eggs are looked for."""
    other = seen(name, 1.0, target).other_size
    assert other is None or other.bodies <= 2


def test_who_gives_lengths_leaves_the_rest_out_on_purpose() -> None:
    """Late larvae only, on a slide of young ones."""
    late = target_of(OYSTER, TargetKind.LARVAE, (250.0, 400.0))
    scene = prepare(pixels_of("young").with_scale(UM_PER_PX), late, Silent())
    assert second_look(scene, late) is None


def test_without_the_network_nothing_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    """The older finder has no classes to be sure of."""

    def broken() -> object:
        raise net.NoNetworkError("gone")

    scene = prepare(pixels_of("young").with_scale(UM_PER_PX / 4), LARVAE, Silent())
    assert isinstance(second_look(scene, LARVAE), OtherSize)
    monkeypatch.setattr("counter.imaging.second_look.load", broken)
    assert second_look(scene, LARVAE) is None


def test_on_plain_water_there_is_nothing_at_any_size() -> None:
    """Not one place stands out: nothing is said, and nothing goes wrong."""
    plain = Photo(np.full((640, 900), 180, np.uint8)).with_scale(1.24)
    assert detect(plain, LARVAE, Silent()).other_size is None
