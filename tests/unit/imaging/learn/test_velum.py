"""The velum of training pictures."""

from __future__ import annotations

import numpy as np
import pytest

from counter.imaging.learn import outlines
from counter.imaging.learn.canvas import Crop, Textures, crop_around
from counter.imaging.learn.velum import velum

HALF_PX = 40.0


def _crop(rng: np.random.Generator) -> Crop:
    radii = outlines.straight_hinge(rng) * np.float32(HALF_PX)
    crop = crop_around(300, (150.0, 140.0), radii, 40.0)
    assert crop is not None
    return crop


@pytest.mark.parametrize("seed", range(6))
def test_a_velum_lies_beside_the_shell_and_never_within(seed: int) -> None:
    """The shell alone is measured: its inside stays as it is, and so does its outline."""
    rng = np.random.default_rng(seed)
    crop, tex = _crop(rng), Textures(np.random.default_rng(0))
    sheet = velum(crop, HALF_PX, rng, tex)
    assert sheet.shape == crop.shape
    assert np.abs(sheet[crop.distance < -0.6]).max() == 0
    beside = np.abs(sheet) > 0.05
    assert 0.02 < beside.sum() / crop.inside.sum() < 1.2


def test_a_velum_is_on_one_side_and_reaches_less_far_than_the_shell_is_long() -> None:
    """Its middle of mass lies off the shell's; nothing is drawn a shell's length away."""
    tex = Textures(np.random.default_rng(0))
    for seed in range(6):
        rng = np.random.default_rng(seed)
        crop = _crop(rng)
        weight = np.abs(velum(crop, HALF_PX, rng, tex))
        off_px = np.hypot((crop.x * weight).sum(), (crop.y * weight).sum()) / weight.sum()
        assert off_px > 0.5 * HALF_PX
        assert weight[np.hypot(crop.x, crop.y) > 2 * HALF_PX].max(initial=0) < 0.3
