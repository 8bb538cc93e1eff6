"""Crops with known states, as drawn for training."""

from __future__ import annotations

import numpy as np
import pytest

from counter.imaging.learn.canvas import Textures, crop_around
from counter.imaging.learn.outlines import ANGLES
from counter.imaging.learn.state_eggs import MARGIN, cleavage, union
from counter.imaging.learn.state_eyes import eyes
from counter.imaging.learn.state_larvae import gaping, valve_shape
from counter.imaging.learn.state_patches import (
    CLOSE,
    DEAD,
    EYE,
    FERTILISED,
    UNKNOWN,
    WHOLE,
    View,
    draw_state,
)
from counter.imaging.state_crops import CLOSE_SIDE, SIDE

TEX = Textures(np.random.default_rng(0))


@pytest.mark.parametrize("view", [WHOLE, CLOSE])
def test_the_same_seed_draws_the_same_crop(view: View) -> None:
    """Whoever trains again starts from the same pictures."""
    one, other = (draw_state(np.random.default_rng(6), TEX, view) for _ in range(2))
    assert np.array_equal(one.given, other.given)
    assert np.array_equal(one.labels, other.labels)
    assert one.length_px == other.length_px


def test_crops_are_what_the_network_takes_and_labels_fit_one_another() -> None:
    """An egg is fertilised or not and never dead; a larva is live or dead.

    Whether an eye spot is there is asked of closer crops alone.
    """
    rng = np.random.default_rng(9)
    patches = [draw_state(rng, TEX) for _ in range(40)]
    for patch in patches:
        assert patch.given.shape == (2, SIDE, SIDE)
        assert np.isfinite(patch.given).all()
        assert 0.1 < patch.given[1].mean() < 0.7
        assert (patch.labels[FERTILISED] != UNKNOWN) == (patch.labels[DEAD] == UNKNOWN)
        assert patch.labels[EYE] == UNKNOWN
    for answer in (DEAD, FERTILISED):
        assert {0, 1} <= {int(patch.labels[answer]) for patch in patches}


def test_close_crops_are_of_late_larvae_with_and_without_an_eye_spot() -> None:
    """Nothing else is learnt from them, and the body is sharp enough to show one."""
    rng = np.random.default_rng(10)
    patches = [draw_state(rng, TEX, CLOSE) for _ in range(24)]
    for patch in patches:
        assert patch.given.shape == (2, CLOSE_SIDE, CLOSE_SIDE)
        assert np.isfinite(patch.given).all()
        assert patch.labels[DEAD] == patch.labels[FERTILISED] == UNKNOWN
        assert CLOSE.lengths_px[0] <= patch.length_px <= CLOSE.lengths_px[1]
    assert {int(patch.labels[EYE]) for patch in patches} == {0, 1}


def test_an_eye_spot_is_round_small_and_within_the_body() -> None:
    """What it takes from the light lies in the body's inner part and is nearly as wide as high."""
    rng = np.random.default_rng(12)
    radii = np.full(ANGLES, 60.0, np.float32)
    crop = crop_around(200, (100.0, 100.0), radii, MARGIN)
    assert crop is not None
    for _ in range(20):
        (spot,) = eyes(crop, 60.0, rng)
        dark = spot.layer > 0.5 * spot.layer.max()
        assert 0 < dark.sum() < 0.12 * (crop.inside > 0.5).sum()
        assert float(np.hypot(crop.x[dark], crop.y[dark]).max()) < 60
        assert float(spot.layer[crop.inside < 0.01].max(initial=0.0)) < 0.05


def test_cells_lie_within_the_outline_of_their_embryo() -> None:
    """Its longest diameter is 2, and every cell's middle lies inside."""
    rng = np.random.default_rng(3)
    for _ in range(12):
        radii, balls = union(cleavage(rng))
        assert 2.0 - 1e-4 <= float((radii + np.roll(radii, 360)).max()) <= 2.0 + 1e-4
        at = np.degrees(np.arctan2(balls[:, 1], balls[:, 0])) % 360
        away = np.hypot(balls[:, 0], balls[:, 1])
        assert (away < radii[(at * 2).astype(int) % 720] + 1e-3).all()


def test_gaping_valves_make_up_the_outline() -> None:
    """The outline is the farther of the two valves in every direction."""
    rng = np.random.default_rng(5)
    whole, (one, other) = gaping(rng, valve_shape(rng))
    assert np.allclose(whole, np.maximum(one, other), atol=1e-5)


def test_the_two_cells_of_an_embryo_touch_and_unlike_ones_may_do_no_more() -> None:
    """Cells of one size cover some of each other: others would be two whole eggs."""
    rng = np.random.default_rng(12)
    seen = []
    for balls in (each for each in (cleavage(rng) for _ in range(400)) if len(each) == 2):
        apart = float(np.hypot(*(balls[0, :2] - balls[1, :2])))
        small = float(balls[:, 2].min() / balls[:, 2].max())
        assert apart < 1.1 * float(balls[:, 2].sum())
        if small > 0.9:
            assert apart < 0.99 * float(balls[:, 2].sum())
        seen.append(small)
    assert len(seen) > 50
    assert min(seen) < 0.6
    assert max(seen) > 0.95
