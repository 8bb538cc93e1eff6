"""What light does at a body: in focus, out of focus, in dark field, in phase contrast."""

from __future__ import annotations

import numpy as np
import pytest

from counter.imaging.draw.grid import Body
from counter.imaging.draw.optics import margin_um, passed
from counter.imaging.draw.settings import Contrast


def disc(absorb: float, phase: float, radius: float = 20.0) -> Body:
    """A soft-edged disc in a box of 121 × 151 samples of 1 µm."""
    y, x = np.mgrid[-60:61, -75:76]
    cover = np.clip(radius + 0.5 - np.hypot(x, y), 0, 1).astype(np.float32)
    return Body(np.stack([cover * absorb] * 3), cover * np.float32(phase))


def test_in_focus_a_body_only_absorbs() -> None:
    """exp(-absorbance) inside, all light outside, and the phase is not seen."""
    light = passed(disc(0.8, 3.0), 1.0, 0.0, Contrast.BRIGHT_FIELD)
    assert light.shape == (121, 151, 3)
    assert light[60, 75] == pytest.approx(np.exp(-0.8), rel=1e-4)
    assert light[2, 2] == pytest.approx(1.0, abs=1e-4)


def test_out_of_focus_a_clear_body_shows_rings() -> None:
    """A pure phase disc is unseen in focus; out of it, its edge is dark beside bright."""
    clear = disc(0.0, 2.0)
    focused = passed(clear, 1.0, 0.0, Contrast.BRIGHT_FIELD)
    assert np.ptp(focused) < 1e-4
    for height_um in (-15.0, 15.0):
        row = passed(clear, 1.0, height_um, Contrast.BRIGHT_FIELD)[60, :, 0]
        assert row.max() > 1.05
        assert row.min() < 0.95


def test_over_and_under_the_focus_bright_and_dark_change_places() -> None:
    """Just outside the edge the light rises on one side of the focus and falls on the other."""
    over, under = (passed(disc(0.0, 2.0), 1.0, z, Contrast.BRIGHT_FIELD) for z in (12.0, -12.0))
    outside = 75 + 22
    assert (over[60, outside, 0] - 1) * (under[60, outside, 0] - 1) < 0


def test_defocus_takes_no_light_away() -> None:
    """What is spread is not lost: the mean absorbance of a dark disc stays."""
    dark = disc(0.3, 0.0)
    means = [
        float(-np.log(passed(dark, 1.0, z, Contrast.BRIGHT_FIELD)).mean()) for z in (0.0, 40.0)
    ]
    assert means[1] == pytest.approx(means[0], rel=0.01)


def test_in_dark_field_edges_shine_and_the_empty_slide_is_dark() -> None:
    """Light comes from edges and granules; black things stay dark inside."""
    light = passed(disc(0.4, 3.0), 1.0, 0.0, Contrast.DARK_FIELD)
    assert light[60, 75 + 20].mean() > light[60, 75].mean() > 0.1
    assert light[2, 2].max() < 1e-3
    black = passed(disc(4.0, 3.0), 1.0, 0.0, Contrast.DARK_FIELD)
    assert black[60, 75].max() < 0.08


def test_phase_contrast_makes_a_clear_body_dark_with_a_bright_halo() -> None:
    """A retarding body is darker than the slide, its surroundings are brighter."""
    row = passed(disc(0.0, 1.5), 1.0, 0.0, Contrast.PHASE)[60, :, 0]
    assert row[75 + 17] < 0.95
    assert row[75 + 24] > 1.02


def test_the_margin_grows_with_defocus() -> None:
    """Halos reach farther out of focus, and farther in phase contrast."""
    assert margin_um(-40.0, Contrast.BRIGHT_FIELD) > margin_um(5.0, Contrast.BRIGHT_FIELD)
    assert margin_um(5.0, Contrast.PHASE) > margin_um(5.0, Contrast.BRIGHT_FIELD)
