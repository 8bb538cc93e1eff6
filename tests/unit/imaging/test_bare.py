"""Bodies without a shell among shelled larvae."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from counter.domain.catalogue import species
from counter.domain.progress import Silent
from counter.domain.species import TargetKind, target_of
from counter.imaging.bare import are_bare, is_soft_bodied
from counter.imaging.detect import detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, SceneSettings
from counter.imaging.judge import Traits
from counter.imaging.measure import Measures
from counter.imaging.net import CLASSES
from counter.imaging.photo import Photo
from counter.imaging.weighed import Weighed
from tests.unit.imaging.laid import Layer, with_laid

Floats = NDArray[np.float64]

LARVA = np.array([0.02, 0.9, 0.02, 0.06])
VAGUE = np.array([0.1, 0.5, 0.05, 0.35])
RIM = -0.5
EGG_UM = 85.0


def body(
    length_um: float,
    *,
    wide: float = 0.9,
    rim: float = RIM,
    looks: object = LARVA,
    fill: float | None = None,
    edge_px: float = 3.0,
    core: float = -0.2,
) -> Weighed:
    """A candidate of this length, width for its length, rim, shares of the classes, contrast inside
    (half of the rim's if not given), width of the edge and contrast of its middle."""
    fill = abs(rim) / 2 if fill is None else fill
    traits = Traits(40.0, wide, rim, 1.0, core, fill, 0.1, 0.8, 0.0, 1.0, 1.0)
    measures = Measures(length_um, wide * length_um, 0.7 * wide * length_um**2, 0.0, 0.0)
    classes = np.asarray(looks)
    assert classes.shape == (len(CLASSES),)
    return Weighed(np.zeros((72, 2)), False, edge_px, measures, traits, 0.95, classes, 0.98, 0.99)


LARVAE = [body(150), body(160), body(170), body(180)]
CILIATE = body(80, wide=0.7, rim=0.55 * RIM, looks=VAGUE)


def bare(*others: Weighed) -> list[bool]:
    """What is said of some candidates beside four shelled larvae."""
    found = are_bare([*LARVAE, *others], [False] * (len(LARVAE) + len(others)), EGG_UM)
    assert not found[: len(LARVAE)].any()
    return [bool(each) for each in found[len(LARVAE) :]]


def test_a_short_oblong_body_with_a_weak_rim_is_no_larva_of_these() -> None:
    assert bare(CILIATE, body(80, wide=0.6, rim=-0.55 * RIM, looks=VAGUE)) == [True, True]


@pytest.mark.parametrize(
    "other",
    [
        body(80, wide=0.7, looks=VAGUE),
        body(130, wide=0.7, rim=0.55 * RIM, looks=VAGUE),
        body(80, wide=0.95, rim=0.55 * RIM, looks=VAGUE),
        body(80, wide=0.55, rim=0.55 * RIM),
        replace(CILIATE, cut=True),
    ],
    ids=["strong rim", "long", "round", "the network sees its shell", "cut by the border"],
)
def test_what_differs_in_one_way_only_may_be_a_larva(other: Weighed) -> None:
    assert bare(other) == [False]


def test_a_sharp_body_with_hardly_a_rim_is_none_however_long_or_round() -> None:
    """A ciliate longer than the larvae, a round diatom that the network takes for a larva."""
    assert bare(body(220, wide=0.6, rim=0.4 * RIM), body(60, wide=1.0, rim=0.4 * RIM)) == [True] * 2


def test_a_body_that_the_border_cuts_has_a_rim_too() -> None:
    """What is seen of a ciliate has none."""
    assert bare(replace(body(110, wide=0.7, rim=0.4 * RIM), cut=True)) == [True]


@pytest.mark.parametrize(
    "other",
    [
        body(220, wide=0.6, rim=0.6 * RIM),
        body(150, rim=0.4 * RIM, edge_px=6.0),
        body(150, rim=0.4 * RIM, looks=np.array([0.0, 0.6, 0.35, 0.05])),
        replace(body(150, rim=0.49 * RIM), cut=True),
    ],
    ids=["some rim", "not as sharp", "perhaps an empty shell", "half a rim at the border"],
)
def test_a_weak_rim_alone_refuses_nothing(other: Weighed) -> None:
    assert bare(other) == [False]


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


def test_most_oval_eggs_beside_larvae_are_not_counted_and_all_larvae_are() -> None:
    """Four slides with eight D-hinge larvae and three eggs each, all of which used to count."""
    spare = 0
    for seed in (50, 52, 53, 54):
        scene = draw_scene(SLIDE, seed)
        eggs = [oval_egg(seed + more) for more in (0, 100, 200)]
        photo = Photo(with_laid(scene, seed, *eggs)).with_scale(1.24)
        marks = detect(photo, LARVAE_TARGET, Silent()).marks
        for truth in scene.truth:
            away = [np.hypot(each.x_px - truth.x_px, each.y_px - truth.y_px) for each in marks]
            assert min(away) < 20
        spare += len(marks) - 8
    assert spare <= 4


def test_small_larvae_among_their_like_are_no_eggs() -> None:
    """Where all are as short, or as dark inside, nothing tells an egg from a larva."""
    small = [body(60), body(58), body(62), body(55, fill=0.42, looks=EGG)]
    assert not are_bare(small, [False] * 4, EGG_UM).any()
    dark = [body(150, fill=0.4), body(160, fill=0.4), body(170, fill=0.4), small[-1]]
    assert not are_bare(dark, [False] * 4, EGG_UM).any()


def test_nothing_is_said_of_what_is_out_of_focus() -> None:
    found = are_bare([*LARVAE, CILIATE], [False] * len(LARVAE) + [True], EGG_UM)
    assert not found.any()


def test_two_larvae_are_too_few_to_tell() -> None:
    assert not are_bare([*LARVAE[:2], CILIATE], [False] * 3, EGG_UM).any()
    found = are_bare([*LARVAE[:3], CILIATE], [False] * 4, EGG_UM)
    assert found.tolist() == [False] * 3 + [True]


def test_an_empty_slide_has_no_bare_body() -> None:
    assert are_bare([], [], EGG_UM).shape == (0,)


def test_a_dark_body_with_a_thin_bare_edge_is_none_of_any_size() -> None:
    """Beside two shelled larvae already; the network took it for a larva."""
    ciliate = body(120, wide=0.7, rim=0.7 * RIM, edge_px=1.5)
    assert bare(ciliate) == [True]
    assert are_bare([*LARVAE[:2], ciliate], [False] * 3, EGG_UM).tolist() == [False, False, True]
    assert not are_bare([*LARVAE[:1], ciliate], [False] * 2, EGG_UM).any()


@pytest.mark.parametrize(
    "other",
    [
        body(120, rim=0.7 * RIM, edge_px=2.0),
        body(120, rim=0.9 * RIM, edge_px=1.5),
        body(120, rim=0.7 * RIM, edge_px=1.5, looks=np.array([0.0, 0.7, 0.25, 0.05])),
        body(120, rim=0.7 * RIM, edge_px=1.5, core=0.2),
    ],
    ids=["an edge as wide", "a rim as strong", "perhaps an empty shell", "bright"],
)
def test_a_thin_edge_alone_refuses_nothing(other: Weighed) -> None:
    assert bare(other) == [False]


def ciliate(**traits: float) -> Weighed:
    """A ciliate on a slide without larvae, but for some traits."""
    found = body(90, wide=0.75, rim=0.21, fill=0.14, edge_px=1.2)
    seen = {"symmetry": 0.05, "core": -0.14, **traits}
    return replace(found, closer=-0.5, traits=replace(found.traits, **seen))


def test_an_oblong_even_body_with_a_sharp_bare_edge_is_none_though_it_lies_alone() -> None:
    assert is_soft_bodied(ciliate())


@pytest.mark.parametrize(
    "other",
    [
        ciliate(symmetry=0.14),
        ciliate(core=0.14),
        ciliate(fill=0.11),
        ciliate(length_px=15.0),
        ciliate(texture=0.02),
        replace(ciliate(), edge_px=1.8),
        replace(ciliate(), closer=2.1),
        replace(ciliate(), closer=None),
        replace(ciliate(), cut=True),
        replace(ciliate(), measures=body(90, wide=0.88).measures),
    ],
    ids=[
        "something inside", "bright", "paler inside", "a coarse picture", "smooth",
        "not as sharp",
        "the closer look sees a larva", "not looked at closer", "cut", "round as trochophores",
    ],
)  # fmt: skip
def test_what_differs_from_a_soft_body_in_one_way_may_be_a_larva(other: Weighed) -> None:
    assert not is_soft_bodied(other)
