"""What lies on a slide and does not count, as painted for training."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from counter.imaging.learn import litter, wider
from counter.imaging.learn.canvas import Textures

Painter = Callable[..., None]


@pytest.mark.parametrize(
    "painter",
    list(dict.fromkeys([*litter.KINDS, *(put for put, _, _ in wider.KINDS)])),
)
def test_litter_lies_where_it_is_put(painter: Painter) -> None:
    """Every kind leaves something near its place."""
    tex = Textures(np.random.default_rng(0))
    rng = np.random.default_rng(11)
    canvas = np.zeros((200, 200, 3), np.float32)
    for _ in range(5):
        painter(canvas, (100.0, 100.0), 15.0, rng, tex)
    assert np.abs(canvas[70:130, 70:130]).max() > 0.01


def test_rulings_cross_the_whole_canvas() -> None:
    """Lines reach all four sides."""
    tex = Textures(np.random.default_rng(0))
    canvas = np.zeros((160, 160, 3), np.float32)
    for seed in range(6):
        litter.rulings(canvas, np.random.default_rng(seed), tex)
    for side in (canvas[0], canvas[-1], canvas[:, 0], canvas[:, -1]):
        assert np.abs(side).max() > 0.02
