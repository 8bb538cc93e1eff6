"""The camera: noise of the size asked for, softness, bits, and no colour where none is wanted."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.random import default_rng

from counter.imaging.draw.camera import exposed
from counter.imaging.draw.settings import Camera

GREY = np.full((120, 160, 3), 0.5, np.float32)
SILENT = Camera(blur_px=0.0, shot_noise=0.0, read_noise=0.0)


def test_a_silent_camera_writes_what_it_gets() -> None:
    """0.5 becomes 128 of 255, or 32768 of 65535."""
    assert np.unique(exposed(GREY, SILENT, default_rng(1))).tolist() == [128]
    deep = Camera(0.0, 0.0, 0.0, bits=16)
    assert np.unique(exposed(GREY, deep, default_rng(1))).tolist() == [32768]


def test_noise_has_the_deviation_asked_for() -> None:
    """Shot noise falls with the root of the light; read noise adds in squares."""
    noisy = Camera(0.0, 0.04, 0.01, bits=16)
    spread = exposed(GREY, noisy, default_rng(2)).std() / 65535
    assert spread == pytest.approx(np.sqrt(0.04**2 * 0.5 + 0.01**2), rel=0.03)


def test_blur_softens_an_edge_and_keeps_its_place() -> None:
    """The edge is spread over more pixels, its middle stays."""
    edge = np.zeros((60, 80, 3), np.float32)
    edge[:, 40:] = 1.0
    row = exposed(edge, Camera(2.0, 0.0, 0.0), default_rng(3))[30, :, 0].astype(float)
    assert np.diff(row).max() < 80
    assert np.interp(127.5, row, np.arange(80)) == pytest.approx(39.5, abs=0.05)


def test_jpeg_softness_changes_the_picture_a_little() -> None:
    """Low quality leaves marks, and colours stay where they were."""
    scene = np.tile(np.linspace(0, 1, 160, dtype=np.float32)[None, :, None], (120, 1, 3))
    scene[40:60, 50:90] = (0.9, 0.1, 0.1)
    sharp = exposed(scene, SILENT, default_rng(4)).astype(float)
    packed = exposed(scene, Camera(0.0, 0.0, 0.0, jpeg_quality=40), default_rng(4)).astype(float)
    assert 0.3 < np.abs(sharp - packed).mean() < 8
    assert packed[50, 70, 0] > packed[50, 70, 2] + 100


def test_a_grey_camera_weighs_colours_as_the_eye_does() -> None:
    """Pure green is brighter than pure red, which is brighter than pure blue."""
    values = []
    for channel in range(3):
        colour = np.zeros((8, 9, 3), np.float32)
        colour[:, :, channel] = 1
        values.append(
            int(exposed(colour, Camera(0.0, 0.0, 0.0, colour=False), default_rng(5))[4, 4])
        )
    assert values == [76, 150, 29]
    packed = exposed(GREY, Camera(0.0, 0.0, 0.0, jpeg_quality=80, colour=False), default_rng(6))
    assert packed.shape == (120, 160)
