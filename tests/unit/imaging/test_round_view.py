"""The circle of a round view is measured; what lies beyond it is mirrored for the finder."""

from __future__ import annotations

import math

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from counter.imaging.round_view import Circle, circle_of, mirrored
from counter.imaging.view import view_of

MIDDLE, RADIUS = (212.3, 158.8), 149.4


def disc(middle: tuple[float, float] = MIDDLE, radius: float = RADIUS) -> NDArray[np.uint8]:
    """A round view, with grain, uneven light and a dark body on its rim."""
    rows, columns = np.mgrid[0:320, 0:430]
    away = np.hypot(columns - middle[0], rows - middle[1])
    light = (150 + 0.1 * columns) * np.clip(radius + 0.5 - away, 0, 1)
    light += np.random.default_rng(5).normal(0, 3, light.shape)
    body = (int(middle[0] + 0.94 * radius), int(middle[1] + 12))
    cv2.circle(light, body, 20, 30.0, -1)
    light[away > radius] = 4
    return np.asarray(np.clip(light, 0, 255), np.uint8)


def rough(middle: tuple[float, float], radius: float) -> NDArray[np.float64]:
    """Corners of the rim as a coarse copy shows them."""
    turns = np.arange(50) * math.tau / 50
    places = np.column_stack([np.cos(turns), np.sin(turns)]) * (radius - 3.0) + middle
    on_picture = (places > 2).all(axis=1) & (places < (427, 317)).all(axis=1)
    return np.asarray(places[on_picture])


@pytest.mark.parametrize(
    ("middle", "radius"), [(MIDDLE, RADIUS), ((200.0, 160.0), 190.0), ((120.0, 150.0), 260.0)]
)
def test_the_circle_is_measured_to_half_a_pixel(middle: tuple[float, float], radius: float) -> None:
    """Whole on the picture, cut by two of its borders, or by three."""
    found = circle_of(rough(middle, radius), disc(middle, radius))
    assert found is not None
    assert (found.x_px, found.y_px) == pytest.approx(middle, abs=0.6)
    assert found.radius_px == pytest.approx(radius, abs=0.6)


def test_a_view_that_is_not_round_has_no_circle() -> None:
    """A square diaphragm, turned, and nothing at all."""
    picture = np.full((320, 430), 3, np.uint8)
    corners = np.array([[215, 10], [365, 160], [215, 310], [65, 160]], np.int32)
    cv2.fillPoly(picture, [corners], 180)
    sides = np.vstack([np.linspace(corners[i - 1], corners[i], 12) for i in range(4)])
    assert circle_of(sides.astype(np.float64), picture) is None
    assert circle_of(np.empty((0, 2)), picture) is None
    assert circle_of(rough(MIDDLE, RADIUS), np.full((320, 430), 90, np.uint8)) is None


def test_the_view_knows_its_circle_and_the_area_inside() -> None:
    """To a part in five hundred: the density rests on it."""
    view = view_of(disc())
    assert view.rim is not None
    assert view.rim.radius_px == pytest.approx(RADIUS, abs=0.6)
    shown = (1 - view.hidden_share) * view.mask.size
    assert shown == pytest.approx(math.pi * RADIUS**2, rel=2e-3 + 1.2 / RADIUS)
    assert view_of(disc(MIDDLE, 900.0)).rim is None


def test_beyond_the_rim_stands_the_mirror_image() -> None:
    """Inside nothing changes; a place as far outside shows what lies as far inside."""
    rows, columns = np.mgrid[0:200, 0:260]
    circle = Circle(130.0, 100.0, 80.0, 0.1)
    picture = np.repeat(np.hypot(columns - 130.0, rows - 100.0)[..., None], 3, 2).astype(np.float32)
    filled = mirrored(picture, circle)
    assert filled[100, 190, 0] == picture[100, 190, 0]
    assert filled[100, 130 + 95, 0] == pytest.approx(65.0, abs=0.05)
    assert filled[100 - 90, 130, 0] == pytest.approx(70.0, abs=0.05)


def test_a_circle_on_a_smaller_copy() -> None:
    """Places follow the pixels' middles."""
    half = Circle(99.5, 59.5, 50.0, 0.1).scaled(np.array([0.5, 0.5]))
    assert (half.x_px, half.y_px, half.radius_px) == (49.5, 29.5, 25.0)
