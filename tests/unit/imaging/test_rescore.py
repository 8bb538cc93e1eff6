"""Scores shifted by what a lens has taught: exact where nothing was learnt, never by much."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.special import logit

from counter.domain.catalogue import species
from counter.domain.progress import Silent
from counter.domain.species import TargetKind, target_of
from counter.imaging import net
from counter.imaging.detect import detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, SceneSettings
from counter.imaging.learned import weigh
from counter.imaging.looks import STANDARD, features
from counter.imaging.photo import Photo
from counter.imaging.rescore import (
    MOST_SHIFT,
    Rescorer,
    changes,
    network_version,
    reach_of,
    shifted,
)
from counter.imaging.scene import prepare

LARVAE = target_of(species("eastern-oyster"), TargetKind.LARVAE)
SLIDE = SceneSettings(
    width_px=560,
    height_px=420,
    population=(Group(Kind.D_HINGE, 6), Group(Kind.ALGA, 12), Group(Kind.CILIATE, 8, (55.0, 90.0))),
    keep_inside=True,
)
NOTHING = (0.0,) * len(STANDARD)


@pytest.fixture(scope="module")
def photo() -> Photo:
    return Photo(pixels=draw_scene(SLIDE, 4).pixels).with_scale(1.24)


@pytest.fixture(scope="module")
def rescorer(photo: Photo) -> Rescorer:
    """One that learnt nothing from all that is seen on the slide."""
    scene = prepare(photo, LARVAE, Silent())
    looks = features(weigh(scene, LARVAE, Silent()), scene)
    return Rescorer(
        lens="10x",
        network=network_version(),
        kind=TargetKind.LARVAE,
        low_um=48.0,
        start=0.0,
        weights=NOTHING,
        corrections=7,
        examples=40,
        most_changed=1.0,
        known=tuple(tuple(row) for row in looks.tolist()),
        reach=1.0,
    )


def test_one_that_learnt_nothing_changes_no_score(photo: Photo, rescorer: Rescorer) -> None:
    """All weights 0: the very same marks, and it is said that it took part."""
    plain = detect(photo, LARVAE, Silent())
    adjusted = detect(photo, LARVAE, Silent(), rescorer)
    assert adjusted.marks == plain.marks
    assert (plain.adjusted_by, adjusted.adjusted_by) == (0, 7)


def test_one_of_another_target_or_network_is_left_aside(photo: Photo, rescorer: Rescorer) -> None:
    """Even one that would refuse everything it may."""
    plain = detect(photo, LARVAE, Silent())
    strict = replace(rescorer, start=-MOST_SHIFT)
    for other in (
        replace(strict, kind=TargetKind.EGGS),
        replace(strict, network="0/1"),
        replace(strict, low_um=100.0),
    ):
        assert detect(photo, LARVAE, Silent(), other) == plain


def test_the_older_finder_uses_none(
    photo: Photo, rescorer: Rescorer, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without the network there is nothing to adjust, and nothing is claimed."""

    def missing() -> None:
        raise net.NoNetworkError("gone.")

    monkeypatch.setattr("counter.imaging.sight.load", missing)
    assert detect(photo, LARVAE, Silent(), rescorer).adjusted_by == 0


def test_shifts_are_held_within_bounds(rescorer: Rescorer) -> None:
    """However far the weights would go, a logit changes by no more."""
    looks = np.zeros((2, len(STANDARD)))
    looks[:, 0] = (-1.0, 1.0)
    known = tuple(tuple(row) for row in looks.tolist())
    wild = replace(rescorer, weights=(100.0, *NOTHING[1:]), known=known)
    by = wild.shifts(looks)
    assert by.tolist() == [-MOST_SHIFT, MOST_SHIFT]
    lower, higher = logit(shifted(np.array([0.6, 0.4]), by))
    assert lower == pytest.approx(logit(0.6) - MOST_SHIFT)
    assert higher == pytest.approx(logit(0.4) + MOST_SHIFT)


def test_what_is_like_no_example_stays_as_shipped(rescorer: Rescorer) -> None:
    """Within reach the whole shift, twice as far next to nothing, without examples nothing."""
    looks = np.zeros((3, len(STANDARD)))
    looks[:, 0] = (0.9, 1.2, 2.0)
    one = replace(rescorer, start=-4.0, known=(NOTHING,))
    near, further, far = one.shifts(looks)
    assert near == -4.0
    assert -4.0 < further < -2.0
    assert far == pytest.approx(0.0, abs=0.01)
    assert not replace(one, known=()).shifts(looks).any()


def test_the_reach_leaves_the_oddest_examples_out() -> None:
    """Of 41 examples in a row, 2 apart, one lies 60 away: the reach stays 2. At least 1."""
    row = np.zeros((41, 2))
    row[:, 0] = [*range(0, 80, 2), 138]
    assert reach_of(row) == 2.0
    assert reach_of(row / 10) == 1.0
    assert reach_of(row[:1]) == 1.0


def test_nothing_seen_gives_no_features_and_no_scores(photo: Photo, rescorer: Rescorer) -> None:
    """An empty slide."""
    scene = prepare(photo, LARVAE, Silent())
    assert features([], scene).shape == (0, len(STANDARD))
    assert rescorer.adjusted([], scene).scores == ()


def test_one_that_would_change_far_more_than_where_it_was_taught_is_left_aside(
    photo: Photo, rescorer: Rescorer
) -> None:
    """Another stage lies on the slide: as shipped, with a warning; no more than taught: used."""
    plain = detect(photo, LARVAE, Silent())
    strict = replace(rescorer, start=-MOST_SHIFT, most_changed=0.4)
    careful = detect(photo, LARVAE, Silent(), strict)
    assert (careful.marks, careful.adjusted_by) == (plain.marks, 0)
    (said,) = careful.warnings
    assert "far more than where it was taught; it was left aside on this picture" in said
    used = detect(photo, LARVAE, Silent(), replace(strict, most_changed=0.9))
    assert len(used.marks) < len(plain.marks)
    assert (used.adjusted_by, used.warnings) == (7, ())


def test_changes_are_counted_among_the_marks_of_either() -> None:
    """One refused, one added, one kept, one never a mark."""
    assert changes(np.array([0.9, 0.1, 0.8, 0.2]), np.array([0.2, 0.6, 0.9, 0.1])) == (2, 3)
