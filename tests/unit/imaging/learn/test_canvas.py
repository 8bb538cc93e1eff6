"""The canvas that training patches are painted on."""

from __future__ import annotations

import numpy as np
import pytest

from counter.imaging.learn.canvas import Textures, band, crop_around, lay
from counter.imaging.learn.outlines import ANGLES

CIRCLE = np.full(ANGLES, 20, np.float32)


def test_a_crop_knows_inside_from_outside() -> None:
    """Inside a circle of radius 20 lie as many pixels as its area says."""
    crop = crop_around(100, (50.0, 45.0), CIRCLE, 5)
    assert crop is not None
    assert crop.inside.sum() == pytest.approx(np.pi * 20**2, rel=0.01)
    row, column = 45 - crop.top, 50 - crop.left
    assert crop.distance[row, column] == pytest.approx(-20, abs=0.1)


def test_a_body_far_outside_has_no_crop() -> None:
    """Nothing is painted of a body that the canvas does not reach."""
    assert crop_around(100, (200.0, 50.0), CIRCLE, 5) is None


def test_an_opaque_layer_hides_what_lies_beneath() -> None:
    """Full opacity replaces, none adds."""
    for opaque, expected in ((1.0, 1.0), (0.0, 3.0)):
        canvas = np.full((100, 100, 3), 2, np.float32)
        crop = crop_around(100, (50.0, 50.0), CIRCLE, 5)
        assert crop is not None
        cover = crop.inside * np.float32(opaque)
        lay(canvas, crop, np.repeat(crop.inside[:, :, None], 3, 2), cover)
        assert canvas[50, 50, 0] == pytest.approx(expected)
        assert canvas[5, 5, 0] == pytest.approx(2.0)


def test_a_band_is_strongest_where_it_is() -> None:
    """A band at distance 3 peaks there."""
    distance = np.linspace(-10, 10, 201, dtype=np.float32)
    assert distance[int(band(distance, 3.0, 1.0).argmax())] == pytest.approx(3.0, abs=0.06)


def test_textures_repeat_with_the_seed_and_have_unit_spread() -> None:
    """The same seed gives the same noise; its spread is 1 whatever the grain."""
    first, second = (Textures(np.random.default_rng(3)) for _ in range(2))
    for grain in (0.8, 6.0):
        one = first.cut(np.random.default_rng(5), (700, 650), grain)
        two = second.cut(np.random.default_rng(5), (700, 650), grain)
        assert np.array_equal(one, two)
        assert one.std() == pytest.approx(1.0, abs=0.25)
