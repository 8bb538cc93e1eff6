"""Chamber rulings give the scale they were drawn with, larvae or not; other pictures give none."""

from __future__ import annotations

import functools
from dataclasses import replace
from typing import Any

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
    Rulings,
    RulingStyle,
    SceneSettings,
)
from counter.imaging.photo import Photo
from counter.imaging.rulings import find_rulings
from counter.imaging.scan_rulings import calibrate_rulings

CROWD = (
    Group(Kind.D_HINGE, 9),
    Group(Kind.ALGA, 10),
    Group(Kind.FIBRE, 1),
    Group(Kind.DEBRIS, 4),
)
LINES = Rulings(offset_um=(260.0, 410.0))
SCENE = SceneSettings(width_px=640, height_px=460, um_per_px=4.0, population=CROWD, rulings=LINES)
GROOVES = replace(LINES, style=RulingStyle.BRIGHT_GROOVES, width_um=60.0)


@functools.cache
def grey_of(settings: SceneSettings, seed: int = 2) -> NDArray[np.float32]:
    """Return the brightness of a drawn field."""
    return Photo(draw_scene(settings, seed).pixels).grey()


CASES: dict[str, dict[str, Any]] = {
    "slightly turned": {"rulings": replace(LINES, angle_deg=1.3)},
    "turned": {"rulings": replace(LINES, angle_deg=-31.0), "um_per_px": 5.5},
    "broad dark lines": {"rulings": replace(LINES, width_um=50.0, angle_deg=12.0)},
    "bright grooves, turned": {"rulings": replace(GROOVES, angle_deg=17.0), "um_per_px": 5.5},
    "fine squares": {"rulings": replace(LINES, period_um=250.0)},
    "faint": {"rulings": replace(LINES, strength=0.25)},
    "one way only": {"rulings": replace(LINES, crossed=False), "um_per_px": 6.5},
    "uneven light": {"light": Light(uneven=0.6, vignette=0.4)},
    "round view": {"light": Light(round_field=0.85), "um_per_px": 5.5},
    "dark field": {"light": Light(Contrast.DARK_FIELD, (0.05, 0.05, 0.05))},
    "noise and JPEG": {"camera": Camera(shot_noise=0.04, read_noise=0.02, jpeg_quality=60)},
    "no larvae": {"population": ()},
}


@pytest.mark.parametrize("case", CASES)
def test_the_drawn_scale_is_found(case: str) -> None:
    """Within 0.05 %, whatever the lines look like and whatever lies on them."""
    settings = replace(SCENE, **CASES[case])
    assert settings.rulings is not None
    found = calibrate_rulings(grey_of(settings), settings.rulings.period_um)
    assert found.um_per_px == pytest.approx(settings.um_per_px, rel=5e-4)
    assert abs(found.um_per_px - settings.um_per_px) < 4 * found.standard_error
    assert found.angle_deg == pytest.approx(settings.rulings.angle_deg, abs=0.3)
    assert found.divisions_used >= 2


def test_double_lines_count_as_one() -> None:
    """Two lines 40 µm apart at every 1000 µm are one ruling, placed at their middle."""
    first = draw_scene(replace(SCENE, population=()), 2).pixels.astype(float)
    shifted = replace(LINES, offset_um=(300.0, 450.0))
    second = draw_scene(replace(SCENE, population=(), rulings=shifted), 2).pixels.astype(float)
    both = np.minimum(first, second).astype(np.uint8)
    found = calibrate_rulings(Photo(both).grey(), 1000.0)
    assert found.um_per_px == pytest.approx(4.0, rel=5e-4)


@pytest.mark.parametrize("light", [Light(), Light(Contrast.DARK_FIELD, (0.05, 0.05, 0.05))])
def test_many_broad_lines_stand_out(light: Light) -> None:
    """A seventh of the picture is lines, so that its mean is no level of the water."""
    dense = Rulings(period_um=125.0, width_um=18.0, angle_deg=-0.9, offset_um=(40.0, 30.0))
    found = calibrate_rulings(grey_of(replace(SCENE, rulings=dense, light=light)), 125.0)
    assert found.um_per_px == pytest.approx(4.0, rel=3e-4)
    assert found.divisions_used > 20


def test_a_large_picture_is_measured_as_finely_as_it_shows() -> None:
    """Found on a copy half as large, measured on the picture itself: far better than a pixel."""
    lines = replace(LINES, angle_deg=2.1, width_um=12.0)
    wide = SceneSettings(1430, 1000, 2.1, (Group(Kind.D_HINGE, 12),), rulings=lines)
    found = calibrate_rulings(grey_of(wide), 1000.0)
    assert found.um_per_px == pytest.approx(2.1, rel=2e-4)
    assert found.angle_deg == pytest.approx(2.1, abs=0.03)
    assert found.standard_error < 3e-4 * 2.1


def test_few_lines_are_told() -> None:
    """Two lines each way that agree are enough, with a word of caution."""
    found = calibrate_rulings(grey_of(replace(SCENE, um_per_px=3.2)), 1000.0)
    assert found.um_per_px == pytest.approx(3.2, rel=5e-4)
    assert "rulings are seen" in found.warnings[0]


@pytest.mark.parametrize(
    "settings",
    [
        replace(SCENE, um_per_px=1.2),
        replace(SCENE, rulings=replace(LINES, crossed=False), um_per_px=2.4),
    ],
    ids=["one line each way", "two lines one way"],
)
def test_too_few_lines_to_check_anything_are_refused(settings: SceneSettings) -> None:
    """Never a guess: a single gap has nothing that agrees with it."""
    with pytest.raises(CounterError, match="no regular rulings"):
        calibrate_rulings(grey_of(settings), 1000.0)


@pytest.mark.parametrize("seed", range(4))
def test_larvae_fibres_and_round_views_are_no_rulings(seed: int) -> None:
    """Fields without rulings, crowded, uneven, round or compressed, give no scale."""
    rng = np.random.default_rng(seed)
    population = (
        Group(Kind.D_HINGE, int(rng.integers(0, 24))),
        Group(Kind.ALGA, int(rng.integers(0, 30))),
        Group(Kind.FIBRE, int(rng.integers(0, 5))),
        Group(Kind.BUBBLE, int(rng.integers(0, 3))),
    )
    settings = replace(
        SCENE,
        width_px=460,
        height_px=340,
        um_per_px=float(rng.uniform(1.5, 3.0)),
        population=population,
        rulings=None,
        light=Light(uneven=float(rng.uniform(0, 0.6)), round_field=(None, 0.75)[seed % 2]),
        camera=Camera(jpeg_quality=(None, 40, 80)[seed % 3]),
    )
    assert find_rulings(grey_of(settings, seed)) is None


def test_noise_ramps_and_flat_pictures_are_no_rulings() -> None:
    """Nor is a micrometer, whose lines don't cross the picture."""
    rng = np.random.default_rng(1)
    ramp = np.tile(np.linspace(0, 1, 260, dtype=np.float32), (180, 1))
    micrometer = draw_micrometer(MicrometerSettings(420, 300, angle_deg=4.0), 1)
    pictures = [
        rng.random((180, 260), dtype=np.float32),
        np.full((180, 260), 0.5, np.float32),
        np.zeros((20, 31), np.float32),
        ramp,
        ramp**2 * rng.normal(1, 0.05, ramp.shape).astype(np.float32),
        Photo(micrometer.pixels).grey(),
    ]
    for grey in pictures:
        assert find_rulings(grey) is None


@pytest.mark.parametrize(("period_um", "words"), [(0.0, "impossible"), (1.0, "really 1 µm")])
def test_a_period_that_cannot_be(period_um: float, words: str) -> None:
    """0, or 1 (mm) where µm are meant."""
    with pytest.raises(UsageError, match=words):
        calibrate_rulings(grey_of(SCENE), period_um)
