"""Crops with known states, as drawn for training."""

from __future__ import annotations

import numpy as np

from counter.imaging.learn.canvas import Textures
from counter.imaging.learn.state_eggs import cleavage, union
from counter.imaging.learn.state_larvae import gaping, valve_shape
from counter.imaging.learn.state_patches import DEAD, EYE, FERTILISED, UNKNOWN, draw_state
from counter.imaging.state_crops import SIDE

TEX = Textures(np.random.default_rng(0))


def test_the_same_seed_draws_the_same_crop() -> None:
    """Whoever trains again starts from the same pictures."""
    one, other = (draw_state(np.random.default_rng(6), TEX) for _ in range(2))
    assert np.array_equal(one.given, other.given)
    assert np.array_equal(one.labels, other.labels)
    assert one.length_px == other.length_px


def test_crops_are_what_the_network_takes_and_labels_fit_one_another() -> None:
    """An egg is fertilised or not and never dead; a larva is live or dead, eyed only if live."""
    rng = np.random.default_rng(9)
    patches = [draw_state(rng, TEX) for _ in range(40)]
    for patch in patches:
        assert patch.given.shape == (2, SIDE, SIDE)
        assert np.isfinite(patch.given).all()
        assert 0.1 < patch.given[1].mean() < 0.7
        is_egg = patch.labels[FERTILISED] != UNKNOWN
        assert is_egg == (patch.labels[DEAD] == UNKNOWN) == (patch.labels[EYE] == UNKNOWN)
        assert not (patch.labels[DEAD] == 1 and patch.labels[EYE] == 1)
    for answer in (DEAD, FERTILISED, EYE):
        assert {0, 1} <= {int(patch.labels[answer]) for patch in patches}


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
