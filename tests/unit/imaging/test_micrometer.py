"""A stage micrometer gives the scale it was drawn with, or a refusal; never a guess."""

from __future__ import annotations

import functools
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from counter.errors import CounterError, UsageError
from counter.imaging.draw.gauge import MicrometerSettings, draw_micrometer
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import (
    Camera,
    Contrast,
    Group,
    Kind,
    Light,
    SceneSettings,
)
from counter.imaging.micrometer import calibrate_micrometer
from counter.imaging.photo import Photo

SMALL = MicrometerSettings(width_px=560, height_px=380, um_per_px=2.0)


@functools.cache
def grey_of(settings: MicrometerSettings, seed: int = 1) -> NDArray[np.float32]:
    """Return the brightness of a drawn micrometer."""
    return Photo(draw_micrometer(settings, seed).pixels).grey()


CASES = {
    "slightly turned": {"angle_deg": 1.7},
    "steep": {"angle_deg": -58.0, "um_per_px": 2.4},
    "upright": {"angle_deg": 90.0, "um_per_px": 2.4},
    "diagonal": {"angle_deg": 45.0},
    "part of it": {"um_per_px": 0.8, "angle_deg": 6.0},
    "strong objective": {"um_per_px": 0.2, "angle_deg": 3.0},
    "fine lines": {"um_per_px": 2.7, "angle_deg": 2.0},
    "noise": {"camera": Camera(shot_noise=0.06, read_noise=0.03), "angle_deg": 12.0},
    "blur": {"camera": Camera(blur_px=1.4), "angle_deg": -9.0},
    "JPEG": {"camera": Camera(jpeg_quality=45)},
    "uneven light": {"light": Light(uneven=0.7, vignette=0.5), "angle_deg": -4.0},
    "bright on dark": {"light": Light(Contrast.DARK_FIELD, (0.05, 0.05, 0.05)), "angle_deg": 5.0},
    "round view": {"light": Light(round_field=0.8), "um_per_px": 2.6, "angle_deg": 3.0},
    "faint": {"darkness": 0.15, "angle_deg": 20.0},
    "broad lines": {"line_um": 5.0},
}


@pytest.mark.parametrize("case", CASES)
def test_the_drawn_scale_is_found(case: str) -> None:
    """Well within 0.1 %, at any angle, and the angle within a third of a degree."""
    settings = replace(SMALL, **CASES[case])  # type: ignore[arg-type]
    found = calibrate_micrometer(grey_of(settings), 10.0)
    assert found.um_per_px == pytest.approx(settings.um_per_px, rel=1e-3)
    assert abs(found.um_per_px - settings.um_per_px) < 6 * found.standard_error + 1e-4
    turn = (found.angle_deg - settings.angle_deg + 90) % 180 - 90
    assert abs(turn) < 0.35


def test_all_divisions_are_used() -> None:
    """1 mm in 100 parts, all of it in the field, is 100 divisions, not 20 fifth lines."""
    found = calibrate_micrometer(grey_of(SMALL), 10.0)
    assert found.divisions_used == pytest.approx(100, abs=2)
    assert found.warnings == ()


def test_a_coarser_micrometer() -> None:
    """2 mm in 20 parts of 100 µm."""
    settings = replace(
        SMALL, division_um=100.0, divisions=20, um_per_px=3.0, line_um=8.0, tick_um=(200, 300, 400)
    )
    found = calibrate_micrometer(grey_of(settings), 100.0)
    assert found.um_per_px == pytest.approx(3.0, rel=1e-3)


def test_few_divisions_are_told() -> None:
    """Twelve divisions calibrate, with a word of caution."""
    found = calibrate_micrometer(grey_of(replace(SMALL, divisions=12, um_per_px=1.0)), 10.0)
    assert found.um_per_px == pytest.approx(1.0, rel=2e-3)
    assert "Only 1" in found.warnings[0]


@pytest.mark.parametrize("blur_px", [3.0, 5.0])
def test_where_only_longer_lines_can_be_told_apart_it_refuses(blur_px: float) -> None:
    """Out of focus the 5th lines alone stand out: a scale five times off must not come out."""
    settings = replace(SMALL, um_per_px=1.24, camera=Camera(blur_px=blur_px), width_px=1000)
    with pytest.raises(CounterError, match=r"longer lines|no regular lines"):
        calibrate_micrometer(grey_of(settings), 10.0)


@pytest.mark.parametrize("count", [0, 12])
def test_larvae_and_empty_fields_are_refused(count: int) -> None:
    """No lines, no scale."""
    scene = draw_scene(
        SceneSettings(
            width_px=420,
            height_px=300,
            population=(
                Group(Kind.D_HINGE, count),
                Group(Kind.ALGA, 2 * count),
                Group(Kind.FIBRE, count // 6),
            ),
        ),
        2,
    )
    with pytest.raises(CounterError, match="no regular lines"):
        calibrate_micrometer(Photo(scene.pixels).grey(), 10.0)


def test_noise_and_flat_pictures_are_refused() -> None:
    """Neither pure noise nor a plain picture has lines."""
    noise = np.random.default_rng(0).random((180, 260), dtype=np.float32)
    for grey in (noise, np.full((300, 420), 0.5, np.float32), np.zeros((30, 42), np.float32)):
        with pytest.raises(CounterError, match="no regular lines"):
            calibrate_micrometer(grey, 10.0)


@pytest.mark.parametrize("division_um", [0.0, -10.0, float("nan"), float("inf")])
def test_an_impossible_division_is_a_usage_error(division_um: float) -> None:
    """It must be above 0."""
    with pytest.raises(UsageError, match="impossible"):
        calibrate_micrometer(np.zeros((20, 30), np.float32), division_um)


def test_a_wrong_unit_of_the_division_is_told() -> None:
    """0.01 (mm) instead of 10 (µm) would be a scale that no microscope has."""
    with pytest.raises(UsageError, match=r"really 0\.01 µm"):
        calibrate_micrometer(grey_of(replace(SMALL, divisions=12, um_per_px=1.0)), 0.01)
