"""Crops for the closer look: the finder's own candidates on drawn slides."""

from __future__ import annotations

import numpy as np

from counter.imaging.closer import SIDE
from counter.imaging.learn.canvas import Textures
from counter.imaging.learn.closer_patches import draw_closer
from counter.imaging.learn.state_patches import BODY, UNKNOWN


def test_candidates_are_labelled_as_bodies_none_or_unsure() -> None:
    """Only that answer is labelled; a few slides show bodies, litter and what is neither."""
    tex, rng = Textures(np.random.default_rng(0)), np.random.default_rng(4)
    made = [each for _ in range(14) for each in draw_closer(rng, tex)]
    assert len(made) > 30
    labels = np.stack([each.labels for each in made])
    assert labels.shape[1] == BODY + 1
    assert (labels[:, :BODY] == UNKNOWN).all()
    assert set(labels[:, BODY].tolist()) == {0, 1, UNKNOWN}
    assert all(each.given.shape == (2, SIDE, SIDE) for each in made)
    assert all(np.isfinite(each.given).all() for each in made)


def test_the_same_seed_shows_the_same_crops() -> None:
    tex = Textures(np.random.default_rng(0))
    one, two = ([*draw_closer(np.random.default_rng(11), tex)] for _ in range(2))
    assert len(one) == len(two) > 0
    for first, second in zip(one, two, strict=True):
        assert np.array_equal(first.given, second.given)
        assert np.array_equal(first.labels, second.labels)
