"""Lamp, contrast, frame and camera of training patches."""

from __future__ import annotations

import numpy as np

from counter.imaging.learn import light
from counter.imaging.learn.canvas import Textures
from counter.imaging.net import seen_by_net


def test_a_patch_is_seen_as_the_network_sees_a_picture() -> None:
    """Training and counting scale brightness in the same way, to a grey level."""
    rng = np.random.default_rng(2)
    picture = rng.integers(20, 200, (96, 64, 3)).astype(np.uint8)
    trained = light.as_seen((picture / 255).astype(np.float32)).astype(np.float32) / 212.5
    counted = seen_by_net(picture, 1.0) / 2 + 0.5
    assert np.abs(trained - counted).max() < 0.02


def test_empty_density_gives_the_bare_field() -> None:
    """Where nothing takes light away the picture shows no body: it is smooth."""
    rng = np.random.default_rng(9)
    tex = Textures(np.random.default_rng(0))
    field = light.lamp(rng, 128, tex)
    seen = light.expose(np.zeros((128, 128, 3), np.float32), field, rng)
    assert seen.shape == (128, 128, 3)
    assert np.abs(np.diff(seen, axis=0)).max() < 0.1


def test_a_contrast_asked_for_is_given() -> None:
    """In a dark field a dense body is brighter than the water, in a bright field darker."""
    rng = np.random.default_rng(4)
    density = np.zeros((96, 128, 3), np.float32)
    density[30:60, 40:80] = 1.0
    for contrast, sign in ((light.Contrast.DARK, 1), (light.Contrast.BRIGHT, -1)):
        seen = light.expose(density, np.ones_like(density), rng, contrast)
        assert sign * (seen[40:50, 50:70].mean() - seen[:20].mean()) > 0.05


def test_a_frame_hides_what_it_blackens() -> None:
    """Outside a round view or under a plain block nothing is visible."""
    hidden = 0
    for seed in range(60):
        bright = np.ones((128, 128, 3), np.float32)
        visible = np.ones((128, 128), bool)
        light.frame(bright, np.random.default_rng(seed), visible)
        hidden += not visible.all()
        assert visible.any() or bright.max() <= 1.2
    assert 2 <= hidden <= 30


def test_a_photograph_has_the_asked_size_and_is_seen_as_bytes() -> None:
    """Whatever blur, noise or file is drawn, the patch comes out whole."""
    tex = Textures(np.random.default_rng(0))
    for seed in range(12):
        rng = np.random.default_rng(seed)
        picture = light.photograph(np.full((128, 128, 3), 0.5, np.float32), 64, rng, tex)
        assert picture.shape == (64, 64, 3)
        assert picture.dtype == np.float32
        assert light.as_seen(picture).dtype == np.uint8
