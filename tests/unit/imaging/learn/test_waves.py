"""Light as waves: checked against what optics says of simple things."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from counter.imaging.learn import outlines, waves
from counter.imaging.learn.bodies import Body
from counter.imaging.learn.body_looks import BodyClass, any_look
from counter.imaging.learn.light import Contrast

OPEN = np.ones((96, 128), np.complex64)


def _grating(period_px: int) -> np.ndarray:
    x = np.arange(128)
    return np.broadcast_to(np.where(x % period_px < period_px / 2, 1.0, 0.2), (96, 128))


def test_a_grating_is_seen_again_at_the_distance_of_talbot() -> None:
    """A grating images itself at twice its period squared over the wavelength.

    Goodman JW, Introduction to Fourier Optics, 3rd ed. 2005, section 4.5.2 (the Talbot image).
    """
    wave = _grating(16).astype(np.complex64)
    sharp = np.square(np.abs(wave))
    again = waves.spread(wave, 2 * 16**2, OPEN)
    assert np.abs(again - sharp).max() < 1e-2
    between = waves.spread(wave, 16**2 / 2, OPEN)
    assert np.abs(between - sharp).max() > 0.2


def test_half_way_the_grating_is_seen_shifted_by_half_its_period() -> None:
    """The phase-reversed Talbot image, same section."""
    wave = _grating(16).astype(np.complex64)
    sharp = np.square(np.abs(wave))
    shifted = waves.spread(wave, 16**2, OPEN)
    assert np.abs(shifted - np.roll(sharp, 8, axis=1)).max() < 1e-2


def test_what_only_bends_light_is_unseen_in_focus_and_loses_none_out_of_it() -> None:
    """The energy stays (Parseval); without absorption nothing shows in focus."""
    y, x = np.mgrid[:96, :128]
    bump = 3 * np.exp(-((x - 60) ** 2 + (y - 40) ** 2) / 200)
    wave = np.exp(1j * bump).astype(np.complex64)
    assert np.abs(waves.spread(wave, 0.0, OPEN) - 1).max() < 1e-3
    blurred = waves.spread(wave, 60.0, OPEN)
    assert blurred.std() > 0.05
    assert blurred.mean() == pytest.approx(1, abs=1e-3)


def test_both_sides_of_the_focus_lose_what_the_other_gains() -> None:
    """For a weak phase object the contrast turns round with the side (transport of intensity).

    Teague MR (1983), J. Opt. Soc. Am. 73:1434-1441.
    """
    y, x = np.mgrid[:96, :128]
    bump = 0.05 * np.exp(-((x - 60) ** 2 + (y - 40) ** 2) / 200)
    wave = np.exp(1j * bump).astype(np.complex64)
    near, far = (waves.spread(wave, side * 30.0, OPEN) - 1 for side in (1, -1))
    assert np.abs(near).max() > 3e-3
    assert np.abs(near + far).max() < 0.1 * np.abs(near).max()


def test_a_stop_leaves_the_empty_field_dark_and_a_body_bright() -> None:
    """Dark field: only light that a body bends or scatters passes."""
    rng = np.random.default_rng(3)
    through = waves.pupil(128, 0.4, Contrast.DARK, rng)
    assert waves.spread(np.ones((128, 128), np.complex64), 0.0, through).max() < 1e-6
    wave = np.ones((128, 128), np.complex64)
    wave[50:70, 40:60] = np.exp(1j)
    light = waves.spread(wave, 0.0, through)
    assert light[45:75, 35:65].mean() > 20 * light[100:, 100:].mean()


def test_a_ring_shows_in_focus_what_only_bends_light() -> None:
    """Zernike's phase contrast: the phase of a small weak bump is seen, on a much altered ground.

    Zernike F (1942), Physica 9:686-698: with the direct light a quarter of a wave behind or before
    and weaker, contrast is twice the phase over the root of what is left of the direct light.
    """
    for seed in range(4):
        rng = np.random.default_rng(seed)
        through = waves.pupil(128, 0.5, Contrast.PHASE, rng)
        wave = np.ones((128, 128), np.complex64)
        wave[60:64, 70:74] = np.exp(0.1j)
        light = waves.spread(wave, 0.0, through)
        ground, left = float(np.median(light)), abs(complex(through[0, 0]))
        contrast = abs(float(light[61:63, 71:73].mean()) / ground - 1)
        assert ground == pytest.approx(left**2, rel=0.05)
        assert contrast == pytest.approx(2 * 0.1 / left, rel=0.25)


def _body(kind: BodyClass) -> Body:
    rng = np.random.default_rng(1)
    look = replace(any_look(rng, kind), kind=kind)
    return Body((60.0, 50.0), outlines.egg(rng) * np.float32(24), look, 0.0, 0.0, 1.0)


def test_a_body_is_thick_in_its_middle_and_an_empty_shell_thin() -> None:
    """A dome of no height at the outline; nothing beside it."""
    egg, shell = (
        np.abs(waves.thickness(128, [_body(kind)], np.random.default_rng(7)))
        for kind in (BodyClass.EGG, BodyClass.EMPTY)
    )
    assert egg[50, 60] == egg.max() > 0.2
    assert egg[50, 60 + 40] == 0
    assert shell.max() == pytest.approx(0.15 * egg.max(), rel=0.01)


def test_whatever_the_contrast_a_picture_comes_out_whole() -> None:
    """Light is never negative, and each body says by how much it changes it."""
    bodies = [_body(BodyClass.LARVA)]
    for seed, contrast in enumerate((None, Contrast.BRIGHT, Contrast.DARK, Contrast.PHASE)):
        rng = np.random.default_rng(seed)
        density = np.zeros((128, 128, 3), np.float32)
        density[30:70, 40:80] = 0.8
        light, changes = waves.through_lens(density, np.ones_like(density), bodies, rng, contrast)
        assert light.shape == (128, 128, 3)
        assert np.isfinite(light).all()
        assert light.min() >= 0
        assert len(changes) == 1
        assert changes[0] > 0.05
