"""Crystals, by what is seen of them and on drawn slides with larvae beside them."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from counter.domain.catalogue import species
from counter.domain.progress import Silent
from counter.domain.species import TargetKind, target_of
from counter.imaging.crystals import is_crystal, straight_sides
from counter.imaging.detect import detect
from counter.imaging.draw.outlines import d_hinge, on_side, umbo
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, SceneSettings
from counter.imaging.judge import Traits
from counter.imaging.measure import Measures
from counter.imaging.photo import Photo
from counter.imaging.rays import evenly
from counter.imaging.weighed import Weighed
from tests.unit.imaging.laid import Layer, with_laid

Floats = NDArray[np.float64]

LARVAE = target_of(species("eastern-oyster"), TargetKind.LARVAE)
SLIDE = SceneSettings(
    width_px=900, height_px=420, population=(Group(Kind.D_HINGE, 8),), keep_inside=True
)
FINER = 4
CORNERS = np.array([0.0, 1.1, 2.3, 3.5, 4.9])
TURN = np.linspace(0, 2 * np.pi, 72, endpoint=False)
ROUND = np.column_stack([30 * np.cos(TURN), 24 * np.sin(TURN)])


def pentagon(tall: float = 0.8, across: float = 58.0, turn: float = 0.0) -> Floats:
    """Its corners (5, 2) round (0, 0)."""
    angle = CORNERS + turn
    return np.column_stack([np.cos(angle), tall * np.sin(angle)]) * across / 2


MARGIN = Traits(40.0, 0.8, -0.24, 1.0, -0.05, 0.15, 0.03, 0.9, 0.0, 0.0, 1.0)
MEASURES = Measures(75.0, 60.0, 3500.0, 0.0, 0.0)
HALF = np.linspace(0, np.pi, 40)
SIDED = evenly(  # three straight sides and a bow
    np.concatenate(
        [np.column_stack([25 * np.cos(HALF), 25 * np.sin(HALF)]), [(-25, -32), (25, -32)]]
    ),
    72,
)
CRYSTAL = Weighed(SIDED, False, 2.0, MEASURES, MARGIN, 0.9, np.full(4, 0.25), 0.9, 0.9)


def test_straight_sides_round_a_broad_even_margin_are_a_crystal() -> None:
    assert is_crystal(CRYSTAL)


@pytest.mark.parametrize(
    "other",
    [
        replace(CRYSTAL, cut=True),
        replace(CRYSTAL, outline=ROUND),
        replace(CRYSTAL, traits=replace(MARGIN, fill=0.11)),
        replace(CRYSTAL, traits=replace(MARGIN, core=-0.12)),
        replace(CRYSTAL, traits=replace(MARGIN, core=0.05)),
        replace(CRYSTAL, traits=replace(MARGIN, symmetry=0.4)),
        replace(CRYSTAL, classes=np.array([0.02, 0.9, 0.04, 0.04])),
    ],
    ids=["cut", "round", "a thin rim", "dark inside", "a bright middle", "mottled", "a larva"],
)
def test_what_differs_in_one_way_may_be_a_body(other: Weighed) -> None:
    assert not is_crystal(other)


@pytest.mark.parametrize("sides", [3, 4, 5, 6])
def test_the_sides_of_a_polygon_are_counted(sides: int) -> None:
    angle = 0.4 + 2 * np.pi * np.arange(sides) / sides
    outline = evenly(30 * np.column_stack([np.cos(angle), np.sin(angle)]), 72)
    assert straight_sides(outline) == sides
    assert straight_sides(7 * outline + 100) == sides


def test_a_round_outline_has_no_straight_side_and_shells_have_few() -> None:
    """A D its hinge and at most one beside it; a lens its flanks, an umbo its shoulders."""
    assert straight_sides(ROUND) == 0
    for seed in range(12):
        for outline, most in ((d_hinge, 2), (on_side, 2)):
            shape = outline(np.random.default_rng(seed))
            assert straight_sides(evenly(shape.points_um, 72)) <= most
        shell = umbo(np.random.default_rng(seed), 0.3)
        assert straight_sides(evenly(shell.points_um, 72)) <= 2


def crystal(tall: float, turn: float) -> Layer:
    """A crystal of about 70 µm with a margin of 12 µm, drawn four times finer."""

    def layer(shape: tuple[int, ...], x: float, y: float) -> Floats:
        fine = np.zeros((FINER * shape[0], FINER * shape[1]), np.uint8)
        corners = FINER * (pentagon(tall, turn=turn) + np.array([x, y]))
        cv2.fillPoly(fine, [np.round(corners).astype(np.int32)], 1)
        deep = cv2.distanceTransform(fine, cv2.DIST_L2, 5) / FINER
        taken = np.where(deep > 9.3, 0.04, 0.25) * fine
        small = cv2.resize(taken.astype(np.float32), shape[1::-1], interpolation=cv2.INTER_AREA)
        return np.asarray(1 - cv2.GaussianBlur(small, (0, 0), 0.8), np.float64)

    return layer


@pytest.mark.parametrize("seed", [51, 53, 54])
def test_crystals_beside_larvae_are_not_counted(seed: int) -> None:
    """Eight D-hinge larvae and three crystals: eight marks, each on a larva."""
    scene = draw_scene(SLIDE, seed)
    pixels = with_laid(scene, seed, crystal(0.8, 0.3), crystal(1.0, 2.0), crystal(0.7, 4.0))
    marks = detect(Photo(pixels).with_scale(1.24), LARVAE, Silent()).marks
    assert len(marks) == 8
    for truth in scene.truth:
        assert min(np.hypot(each.x_px - truth.x_px, each.y_px - truth.y_px) for each in marks) < 20


@pytest.mark.parametrize("um_per_px", [1.6, 3.0])
def test_ajar_shells_with_margins_as_broad_still_count(um_per_px: float) -> None:
    """Out of focus, or on a coarse picture, their rims are as broad and even as a crystal's."""
    groups = (Group(Kind.EMPTY_SHELL, 16), Group(Kind.D_HINGE, 8))
    settings = SceneSettings(
        700, 520, um_per_px, groups, defocus_um=25.0, keep_inside=True, apart_um=20.0
    )
    marks = detect(Photo(draw_scene(settings, 902).pixels).with_scale(um_per_px), LARVAE, Silent())
    assert len(marks.marks) >= 23


BOX = replace(
    CRYSTAL,
    outline=evenly(np.array([[-30.0, -30.0], [30.0, -30.0], [30.0, 30.0], [-30.0, 30.0]]), 72),
    traits=replace(MARGIN, rim=-0.3, core=-0.05, fill=0.1, symmetry=0.3),
    classes=np.array([0.05, 0.75, 0.15, 0.05]),
)


def test_four_straight_sides_all_round_are_a_crystal_whatever_its_margin() -> None:
    assert is_crystal(BOX)


@pytest.mark.parametrize(
    "other",
    [
        replace(BOX, cut=True),
        replace(BOX, outline=ROUND),
        replace(BOX, traits=replace(BOX.traits, fill=0.25)),
        replace(BOX, classes=np.array([0.01, 0.97, 0.01, 0.01])),
    ],
    ids=["cut", "round", "dark inside", "a larva"],
)
def test_what_differs_from_a_box_in_one_way_may_be_a_body(other: Weighed) -> None:
    assert not is_crystal(other)
