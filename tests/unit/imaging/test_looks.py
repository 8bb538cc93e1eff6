"""How candidates look, in numbers."""

from __future__ import annotations

import numpy as np
import pytest

from counter.domain.catalogue import species
from counter.domain.progress import Silent
from counter.domain.species import TargetKind, target_of
from counter.imaging.detect import detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, SceneSettings
from counter.imaging.learned import weigh
from counter.imaging.looks import FARTHEST, STANDARD, features
from counter.imaging.photo import Photo
from counter.imaging.scene import prepare

LARVAE = target_of(species("eastern-oyster"), TargetKind.LARVAE)
SLIDE = SceneSettings(
    width_px=460,
    height_px=340,
    population=(Group(Kind.D_HINGE, 4), Group(Kind.CILIATE, 4, (55.0, 90.0))),
    keep_inside=True,
)


@pytest.fixture(scope="module")
def photo() -> Photo:
    return Photo(pixels=draw_scene(SLIDE, 4).pixels).with_scale(1.24)


def test_features_are_standardised_and_the_same_each_time(photo: Photo) -> None:
    """A row for each candidate, a column for each name, all held within bounds."""
    scene = prepare(photo, LARVAE, Silent())
    weighed = weigh(scene, LARVAE, Silent())
    looks = features(weighed, scene)
    assert looks.shape == (len(weighed), len(STANDARD))
    assert np.abs(looks).max() <= FARTHEST
    assert len(weighed) >= len(detect(photo, LARVAE, Silent()).marks)
    again = prepare(photo, LARVAE, Silent())
    assert np.array_equal(features(weigh(again, LARVAE, Silent()), again), looks)


def test_a_grey_picture_has_no_tint(photo: Photo) -> None:
    """Red and blue differ from green by nothing; darkness is still seen."""
    grey = Photo(pixels=np.asarray(photo.pixels.mean(axis=2), np.uint8)).with_scale(1.24)
    scene = prepare(grey, LARVAE, Silent())
    looks = features(weigh(scene, LARVAE, Silent()), scene)
    names = list(STANDARD)
    for name in ("red", "blue"):
        usual, spread = STANDARD[name]
        assert looks[:, names.index(name)] == pytest.approx(-usual / spread, abs=1e-4)
    assert np.ptp(looks[:, names.index("dark")]) > 0
