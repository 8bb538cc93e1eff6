"""Thick air bubbles, by what is seen of them and on a drawn slide with other things beside."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from counter.domain.catalogue import species
from counter.domain.progress import Silent
from counter.domain.species import TargetKind, target_of
from counter.imaging.bubbles import is_bubble, is_ring
from counter.imaging.detect import detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, SceneSettings
from counter.imaging.judge import Traits
from counter.imaging.measure import Measures
from counter.imaging.photo import Photo
from counter.imaging.weighed import Weighed
from tests.unit.imaging.laid import Layer, with_laid

Floats = NDArray[np.float64]

LARVAE = target_of(species("eastern-oyster"), TargetKind.LARVAE)
SLIDE = SceneSettings(
    width_px=900, height_px=420, population=(Group(Kind.D_HINGE, 8),), keep_inside=True
)
FINER = 4

THICK = Traits(60.0, 0.99, 0.98, 1.0, -0.36, 0.83, 0.01, 0.99, 0.0, 0.0, 1.0)
MEASURES = Measures(75.0, 74.0, 4300.0, 0.0, 0.0)
BUBBLE = Weighed(np.zeros((72, 2)), False, 2.0, MEASURES, THICK, 0.9, np.full(4, 0.25), 0.5, 0.9)


CLEAR = replace(BUBBLE, traits=replace(THICK, rim=0.69, core=0.08, fill=0.24))


def test_a_narrow_dark_ring_round_a_middle_brighter_than_the_water_is_a_bubble() -> None:
    assert is_bubble(CLEAR)


@pytest.mark.parametrize(
    "other",
    [
        replace(CLEAR, traits=replace(CLEAR.traits, core=-0.02)),
        replace(CLEAR, traits=replace(CLEAR.traits, core=0.4)),
        replace(CLEAR, traits=replace(CLEAR.traits, symmetry=0.9)),
        replace(CLEAR, traits=replace(CLEAR.traits, aspect=0.93)),
        replace(CLEAR, cut=True),
    ],
    ids=["a dark middle", "bright throughout", "something inside", "not round", "cut"],
)
def test_what_differs_from_a_clear_bubble_in_one_way_may_be_a_body(other: Weighed) -> None:
    assert not is_bubble(other)


def test_a_black_ring_with_a_bright_middle_is_a_bubble() -> None:
    assert is_bubble(BUBBLE)


@pytest.mark.parametrize(
    "other",
    [
        replace(BUBBLE, cut=True),
        replace(BUBBLE, traits=replace(THICK, fill=0.5)),
        replace(BUBBLE, traits=replace(THICK, core=-0.9)),
        replace(BUBBLE, traits=replace(THICK, core=0.36)),
        replace(BUBBLE, traits=replace(THICK, symmetry=0.8)),
        replace(BUBBLE, traits=replace(THICK, aspect=0.85)),
    ],
    ids=["cut", "not black", "a dark middle, like an egg's", "bright", "mottled", "oblong"],
)
def test_what_differs_in_one_way_is_none(other: Weighed) -> None:
    assert not is_bubble(other)


TURN = np.linspace(0, 2 * np.pi, 72, endpoint=False)


def _ring(bent: float = 0.0) -> Floats:
    """An outline (72, 2) round (60, 60): a circle, or with three corners."""
    away = 24 * (1 + bent * np.cos(3 * TURN))
    return np.column_stack([60 + away * np.cos(TURN), 60 + away * np.sin(TURN)])


RING = replace(
    BUBBLE,
    outline=_ring(),
    traits=replace(THICK, rim=-0.2, core=-0.03, fill=0.06, symmetry=0.2),
)


def test_a_thin_ring_round_nearly_nothing_is_no_larva() -> None:
    assert is_ring(RING)
    assert not is_bubble(RING)


@pytest.mark.parametrize(
    "other",
    [
        replace(RING, outline=_ring(0.02)),
        replace(RING, traits=replace(RING.traits, aspect=0.95)),
        replace(RING, traits=replace(RING.traits, fill=0.1)),
        replace(RING, cut=True),
    ],
    ids=["three corners", "longer than wide", "something inside", "cut"],
)
def test_what_differs_from_a_thin_ring_in_one_way_may_be_a_shell(other: Weighed) -> None:
    assert not is_ring(other)


def _disc(shape: tuple[int, ...], x: float, y: float, across: float, line: int = -1) -> Floats:
    """Where a disc (or its line) is, 0 to 1, drawn four times finer."""
    fine = np.zeros((FINER * shape[0], FINER * shape[1]), np.uint8)
    cv2.circle(fine, (round(FINER * x), round(FINER * y)), round(FINER * across / 2), 255, line)
    small = np.asarray(cv2.resize(fine, shape[1::-1], interpolation=cv2.INTER_AREA), np.float64)
    return np.asarray(cv2.GaussianBlur(small / 255, (0, 0), 0.8), np.float64)


def _bubble(shape: tuple[int, ...], x: float, y: float) -> Floats:
    return np.asarray(1 - 0.97 * (_disc(shape, x, y, 52) - _disc(shape, x, y, 17)))


def _diatom(shape: tuple[int, ...], x: float, y: float) -> Floats:
    light = 1 - 0.25 * _disc(shape, x, y, 48, FINER)
    for turn in (0.3, 2.4, 4.5):
        at = x + 10 * np.cos(turn), y + 10 * np.sin(turn)
        light *= 1 - 0.25 * _disc(shape, *at, 7)
    return np.asarray(light)


@pytest.mark.parametrize("layer", [_bubble, _diatom])
@pytest.mark.parametrize("seed", [51, 53, 54])
def test_bubbles_and_diatoms_beside_larvae_are_not_counted(seed: int, layer: Layer) -> None:
    """Eight D-hinge larvae and three bubbles (65 µm), or three thin-walled round diatoms (60 µm)
    with dark spots inside: eight marks, each on a larva."""
    scene = draw_scene(SLIDE, seed)
    marks = detect(
        Photo(with_laid(scene, seed, *[layer] * 3)).with_scale(1.24), LARVAE, Silent()
    ).marks
    assert len(marks) == 8
    for truth in scene.truth:
        assert min(np.hypot(each.x_px - truth.x_px, each.y_px - truth.y_px) for each in marks) < 20
