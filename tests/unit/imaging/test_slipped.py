"""Outlines on another rim than the network's are told from those that it only saw too long."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from counter.domain.catalogue import species
from counter.domain.progress import Silent
from counter.domain.species import TargetKind, target_of
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Contrast, Group, Kind, Light, SceneSettings
from counter.imaging.outline import POINTS, Refined
from counter.imaging.photo import Photo
from counter.imaging.rays import evenly_all
from counter.imaging.scene import Scene, prepare
from counter.imaging.slipped import are_alone, are_slipped

Floats = NDArray[np.float64]

LARVAE = target_of(species("eastern-oyster"), TargetKind.LARVAE)
SLIDE = SceneSettings(
    width_px=620, height_px=480, population=(Group(Kind.UMBO, 5),), keep_inside=True, apart_um=40.0
)


def _seen(light: Light, share: float) -> tuple[Scene, Refined, Floats]:
    """A drawn slide, outlines at this share of the way to the larvae's rims, and true lengths."""
    drawn = draw_scene(replace(SLIDE, light=light), 4)
    scene = prepare(Photo(np.asarray(drawn.pixels)).with_scale(drawn.um_per_px), LARVAE, Silent())
    true = evenly_all(np.stack([_evenly(each.outline_px) for each in drawn.truth]), POINTS)
    middles = true.mean(axis=1, keepdims=True)
    number = len(true)
    bright = 1.0 if light.contrast is Contrast.DARK_FIELD else -1.0
    refined = Refined(
        middles + share * (true - middles), np.full(number, bright), np.ones((number, POINTS)),
        np.full(number, 2.0), np.zeros((number, POINTS), bool),
    )  # fmt: skip
    lengths = np.array([each.length_um for each in drawn.truth]) / drawn.um_per_px
    return scene, refined, lengths


def _evenly(outline: object) -> Floats:
    points = np.asarray(outline, np.float64)
    return np.asarray(points[np.linspace(0, len(points), 64, endpoint=False).astype(int)])


@pytest.mark.parametrize("light", [Light(), Light(contrast=Contrast.DARK_FIELD)])
@pytest.mark.parametrize("too_long", [1.09, 1.14])
def test_an_outline_on_the_rim_stands_where_the_network_saw_the_body_too_long(
    light: Light, too_long: float
) -> None:
    scene, refined, lengths = _seen(light, 1.0)
    alone = np.ones(len(lengths), bool)
    assert not are_slipped(refined, too_long * lengths, alone, scene).any()


def test_an_outline_inside_of_the_rim_has_slipped_if_nothing_else_explains_it() -> None:
    """At 0.88 of the way to the rim the rim itself lies outside; beside a neighbour, nobody knows
    whose rim that is."""
    scene, refined, lengths = _seen(Light(), 0.88)
    alone = np.ones(len(lengths), bool)
    assert are_slipped(refined, lengths, alone, scene).all()
    assert not are_slipped(refined, lengths, ~alone, scene).any()


@pytest.mark.parametrize("share", [0.8, 1.25])
def test_what_is_far_off_the_network_s_length_has_slipped_in_any_case(share: float) -> None:
    scene, refined, lengths = _seen(Light(), 1.0)
    assert are_slipped(refined, lengths / share, np.zeros(len(lengths), bool), scene).all()


def test_bodies_are_alone_where_none_reaches_into_another() -> None:
    centres = np.array([[50.0, 50.0], [90.0, 50.0], [200.0, 50.0]])
    assert are_alone(centres, np.full(3, 42.0)).tolist() == [False, False, True]
    assert are_alone(centres, np.full(3, 38.0)).all()
    assert are_alone(np.zeros((0, 2)), np.zeros(0)).shape == (0,)
