"""Whole training patches."""

from __future__ import annotations

import numpy as np
import pytest

from counter.imaging.learn import outlines, wider
from counter.imaging.learn.canvas import Textures
from counter.imaging.learn.patches import SIZE, draw_patch


def test_the_same_seed_draws_the_same_patch_and_another_seed_another() -> None:
    """Training can be repeated."""
    tex = Textures(np.random.default_rng(0))
    one, two, other = (draw_patch(np.random.default_rng(seed), tex) for seed in (5, 5, 6))
    assert np.array_equal(one.seen, two.seen)
    assert np.array_equal(one.learn.near, two.learn.near)
    assert not np.array_equal(one.seen, other.seen)


def test_patches_hold_bodies_of_many_kinds_and_sizes_and_some_hold_none() -> None:
    """The draw spans what it should: all classes, small and large, empty slides too."""
    tex = Textures(np.random.default_rng(0))
    rng = np.random.default_rng(77)
    patches = [draw_patch(rng, tex) for _ in range(30)]
    kinds = {body.kind for patch in patches for body in patch.bodies}
    lengths = [np.ptp(body.outline, axis=0).max() for patch in patches for body in patch.bodies]
    assert kinds == {0, 1, 2, 3}
    assert min(lengths) < 16
    assert max(lengths) > 60
    assert any(not patch.learn.near.any() for patch in patches)
    assert all(patch.seen.shape == (SIZE, SIZE, 3) for patch in patches)


def test_the_wider_patches_hold_dividing_eggs_and_litter_alone() -> None:
    """A dividing egg is one body however many cells it has; heavy litter may lie alone."""
    rng = np.random.default_rng(3)
    for _ in range(20):
        outline, balls = outlines.cleaved(rng)
        out = np.hypot(balls[:, 0], balls[:, 1]) + balls[:, 2]
        assert 2 <= len(balls) <= 24
        assert float(out.max()) == pytest.approx(float(outline.max()), rel=0.25)
    plans = [wider.plan(rng) for _ in range(200)]
    assert any(plan.share == 0 and plan.heavy > 1 for plan in plans)
    assert any(plan.plain and plan.blurred is not None for plan in plans)
