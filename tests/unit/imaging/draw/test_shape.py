"""Shapes know their distance, size and area as geometry does."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.spatial.distance import pdist

from counter.imaging.draw.shape import (
    THETA,
    Shape,
    area_and_centre,
    feret,
    shape_of,
    smoothed,
    union,
)

ELLIPSE = shape_of(np.stack([50 * np.cos(THETA), 20 * np.sin(THETA)], axis=1))


def test_the_feret_diameters_of_a_rectangle() -> None:
    """3 × 4: the diagonal is 5, the least width 3."""
    corners = np.array([[0.0, 0.0], [4.0, 0.0], [4.0, 3.0], [0.0, 3.0]])
    assert feret(corners) == pytest.approx((5.0, 3.0))


def test_the_feret_diameters_of_an_ellipse() -> None:
    """Its two axes."""
    assert ELLIPSE.feret_um == pytest.approx((100.0, 40.0), rel=1e-4)


@given(st.integers(0, 10_000), st.integers(3, 40))
def test_calipers_agree_with_trying_every_direction(seed: int, count: int) -> None:
    """Longest: over all pairs. Shortest: no tried direction is narrower, one nearly so."""
    points = np.random.default_rng(seed).normal(size=(count, 2)) * (3.0, 1.0)
    longest, shortest = feret(points)
    angle = np.linspace(0, np.pi, 4000)
    widths = np.ptp(points @ np.stack([np.cos(angle), np.sin(angle)]), axis=0)
    assert longest == pytest.approx(float(pdist(points).max()))
    assert shortest <= widths.min() + 1e-9
    assert shortest >= widths.min() - 1e-3 * longest


def test_area_and_centre_of_a_shifted_rectangle() -> None:
    """Area 12, centre in the middle, whichever way round it runs."""
    corners = np.array([[1.0, 1.0], [5.0, 1.0], [5.0, 4.0], [1.0, 4.0]])
    assert area_and_centre(corners) == pytest.approx((12.0, 3.0, 2.5))
    assert area_and_centre(corners[::-1]) == pytest.approx((12.0, 3.0, 2.5))


def test_distance_is_exact_on_a_circle_and_on_the_outline() -> None:
    """Circle: distance everywhere. Any outline: 0 on it, true distance near it."""
    circle = Shape(np.full_like(THETA, 30.0))
    x = np.array([[0.0, 45.0, -20.0]], np.float32)
    y = np.array([[10.0, 0.0, 0.0]], np.float32)
    distance, reach = circle.around(x, y)
    np.testing.assert_allclose(distance, [[-20.0, 15.0, -10.0]], atol=1e-4)
    np.testing.assert_allclose(reach, [[1 / 3, 1.5, 2 / 3]], atol=1e-5)
    outline = ELLIPSE.points_um.astype(np.float32)
    on_it, _ = ELLIPSE.around(outline[:, :1], outline[:, 1:])
    assert np.abs(on_it).max() < 1e-3


def test_a_shape_can_be_scaled_to_a_length() -> None:
    """The maximum Feret diameter is what was asked for, the shape the same."""
    scaled = ELLIPSE.scaled_to(73.0)
    assert scaled.feret_um[0] == pytest.approx(73.0)
    assert scaled.feret_um[1] / scaled.feret_um[0] == pytest.approx(0.4, rel=1e-3)


def test_smoothing_rounds_corners_and_keeps_the_mean() -> None:
    """A smooth radius varies less; its mean stays; 0 degrees changes nothing."""
    spiky = 10 + np.sign(np.sin(8 * THETA))
    soft = smoothed(spiky, 6.0)
    assert np.ptp(soft) < np.ptp(spiky)
    assert soft.mean() == pytest.approx(spiky.mean())
    np.testing.assert_array_equal(smoothed(spiky, 0.0), spiky)


def test_the_union_of_two_shapes_is_the_outer_one_everywhere() -> None:
    """Two crossed ellipses: as long as both, in every direction the farther outline."""
    turned = ELLIPSE.points_um[:, ::-1]
    both = union([ELLIPSE.points_um, turned])
    assert both.radius_um.min() >= ELLIPSE.radius_um.min() - 1e-9
    assert both.radius_um[0] == pytest.approx(50.0, rel=1e-3)
    assert both.radius_um[180] == pytest.approx(50.0, rel=1e-3)
