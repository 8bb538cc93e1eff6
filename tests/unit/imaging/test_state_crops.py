"""Crops of bodies for the network that proposes states."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from counter.imaging.photo import Pixels
from counter.imaging.state_crops import CLOSE_SIDE, SIDE, SPAN, crop, lit, stacked

TURN = np.arange(40) * 2 * np.pi / 40
CIRCLE = np.column_stack([np.cos(TURN), np.sin(TURN)])


def slide(bits: int = 8) -> Pixels:
    """A bright field of 140 × 200 pixels with a dark disc of radius 20 around (90, 60)."""
    y, x = np.mgrid[0:140, 0:200]
    grey = np.where(np.hypot(x - 90, y - 60) < 20, 60, 200).astype(np.uint8)
    return grey.astype(np.uint16) * np.uint16(257) if bits == 16 else grey


def made(pixels: Pixels, white: float = 255.0) -> NDArray[np.float32]:
    batch = stacked([crop(pixels, (90, 60), 40.0, CIRCLE * 20 + (90, 60))], white)
    return np.asarray(batch[0], np.float32)


def test_a_crop_is_centred_on_the_body_and_scaled_to_its_length() -> None:
    """The body's length is SIDE / SPAN pixels of the crop, its middle the crop's middle."""
    grey, mask = crop(slide(), (90, 60), 40.0, CIRCLE * 20 + (90, 60))
    assert grey.shape == mask.shape == (SIDE, SIDE)
    rows, columns = np.nonzero(mask > 127)
    assert np.ptp(columns) == pytest.approx(SIDE / SPAN, abs=1.5)
    assert columns.mean() == pytest.approx((SIDE - 1) / 2, abs=1.0)
    assert rows.mean() == pytest.approx((SIDE - 1) / 2, abs=1.0)
    dark = grey < 130
    assert (dark == (mask > 127)).mean() > 0.97


def test_a_closer_crop_shows_the_same_part_with_more_pixels() -> None:
    """Averaged two by two pixels, it is the other crop."""
    outline = CIRCLE * 40 + (90, 60)
    far, far_mask = crop(slide(), (90, 60), 80.0, outline)
    close, close_mask = crop(slide(), (90, 60), 80.0, outline, CLOSE_SIDE)
    assert close.shape == close_mask.shape == (CLOSE_SIDE, CLOSE_SIDE)
    for one, other in ((close, far), (close_mask, far_mask)):
        coarser = one.reshape(SIDE, 2, SIDE, 2).mean(axis=(1, 3))
        assert float(np.abs(coarser - other).mean()) < 4.0


def test_a_brighter_lamp_a_black_level_and_a_deeper_camera_change_nothing() -> None:
    """The light is measured from the surroundings, in units of the body's own contrast."""
    plain = made(slide())
    assert np.allclose(made((slide() * 0.5).astype(np.uint8)), plain, atol=0.03)
    assert np.allclose(made(slide() + np.uint8(30)), plain, atol=0.03)
    assert np.allclose(made(slide(16), 65535.0), plain, atol=0.03)
    assert np.allclose(made(np.repeat(slide()[:, :, None], 3, 2)), plain, atol=0.03)


def test_surroundings_are_nought_and_a_dark_body_is_negative() -> None:
    """Root mean square within the body is one; a bright body on a dark ground is positive."""
    light, mask = made(slide())
    assert abs(float(np.median(light[mask < 0.05]))) < 0.01
    assert float(light[mask > 0.95].mean()) == pytest.approx(-1.0, abs=0.1)
    light, mask = made(255 - slide())
    assert float(light[mask > 0.95].mean()) == pytest.approx(1.0, abs=0.1)


def test_an_empty_place_is_not_blown_up_to_noise() -> None:
    """Where there is no contrast at all, the light stays about nought."""
    rng = np.random.default_rng(4)
    flat = np.full((90, 120), 128.0) + rng.normal(0, 0.4, (90, 120))
    light = stacked(
        [crop(np.rint(flat).astype(np.uint8), (60, 45), 40.0, CIRCLE * 20 + (60, 45))], 255.0
    )[0, 0]
    assert float(np.abs(light).mean()) < 0.6


def test_a_crop_over_the_border_goes_on_with_the_outermost_pixels() -> None:
    """No black edge comes in."""
    grey, _ = crop(slide(), (4, 4), 40.0, CIRCLE * 20 + (4, 4))
    assert float(grey.min()) > 190


def test_a_crop_full_of_bodies_is_measured_from_its_mean() -> None:
    """Where no surroundings are left, something finite is answered."""
    greys = np.full((1, SIDE, SIDE), 90.0, np.float32)
    masks = np.full((1, SIDE, SIDE), 255, np.uint8)
    assert np.isfinite(lit(greys, masks, 255.0)).all()
