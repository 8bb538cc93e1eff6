"""Outlines that cross their body at a tip are laid out to it; others stay as they are."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from counter.domain.catalogue import species
from counter.domain.progress import Silent
from counter.domain.species import TargetKind, target_of
from counter.imaging.measure import longest_px
from counter.imaging.outline import Refined, refine
from counter.imaging.photo import Photo
from counter.imaging.scene import Scene, free_points, prepare
from counter.imaging.short import carried_out

Floats = NDArray[np.float64]

LARVAE = target_of(species("eastern-oyster"), TargetKind.LARVAE)
UM_PER_PX = 1.5
RADIUS = 80.0
PLACE = np.array([220.0, 200.0])
TURNS = np.linspace(0, 2 * np.pi, 360, endpoint=False)
ROUND = np.column_stack([np.cos(TURNS), np.sin(TURNS)])
WATER, SHELL, RIM, FOOT = 200, 182, 70, 165
NARROW = 0.35
"""How far a tip reaches to either side, in radians: to where it stands out by 1/e of its height."""
RIM_PX = 5


def _pointed(tip: float) -> Floats:
    """A shell (360, 2) of this radius whose umbo stands out by ``tip`` of it."""
    out = 1 + tip * np.exp(-((np.angle(np.exp(1j * TURNS)) / NARROW) ** 2))
    return np.asarray(RADIUS * out[:, None] * ROUND)


def _scene(*shapes: tuple[Floats, int, int]) -> Scene:
    """Filled outlines on water, each with its tone and that of its rim."""
    picture = np.full((420, 560), WATER, np.uint8)
    for points, inside, rim in shapes:
        corners = [np.round(points * 16).astype(np.int32)]
        cv2.fillPoly(picture, corners, inside, cv2.LINE_AA, 4)
        cv2.polylines(picture, corners, True, rim, RIM_PX, cv2.LINE_AA, 4)
    noise = np.random.default_rng(8).normal(0, 1.5, picture.shape)
    soft = cv2.GaussianBlur(picture, (0, 0), 1.0) + noise
    pixels = np.clip(np.rint(soft), 0, 255).astype(np.uint8)
    return prepare(Photo(pixels).with_scale(UM_PER_PX), LARVAE, Silent())


def _laid(outlines: Floats, scene: Scene) -> Refined:
    rough = scene.copy.from_full(outlines)
    free = free_points(rough, scene)
    return refine(list(rough), list(free), scene.photo.pixels, scene.copy, scene.flat)


def _both(scene: Scene, *rough: Floats) -> tuple[Refined, Refined]:
    """What is refined from rough outlines, and that with what ends short laid further out."""
    refined = _laid(np.stack(rough), scene)
    return refined, carried_out(refined, lambda further: _laid(further, scene), scene)


@pytest.mark.parametrize("tip", [0.2, 0.25])
def test_a_pointed_umbo_is_measured_to_its_tip(tip: float) -> None:
    """A round outline passes it, along no rim. The shell's rim is drawn astride its outline."""
    true = PLACE + _pointed(tip)
    scene = _scene((true, SHELL, RIM))
    short, whole = _both(scene, PLACE + RADIUS * ROUND)
    length = longest_px(true[None])[0] + RIM_PX
    assert longest_px(short.outlines)[0] < 0.95 * length
    assert longest_px(whole.outlines)[0] == pytest.approx(length, rel=0.015)


def test_in_a_dark_field_too() -> None:
    true = PLACE + _pointed(0.25)
    night = np.array([[-9.0, -9], [600, -9], [600, 500], [-9, 500]])
    scene = _scene((night, 20, 20), (true, 45, 190))
    short, whole = _both(scene, PLACE + RADIUS * ROUND)
    length = longest_px(true[None])[0] + RIM_PX
    assert longest_px(short.outlines)[0] < 0.95 * length
    assert longest_px(whole.outlines)[0] == pytest.approx(length, rel=0.015)


def test_a_foot_is_none_of_the_shell() -> None:
    """The shell's rim goes on between it and the foot: that is where the shell ends."""
    foot = PLACE + 0.45 * RADIUS * ROUND * (2.2, 0.5) + (RADIUS, 0)
    scene = _scene((foot, FOOT, FOOT - 20), (PLACE + _pointed(0.0), SHELL, RIM))
    refined, whole = _both(scene, PLACE + RADIUS * ROUND)
    assert np.array_equal(whole.outlines, refined.outlines)


def test_a_neighbour_is_not_taken_in() -> None:
    """Two shells so near that no rim is seen between them keep an outline each."""
    apart = np.array([1.9 * RADIUS, 0])
    scene = _scene((PLACE + _pointed(0.0), SHELL, RIM), (PLACE + apart + _pointed(0.0), SHELL, RIM))
    refined, whole = _both(scene, PLACE + RADIUS * ROUND, PLACE + apart + RADIUS * ROUND)
    assert np.array_equal(whole.outlines, refined.outlines)


def test_where_there_are_no_bodies_nothing_is_laid() -> None:
    scene = _scene()
    refined = _laid(np.zeros((0, 32, 2)), scene)
    assert carried_out(refined, lambda further: _laid(further, scene), scene) is refined
