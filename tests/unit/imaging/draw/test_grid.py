"""The grid's brushes: covers, lines, spots and grain of a known size."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.random import default_rng

from counter.imaging.draw.grid import Body, Grain, Grid
from counter.imaging.draw.shape import THETA, Shape


def grid(step_um: float = 1.0) -> Grid:
    """A box of 90 × 120 samples around the origin."""
    x, y = np.meshgrid(np.arange(-60, 60), np.arange(-45, 45))
    rng = default_rng(5)
    return Grid(
        (x * step_um).astype(np.float32), (y * step_um).astype(np.float32), step_um, rng, Grain(rng)
    )


def test_a_cover_has_the_area_of_the_shape() -> None:
    """The covered samples add up to π r², better than a hundredth."""
    circle = Shape(np.full_like(THETA, 30.0))
    assert grid().inside(circle).sum() == pytest.approx(np.pi * 900, rel=0.01)


def test_a_thin_line_is_spread_but_not_stronger() -> None:
    """A line much thinner than a sample darkens as much in sum as one that is resolved."""
    coarse, fine = grid(4.0), grid(0.5)
    thin = coarse.band(coarse.x_um - 0.7, 0.0, 0.5)[0].sum() * 4.0
    resolved = fine.band(fine.x_um - 0.7, 0.0, 0.5)[0].sum() * 0.5
    assert thin == pytest.approx(resolved, rel=0.05)
    assert thin == pytest.approx(0.5 * np.sqrt(2 * np.pi), rel=0.05)


def test_a_rim_ends_at_the_outline() -> None:
    """Nothing of a rim lies more than a sample outside."""
    box = grid()
    circle = Shape(np.full_like(THETA, 30.0))
    rim = box.rim(box.distance(circle), 1.0, 1.0)
    assert rim[np.hypot(box.x_um, box.y_um) > 31].max() == 0
    assert rim.max() > 0.7


def test_a_blob_is_one_inside_and_nothing_far_away() -> None:
    """Half axes 20 and 10, turned by a right angle: long in y."""
    blob = grid().blob(5.0, 0.0, 20.0, 10.0, np.pi / 2)
    assert blob[45, 65] > 0.95
    assert blob[45 + 15, 65] > 0.7
    assert blob[45, 65 + 15] < 0.1


def test_a_soft_spot_fades() -> None:
    """1 in its middle, exp(-1/2) one sigma away."""
    spot = grid().soft_spot(0.0, 0.0, 10.0)
    assert spot[45, 60] == pytest.approx(1.0)
    assert spot[45, 70] == pytest.approx(np.exp(-0.5), rel=1e-5)


def test_grain_has_unit_deviation_and_the_size_asked_for() -> None:
    """Coarser grain is alike over a longer way."""
    box = grid()
    fine, coarse = box.noise(3.0), box.noise(20.0)
    for noise in (fine, coarse):
        assert 0.5 < noise.std() < 1.6
    neighbour = [
        float(np.corrcoef(n[:, :-4].ravel(), n[:, 4:].ravel())[0, 1]) for n in (fine, coarse)
    ]
    assert neighbour[0] < 0.3 < 0.8 < neighbour[1]


def test_spots_are_scattered() -> None:
    """Most of the box is free of granules, some of it is not."""
    spots = grid().spots(4.0, 1.0)
    assert spots.min() == 0
    assert 0.03 < float((spots > 0).mean()) < 0.35


def test_a_stain_absorbs_by_colour() -> None:
    """Each channel takes its share of the layer."""
    box = grid()
    body = Body.clear(box)
    body.stain(np.full(box.shape, 0.5, np.float32), (1.0, 0.5, 2.0))
    np.testing.assert_allclose(body.absorb[:, 3, 4], [0.5, 0.25, 1.0])
    assert not body.phase.any()
