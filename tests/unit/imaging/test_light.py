"""The light is taken out, whatever lies on the slide."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from counter.imaging.light import factor_for, flatten, reduced

HEIGHT, WIDTH = 300, 410


def _lit(share: float, water: float, body: float) -> tuple[NDArray[np.uint8], NDArray[np.bool_]]:
    """Slanting light with noise, ``share`` of the field covered by discs; where the water is."""
    rng = np.random.default_rng(4)
    y, x = np.mgrid[:HEIGHT, :WIDTH]
    light = water * (1 - 0.4 * x / WIDTH - 0.15 * (y / HEIGHT) ** 2)
    bodies = np.zeros((HEIGHT, WIDTH), np.uint8)
    while bodies.mean() < share:
        centre = (int(rng.integers(0, WIDTH)), int(rng.integers(0, HEIGHT)))
        cv2.circle(bodies, centre, 18, 1, -1)
    grey = np.where(bodies > 0, light * body if body < 1 else light + body, light)
    grey = np.asarray(cv2.GaussianBlur(grey, (0, 0), 1), np.float64) + rng.normal(0, 2, grey.shape)
    far = cv2.dilate(bodies, np.ones((9, 9), np.uint8)) == 0
    return grey.clip(0, 255).astype(np.uint8), far


@pytest.mark.parametrize("share", [0.0, 0.1, 0.35, 0.45])
@pytest.mark.parametrize(("water", "body"), [(210.0, 0.6), (20.0, 120.0)])
def test_the_water_is_level_however_crowded_the_field(
    share: float, water: float, body: float
) -> None:
    """Dark bodies on bright, bright on dark, up to nearly half the field: water stays at 0."""
    picture, far = _lit(share, water, body)
    flat = flatten(reduced(picture, 1), np.full(picture.shape, 255, np.uint8), 60.0)
    level = cv2.blur(flat.contrast, (7, 7))[far]
    grain = 2 / 7 / float(np.percentile(picture, 99.5))  # what the blur leaves of the noise
    assert float(np.percentile(np.abs(level), 95)) < 0.02 + 2 * grain


def test_the_noise_is_that_of_the_water() -> None:
    """Noise of 2 of about 168 grey levels is a contrast of about 0.012, bodies or not."""
    for share in (0.0, 0.35):
        picture, _ = _lit(share, 210.0, 0.6)
        flat = flatten(reduced(picture, 1), np.full(picture.shape, 255, np.uint8), 60.0)
        assert flat.noise == pytest.approx(0.012, rel=0.6)


def test_the_working_scale_comes_from_the_smallest_target() -> None:
    """It depends on the target, not on the camera: about 16 to 31 pixels across."""
    for um_per_px in (0.2, 0.5, 1.24, 3.0):
        across = 60 / (um_per_px * factor_for(um_per_px, 60))
        assert 15.9 < across < 32
    assert factor_for(10.0, 60) == 1


def test_reduced_coordinates_are_those_of_block_centres() -> None:
    """Working pixel 0 of a copy 4 times smaller is the middle of pixels 0 to 3: 1.5."""
    copy = reduced(np.zeros((41, 62), np.uint8), 4)
    assert copy.pixels.shape == (10, 15)
    assert copy.to_full(np.array([[0.0, 1.0]])).tolist() == [[1.5, 5.5]]


def test_colour_is_weighed_by_where_bodies_stand_out() -> None:
    """Bodies that differ in blue alone still stand out: blue weighs most."""
    rng = np.random.default_rng(2)
    picture = rng.normal(180, 3, (HEIGHT, WIDTH, 3))
    body = np.zeros((HEIGHT, WIDTH), np.uint8)
    for x in range(40, 400, 60):
        cv2.circle(body, (x, 150), 18, 1, -1)
    picture[..., 2] -= 60 * body
    seen = np.full((HEIGHT, WIDTH), 255, np.uint8)
    flat = flatten(reduced(picture.clip(0, 255).astype(np.uint8), 1), seen, 60.0)
    assert flat.weights.argmax() == 2
    assert float(np.median(flat.contrast[body > 0])) < -0.15
