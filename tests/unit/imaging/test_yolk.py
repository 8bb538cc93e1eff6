"""Eggs among larvae: small bodies full of yolk."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from counter.domain.catalogue import species
from counter.domain.progress import Silent
from counter.domain.species import TargetKind, target_of
from counter.imaging.bare import are_bare
from counter.imaging.detect import detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, SceneSettings
from counter.imaging.photo import Photo
from counter.imaging.weighed import Weighed
from tests.unit.imaging.laid import Layer, with_laid
from tests.unit.imaging.weighing import EGG_UM, RIM, bare, body

Floats = NDArray[np.float64]

EGG = np.array([0.2, 0.6, 0.02, 0.18])


def test_a_small_round_body_as_dark_inside_as_at_its_rim_is_an_egg() -> None:
    assert bare(body(55, fill=0.42, looks=EGG)) == [True]


def test_a_smaller_one_may_be_oval_where_its_middle_is_pale() -> None:
    """As eggs are before their germinal vesicle breaks down."""
    assert bare(body(55, fill=0.42, looks=EGG, wide=0.75, core=-0.3)) == [True]


@pytest.mark.parametrize(
    "other",
    [
        body(55, fill=0.42, looks=EGG, wide=0.75, core=-0.36),
        body(55, fill=0.42, looks=EGG, wide=0.65, core=-0.3),
        body(80, fill=0.42, looks=EGG, wide=0.75, core=-0.3),
        body(55, fill=0.3, looks=EGG, wide=0.75, core=-0.3),
        body(55, fill=0.42, wide=0.75, core=-0.3, looks=np.array([0.01, 0.9, 0.02, 0.07])),
    ],
    ids=["a dark middle", "narrow", "longer", "lighter inside", "the network sees no egg"],
)
def test_what_differs_from_an_oval_egg_in_one_way_may_be_a_larva(other: Weighed) -> None:
    larvae = [body(80), body(85), body(90), body(95)]
    assert not are_bare([*larvae, other], [False] * 5, EGG_UM).any()


@pytest.mark.parametrize(
    "other",
    [
        body(55, fill=0.3, looks=EGG),
        body(55, fill=0.42),
        body(55, fill=0.42, wide=0.69, looks=EGG),
        body(100, fill=0.42, looks=EGG),
        body(55, fill=0.42, looks=np.array([0.12, 0.09, 0.02, 0.77])),
    ],
    ids=["lighter inside", "the network sees no egg", "not round", "longer than eggs", "naked"],
)
def test_what_differs_from_an_egg_in_one_way_may_be_a_larva(other: Weighed) -> None:
    assert bare(other) == [False]


SPOTS = 90
LARVAE_TARGET = target_of(species("eastern-oyster"), TargetKind.LARVAE)
SLIDE = SceneSettings(
    width_px=900,
    height_px=420,
    population=(Group(Kind.D_HINGE, 4, (76, 92)), Group(Kind.D_HINGE, 4, (64, 76))),
    keep_inside=True,
)


def oval_egg(seed: int) -> Layer:
    """An oval egg of 54 µm: dark granules in a grey body with a pale germinal vesicle."""

    def layer(shape: tuple[int, ...], x: float, y: float) -> Floats:
        draws = np.random.default_rng(seed)
        turn, half = draws.uniform(0, np.pi), np.array([22.0, 22.0 * draws.uniform(0.72, 0.8)])
        rows, columns = np.mgrid[: shape[0], : shape[1]]
        across, down = columns - x, rows - y
        away = np.hypot(
            (across * np.cos(turn) + down * np.sin(turn)) / half[0],
            (down * np.cos(turn) - across * np.sin(turn)) / half[1],
        )
        granules = np.zeros(shape)
        for _ in range(SPOTS):
            far, toward = 0.92 * np.sqrt(draws.random()), draws.uniform(0, 2 * np.pi)
            u, v = far * np.cos(toward) * half[0], far * np.sin(toward) * half[1]
            at = u * np.cos(turn) - v * np.sin(turn), u * np.sin(turn) + v * np.cos(turn)
            square = (across - at[0]) ** 2 + (down - at[1]) ** 2
            granules += draws.uniform(0.3, 1.0) * np.exp(-square / 1.6)
        inside = np.clip((1 - away) * 11 + 0.5, 0, 1)
        vesicle = 1 / (1 + np.exp(10 * away - 4))
        return np.asarray(1 - inside * (0.3 + 0.3 * granules).clip(0, 0.9) * (1 - 0.5 * vesicle))

    return layer


def spare_beside_larvae(seed: int, egg: Callable[[int], Layer]) -> int:
    """How many more marks than larvae a slide with eight D-hinge larvae and three such eggs gets.

    Every larva must be found.
    """
    scene = draw_scene(SLIDE, seed)
    eggs = [egg(seed + more) for more in (0, 100, 200)]
    photo = Photo(with_laid(scene, seed, *eggs)).with_scale(1.24)
    marks = detect(photo, LARVAE_TARGET, Silent()).marks
    for truth in scene.truth:
        away = [np.hypot(each.x_px - truth.x_px, each.y_px - truth.y_px) for each in marks]
        assert min(away) < 20
    assert len(scene.truth) == 8
    return len(marks) - len(scene.truth)


def test_most_oval_eggs_beside_larvae_are_not_counted_and_all_larvae_are() -> None:
    """Four slides, on which all eggs used to count."""
    assert sum(spare_beside_larvae(seed, oval_egg) for seed in (50, 52, 53, 54)) <= 4


def test_small_larvae_among_their_like_are_no_eggs() -> None:
    """Where all are as short, or as dark inside, nothing tells an egg from a larva."""
    small = [body(60), body(58), body(62), body(55, fill=0.42, looks=EGG)]
    assert not are_bare(small, [False] * 4, EGG_UM).any()
    dark = [body(150, fill=0.4), body(160, fill=0.4), body(170, fill=0.4), small[-1]]
    assert not are_bare(dark, [False] * 4, EGG_UM).any()


def ball(length_um: float = 55, across: float = 0.99, **more: float) -> Weighed:
    """A pale egg whose kind the network does not know, but for something."""
    seen = {"wide": 0.96, "rim": 0.8 * RIM, "fill": 0.3, "core": -0.25, "texture": 0.08}
    turn = np.linspace(0, 2 * np.pi, 72, endpoint=False)
    bent = 1 + (1 - across) * np.cos(3 * turn)
    outline = np.column_stack([20 * bent * np.cos(turn), 20 * bent * np.sin(turn)])
    found = body(length_um, **(seen | more))
    return replace(found, outline=outline)


def test_a_pale_ball_shorter_than_the_larvae_is_an_egg_whatever_the_network_sees() -> None:
    larvae = [body(80), body(85), body(90), body(95)]
    assert are_bare([*larvae, ball()], [False] * 5, EGG_UM).tolist() == [False] * 4 + [True]


@pytest.mark.parametrize(
    "other",
    [
        ball(across=0.9),
        ball(wide=0.88),
        ball(75),
        ball(fill=0.12),
        ball(core=0.1),
        ball(texture=0.12),
        replace(ball(), classes=np.array([0.02, 0.6, 0.3, 0.08])),
        replace(ball(), cut=True),
    ],
    ids=[
        "three corners", "narrower", "as long as the larvae", "clear", "bright", "patchy",
        "perhaps an empty shell", "cut",
    ],
)  # fmt: skip
def test_what_differs_from_a_ball_in_one_way_may_be_a_larva(other: Weighed) -> None:
    larvae = [body(80), body(85), body(90), body(95)]
    assert not are_bare([*larvae, other], [False] * 5, EGG_UM).any()


def yolky(length_um: float = 55, **more: float) -> Weighed:
    """A body full of yolk, but for something: its rim and inside are as dark as each other."""
    rim = more.pop("rim", 1.3 * RIM)
    seen = {"wide": 0.8, "fill": 0.9 * abs(rim), "core": 0.9 * rim, "texture": 0.14 * abs(rim)}
    return body(length_um, rim=rim, looks=EGG, **(seen | more))


def test_a_short_body_darker_than_every_shell_and_evenly_so_is_an_egg() -> None:
    """Round, oval, or of two cells; beside larvae as dark inside as they are, too."""
    eggs = [yolky(wide=wide) for wide in (0.97, 0.8, 0.62)]
    larvae = [body(length_um, fill=0.45) for length_um in (80, 85, 90, 95)]
    found = are_bare([*larvae, *eggs], [False] * 7, EGG_UM)
    assert found.tolist() == [False] * 4 + [True] * 3


@pytest.mark.parametrize(
    "other",
    [
        yolky(rim=1.1 * RIM),
        yolky(texture=0.21 * 1.3 * abs(RIM)),
        yolky(fill=0.7 * 1.3 * abs(RIM)),
        yolky(core=0.4),
        yolky(wide=0.58),
        yolky(75),
        replace(yolky(), classes=np.array([0.04, 0.8, 0.0, 0.16])),
        replace(yolky(), cut=True),
    ],
    ids=[
        "a shell's rim", "patchy", "paler inside", "bright", "a larva on its side",
        "as long as the larvae", "the network sees no egg", "cut",
    ],
)  # fmt: skip
def test_what_differs_from_yolk_in_one_way_may_be_a_larva(other: Weighed) -> None:
    larvae = [body(length_um, fill=0.45) for length_um in (80, 85, 90, 95)]
    assert not are_bare([*larvae, other], [False] * 5, EGG_UM).any()


def test_nothing_longer_than_the_longest_egg_is_full_of_yolk() -> None:
    assert bare(yolky(84), yolky(86)) == [True, False]


def two_cells(seed: int) -> Layer:
    """An egg of two cells, 56 µm long: so full of yolk that hardly any light comes through."""

    def layer(shape: tuple[int, ...], x: float, y: float) -> Floats:
        turn = np.random.default_rng(seed).uniform(0, np.pi)
        rows, columns = np.mgrid[: shape[0], : shape[1]]
        along = (columns - x) * np.cos(turn) + (rows - y) * np.sin(turn)
        across = (rows - y) * np.cos(turn) - (columns - x) * np.sin(turn)
        away = np.min([np.hypot((along - at) / 13.5, across / 14.5) for at in (-9, 9)], axis=0)
        grain = 0.05 * np.sin(along) * np.sin(1.3 * across)
        return np.asarray(1 - np.clip((1 - away) * 11 + 0.5, 0, 1) * (0.78 + grain))

    return layer


def test_dark_eggs_of_two_cells_beside_larvae_are_not_counted_and_all_larvae_are() -> None:
    """Two slides, on which most eggs used to count."""
    for seed in (50, 53):
        assert spare_beside_larvae(seed, two_cells) == 0
