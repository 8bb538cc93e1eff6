"""Length, width, area and centroid against analytic shapes and an independent reference."""

from __future__ import annotations

import dataclasses
import math

import cv2
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from skimage.measure import find_contours, regionprops

from counter.imaging.measure import AT_ONCE, ferets_px, longest_px, measure, measure_all


def _ellipse(a: float, b: float, turn: float, count: int = 720) -> np.ndarray:
    t = np.arange(count) * 2 * np.pi / count
    x, y = a * np.cos(t), b * np.sin(t)
    c, s = np.cos(turn), np.sin(turn)
    return np.column_stack([40 + c * x - s * y, 25 + s * x + c * y])


@pytest.mark.parametrize("turn", [0.0, 0.3, 1.1, 2.5])
def test_an_ellipse_measures_its_axes(turn: float) -> None:
    """Maximum and minimum Feret of an ellipse are its two axes, at any angle."""
    found = measure(_ellipse(20, 13, turn), 1.5)
    assert found.length_um == pytest.approx(40 * 1.5, rel=1e-4)
    assert found.width_um == pytest.approx(26 * 1.5, rel=1e-4)
    assert found.area_um2 == pytest.approx(np.pi * 20 * 13 * 1.5**2, rel=1e-4)
    assert (found.x_px, found.y_px) == pytest.approx((40, 25))


def test_a_rectangle_measures_its_diagonal_and_its_short_side() -> None:
    """The longest extent of a rectangle is its diagonal, the shortest its short side."""
    found = measure([(0, 0), (4, 0), (4, 3), (0, 3)], 2.0)
    assert found.length_um == pytest.approx(10)
    assert found.width_um == pytest.approx(6)
    assert found.area_um2 == pytest.approx(48)
    assert (found.x_px, found.y_px) == pytest.approx((2.0, 1.5))


def test_a_triangle_is_narrowest_over_its_longest_side() -> None:
    """The least width of a 3-4-5 triangle is its height over the side of 5: 12/5."""
    assert measure([(0, 0), (4, 0), (0, 3)], 1.0).width_um == pytest.approx(2.4)


def test_a_bay_does_not_change_the_calipers() -> None:
    """Calipers rest on the convex hull; the area does not."""
    found = measure([(0, 0), (5, 3), (10, 0), (10, 8), (0, 8)], 1.0)
    assert found.width_um == pytest.approx(8)
    assert found.area_um2 == pytest.approx(80 - 15)


def test_points_on_a_line_have_no_width_and_no_area() -> None:
    """An outline without area has length only, and its mean as its place."""
    found = measure([(0, 0), (1, 1), (2, 2)], 1.0)
    assert found.length_um == pytest.approx(2 * np.sqrt(2))
    assert (found.width_um, found.area_um2) == (0, 0)
    assert (found.x_px, found.y_px) == pytest.approx((1, 1))


def test_two_points_are_no_outline() -> None:
    """A polygon needs three points; fewer is a mistake of the caller."""
    with pytest.raises(ValueError, match="3 points"):
        measure([(0, 0), (1, 1)], 1.0)


@pytest.mark.parametrize("seed", range(4))
def test_agrees_with_an_independent_maximum_feret(seed: int) -> None:
    """regionprops measures the filled hull of the region: half a pixel larger on each side."""
    rng = np.random.default_rng(seed)
    picture = np.zeros((181, 240), np.uint8)
    axes = (int(rng.integers(30, 80)), int(rng.integers(20, 60)))
    cv2.ellipse(picture, (118, 90), axes, float(rng.uniform(0, 180)), 0, 360, 1, -1)
    outline = find_contours(picture, 0.5)[0][:-1, ::-1]  # type: ignore[no-untyped-call]
    regions = regionprops(picture)  # type: ignore[no-untyped-call]
    reference = regions[0].feret_diameter_max
    assert measure(outline, 1.0).length_um == pytest.approx(reference, abs=1.0)


@given(
    st.lists(
        st.tuples(st.floats(-500, 500), st.floats(-500, 500)), min_size=3, max_size=30, unique=True
    ),
    st.floats(0.1, 10),
)
def test_width_never_passes_length_and_scale_multiplies(
    points: list[tuple[float, float]], um_per_px: float
) -> None:
    """Whatever the polygon: width ≤ length, and both grow with the scale."""
    one, scaled = measure(points, 1.0), measure(points, um_per_px)
    assert one.width_um <= one.length_um * (1 + 1e-9)
    assert scaled.length_um == pytest.approx(one.length_um * um_per_px)
    assert scaled.area_um2 == pytest.approx(one.area_um2 * um_per_px**2)


@given(st.integers(0, 2**32 - 1), st.integers(1, 6), st.integers(3, 40))
def test_many_at_once_measure_like_each_alone(seed: int, count: int, points: int) -> None:
    """Outlines with unlike numbers of hull corners, doubled points among them, each as if alone."""
    outlines = np.random.default_rng(seed).integers(0, 30, (count, points, 2)).astype(np.float64)
    for together, outline in zip(measure_all(outlines, 1.7), outlines, strict=True):
        alone = measure(outline, 1.7)
        assert dataclasses.astuple(together) == pytest.approx(dataclasses.astuple(alone), abs=1e-9)


def test_calipers_turned_step_by_step_agree() -> None:
    """The extent of jagged outlines in 20 000 directions: its largest and smallest, for each of
    more outlines than are measured at once."""
    rng = np.random.default_rng(3)
    few = rng.normal(0, 20, (3, 17, 2))
    turns = np.arange(20_000) * np.pi / 20_000
    extents = np.ptp(few @ np.stack([np.cos(turns), np.sin(turns)]), axis=1)
    every = ferets_px(np.tile(few, (AT_ONCE, 1, 1)))
    assert every.shape == (3 * AT_ONCE, 2)
    for row in (every[:3], every[-3:]):
        assert row[:, 0] == pytest.approx(extents.max(axis=1), rel=1e-6)
        assert row[:, 1] == pytest.approx(extents.min(axis=1), rel=1e-3)


def test_nothing_to_measure_gives_nothing() -> None:
    """No outline: no measures."""
    assert measure_all(np.zeros((0, 72, 2)), 1.0) == []


@given(st.integers(0, 2**32 - 1), st.integers(0, 4), st.integers(1, 40))
def test_the_longest_way_is_that_of_the_farthest_two_points(
    seed: int, count: int, points: int
) -> None:
    """Every pair compared one by one; with nothing to measure nothing comes back."""
    outlines = np.random.default_rng(seed).normal(0, 30, (count, points, 2))
    wanted = [max((math.dist(a, b) for a in each for b in each), default=0) for each in outlines]
    assert longest_px(outlines) == pytest.approx(np.array(wanted), rel=1e-12)
