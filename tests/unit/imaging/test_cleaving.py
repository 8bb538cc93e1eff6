"""Whole embryos are recognised from one cell of them, on drawn slides with known truth.

Truth is what was drawn; how a cleaving egg looks (unlike first cells, the polar lobe at the
trefoil) is common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest
from numpy.random import Generator
from numpy.typing import NDArray

from counter.domain.catalogue import species
from counter.domain.progress import Silent
from counter.domain.species import TargetKind, target_of
from counter.imaging.candidates import candidates
from counter.imaging.cleaving import Embryo, embryos
from counter.imaging.draw import outlines
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, SceneSettings
from counter.imaging.draw.shape import Shape
from counter.imaging.draw.truth import Scene, TruthObject
from counter.imaging.find import find
from counter.imaging.photo import Photo, Pixels
from counter.imaging.scene import prepare

Floats = NDArray[np.float64]

EGGS = target_of(species("eastern-oyster"), TargetKind.EGGS)
EGG_UM = 50.0
WIDTH_PX, HEIGHT_PX = 520, 430
RATIOS = (1.0, 0.8, 0.65, 0.5)
TURNS = np.arange(32) * 2 * np.pi / 32


def two_cells(ratio: float, volume: float = 1.0) -> Floats:
    """Two balls (2, 3), the smaller ``ratio`` times as wide, that hardly touch.

    Together they have the ``volume`` of an egg, in eggs of :data:`EGG_UM`; x, y, radius in µm.
    """
    large = EGG_UM / 2 * (volume / (1 + ratio**3)) ** (1 / 3)
    small = ratio * large
    apart = 0.92 * (large + small)
    waist = (apart**2 + large**2 - small**2) / (2 * apart)
    return np.array([(-waist, 0.0, large), (apart - waist, 0.0, small)])


TREFOIL = np.array([(0.0, 0.0, 17.5), (-28.0, 0.0, 16.0), (14.0, 24.0, 13.0)])
CLOVER = np.array([(-15.0, 0.0, 17.5), (15.0, 0.0, 17.5), (0.0, 22.0, 15.0)])


def drawn(monkeypatch: pytest.MonkeyPatch, balls: Floats, eggs: int = 5, seed: int = 3) -> Scene:
    """A slide with three bodies of these balls among eggs of about :data:`EGG_UM`."""
    shape = Shape(outlines._discs_radius(balls))

    def cleaved(_rng: Generator, _cells: int) -> tuple[Shape, Floats]:
        return shape, balls

    monkeypatch.setattr(outlines, "cleaving", cleaved)
    length_um = shape.feret_um[0]
    groups = (
        Group(Kind.TWO_CELLS, 3, (length_um, length_um + 1e-6)),
        Group(Kind.EGG, eggs, (EGG_UM - 1, EGG_UM + 1)),
    )
    setting = SceneSettings(
        width_px=WIDTH_PX,
        height_px=HEIGHT_PX,
        um_per_px=0.9,
        population=groups,
        keep_inside=True,
        apart_um=30,
    )
    return draw_scene(setting, seed)


def with_membranes(scene: Scene, faint: float = 0.12) -> Pixels:
    """The picture with a thin round membrane around every embryo, as after fertilisation."""
    finer = 4
    size = (finer * scene.pixels.shape[1], finer * scene.pixels.shape[0])
    rings = np.zeros(size[::-1], np.uint8)
    for each in embryos_of(scene):
        middle = (np.ptp(each.outline_px, axis=0) / 2 + np.min(each.outline_px, axis=0)) * finer
        radius = 0.56 * each.length_um / scene.um_per_px * finer
        place = np.round(middle).astype(int).tolist()
        cv2.circle(rings, place, round(radius), 255, finer, cv2.LINE_AA)
    light = cv2.resize(
        1 - faint * rings / 255.0, scene.pixels.shape[1::-1], None, 0, 0, cv2.INTER_AREA
    )
    return np.asarray(np.round(scene.pixels * light[..., None]), np.uint8)


def embryos_of(scene: Scene) -> list[TruthObject]:
    return [each for each in scene.truth if each.kind is Kind.TWO_CELLS]


def cells_of(scene: Scene, balls: Floats, number: int) -> Floats:
    """Outlines (n, 32, 2) of one ball of each embryo, as the network gives them."""
    ring = 0.95 * balls[number, 2] * np.column_stack([np.cos(TURNS), np.sin(TURNS)])
    first = Shape(outlines._discs_radius(balls)).points_um[0]
    found = []
    for each in embryos_of(scene):
        turn = np.radians(each.angle_deg)
        turned = np.array([[np.cos(turn), np.sin(turn)], [-np.sin(turn), np.cos(turn)]])
        off_um = (balls[number, :2] - first) @ turned + ring
        found.append(each.outline_px[0] + off_um / scene.um_per_px)
    return np.stack(found)


def recognised(
    pixels: Pixels, scene: Scene, seen: Floats, egg_um: float | None = EGG_UM
) -> list[Embryo]:
    photo = Photo(pixels=pixels).with_scale(scene.um_per_px)
    prepared = prepare(photo, EGGS, Silent())
    return embryos(seen, np.ones(len(seen), bool), prepared, egg_um)


def overlap(one: Floats, other: Floats) -> float:
    """The share of two polygons' union that both hold."""
    masks = np.zeros((2, 4 * HEIGHT_PX, 4 * WIDTH_PX), np.uint8)
    for mask, polygon in zip(masks, (one, other), strict=True):
        cv2.fillPoly(mask, [np.round(4 * polygon).astype(np.int32)], 1)
    return float((masks[0] & masks[1]).sum() / (masks[0] | masks[1]).sum())


def agrees(found: list[Embryo], scene: Scene) -> bool:
    """Whether each embryo has one outline, within 5 % of its length, and no two the same."""
    wanted = embryos_of(scene)
    shares = np.array(
        [[overlap(own.outline, np.array(each.outline_px)) for own in found] for each in wanted]
    ).reshape(len(wanted), len(found))
    if len(found) != len(wanted) or not (shares.max(axis=0) > 0.9).all():
        return False
    lengths = [found[k].length_um for k in shares.argmax(axis=1)]
    return lengths == pytest.approx([each.length_um for each in wanted], rel=0.05)


@pytest.mark.parametrize("has_membrane", [False, True])
@pytest.mark.parametrize(
    ("ratio", "volume"), [*((each, 0.5) for each in RATIOS), (1.0, 1.0), (0.8, 1.0), (0.7, 1.0)]
)
def test_both_cells_are_recognised_from_either(
    monkeypatch: pytest.MonkeyPatch, ratio: float, volume: float, has_membrane: bool
) -> None:
    """From equal cells to one of half the other's width, of one egg's volume and of half of it: the
    whole is drawn around, not the membrane, and once where both cells are candidates. With an egg's
    volume, a cell beside one of half its width is as wide as many an egg, and is left."""
    balls = two_cells(ratio, volume)
    scene = drawn(monkeypatch, balls)
    pixels = with_membranes(scene) if has_membrane else scene.pixels
    larger, smaller = (cells_of(scene, balls, number) for number in (0, 1))
    assert agrees(recognised(pixels, scene, larger), scene)
    both = recognised(pixels, scene, np.concatenate([larger, smaller]))
    assert agrees(both, scene)
    assert sorted(cell for each in both for cell in each.cells) == [0, 1, 2, 3, 4, 5]


@pytest.mark.parametrize("has_membrane", [False, True])
def test_a_trefoil_is_recognised_from_one_lobe(
    monkeypatch: pytest.MonkeyPatch, has_membrane: bool
) -> None:
    """Two cells and a polar lobe."""
    scene = drawn(monkeypatch, TREFOIL)
    pixels = with_membranes(scene) if has_membrane else scene.pixels
    for number in (0, 1):
        assert agrees(recognised(pixels, scene, cells_of(scene, TREFOIL, number)), scene)


def test_where_few_eggs_are_seen_the_species_lengths_tell(monkeypatch: pytest.MonkeyPatch) -> None:
    """A slide of embryos alone: shorter than the shortest egg is each of their cells."""
    balls = two_cells(0.8, 0.5)
    scene = drawn(monkeypatch, balls, eggs=0)
    assert agrees(recognised(scene.pixels, scene, cells_of(scene, balls, 0), None), scene)


@pytest.mark.parametrize("wide_um", [EGG_UM, 42.0])
def test_two_whole_eggs_that_touch_stay_two(
    monkeypatch: pytest.MonkeyPatch, wide_um: float
) -> None:
    """Together they have the volume of two, also where both are as small as eggs may be."""
    balls = two_cells(1.0, 2 * (wide_um / EGG_UM) ** 3)
    scene = drawn(monkeypatch, balls)
    eggs = np.concatenate([cells_of(scene, balls, number) for number in (0, 1)])
    for seen in (eggs, eggs[:3]):
        assert recognised(scene.pixels, scene, seen, wide_um) == []


@pytest.mark.parametrize("ratio", [0.1, 0.2, 0.3])
def test_an_egg_and_what_is_small_beside_it_are_left(
    monkeypatch: pytest.MonkeyPatch, ratio: float
) -> None:
    """A polar body, or a clump of sperm: even where the egg is a small one."""
    balls = two_cells(ratio, 0.5)
    scene = drawn(monkeypatch, balls)
    assert recognised(scene.pixels, scene, cells_of(scene, balls, 0)) == []


def test_an_egg_and_paler_dirt_beside_it_are_left(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without its smaller cell, and with half of what that did to the light, none is whole."""
    balls = two_cells(0.65, 0.5)
    scene = drawn(monkeypatch, balls)
    assert len(recognised(scene.pixels, scene, cells_of(scene, balls, 0))) == 3
    water = np.median(scene.pixels.reshape(-1, 3), axis=0)
    paler = scene.pixels.astype(np.float64)
    for cell in cells_of(scene, balls, 1):
        mask = np.zeros(paler.shape[:2], np.uint8)
        cv2.fillPoly(mask, [np.round(cell).astype(np.int32)], 1)
        paler[mask > 0] = 0.5 * (paler[mask > 0] + water)
    pixels = np.asarray(np.round(paler), np.uint8)
    assert recognised(pixels, scene, cells_of(scene, balls, 0)) == []


def test_slippers_and_flakes_are_no_embryos() -> None:
    """What is oblong has no waist, what is ragged is no balls, whatever the network outlined."""
    groups = (Group(Kind.CILIATE, 6, (45.0, 75.0)), Group(Kind.DEBRIS, 10, (30.0, 80.0)))
    setting = SceneSettings(
        width_px=620, height_px=530, um_per_px=0.9, population=groups, keep_inside=True
    )
    taken = []
    for seed in (1, 2, 3, 4):
        scene = draw_scene(setting, seed)
        seen = np.stack([_part_of(each) for each in scene.truth])
        found = recognised(scene.pixels, scene, seen)
        taken += [scene.truth[cell].kind for each in found for cell in each.cells]
    assert taken in ([], [Kind.DEBRIS])  # of 24 and of 40


def _part_of(body: TruthObject) -> Floats:
    """A round outline (32, 2) within a body."""
    radius = 0.25 * np.ptp(np.array(body.outline_px), axis=0).min()
    ring = radius * np.column_stack([np.cos(TURNS), np.sin(TURNS)])
    return np.asarray(ring + np.array([body.x_px, body.y_px]))


def test_nothing_seen_gives_no_embryos(monkeypatch: pytest.MonkeyPatch) -> None:
    """No candidates, or none that may be an egg."""
    balls = two_cells(0.8, 0.5)
    scene = drawn(monkeypatch, balls)
    assert recognised(scene.pixels, scene, np.zeros((0, 32, 2))) == []
    prepared = prepare(Photo(scene.pixels).with_scale(scene.um_per_px), EGGS, Silent())
    assert embryos(cells_of(scene, balls, 0), np.zeros(3, bool), prepared, EGG_UM) == []


@pytest.mark.parametrize("has_membrane", [False, True])
@pytest.mark.parametrize(
    "balls", [two_cells(1.0, 0.5), two_cells(0.8, 0.5), two_cells(0.65, 0.5), TREFOIL]
)
def test_embryos_are_counted_once_with_their_own_length(
    monkeypatch: pytest.MonkeyPatch, balls: Floats, has_membrane: bool
) -> None:
    """The whole finder: eight bodies, the lengths of all of them within 5 %; the outline is laid on
    two balls with a waist, not on a hull around them."""
    scene = drawn(monkeypatch, balls)
    pixels = with_membranes(scene) if has_membrane else scene.pixels
    marks = find(Photo(pixels=pixels).with_scale(scene.um_per_px), EGGS, Silent())
    assert len(marks) == len(scene.truth) == 8
    for each in scene.truth:
        shares = [overlap(np.array(m.outline_px), np.array(each.outline_px)) for m in marks]
        assert max(shares) > 0.92
        assert marks[int(np.argmax(shares))].length_um == pytest.approx(each.length_um, rel=0.05)


def test_where_a_person_gave_the_lengths_nothing_is_put_together(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Any body of those lengths is meant: the same candidates as the network's."""
    scene = drawn(monkeypatch, two_cells(0.65, 0.5))
    prepared = prepare(Photo(scene.pixels).with_scale(scene.um_per_px), EGGS, Silent())
    assert any(each.is_embryo for each in candidates(prepared, EGGS))
    given = replace(EGGS, low_um=EGGS.low_um - 1)
    assert not any(each.is_embryo for each in candidates(prepared, given))
