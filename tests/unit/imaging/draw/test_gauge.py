"""Stage micrometers and rulings are drawn with the period and the angle that was asked for."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from counter.errors import UsageError
from counter.imaging.draw import (
    Camera,
    Contrast,
    Light,
    MicrometerSettings,
    Rulings,
    RulingStyle,
    draw_micrometer,
    draw_rulings,
)

SETTINGS = MicrometerSettings(width_px=900, height_px=260, um_per_px=1.25, numbered=False)


def dips(profile: np.ndarray[tuple[int], np.dtype[np.float64]]) -> list[float]:
    """The middles (px) of the dark lines along a profile, weighted by their darkness."""
    dark = np.clip(np.median(profile) - profile - 15, 0, None)
    on = dark > 0
    edges = np.flatnonzero(np.diff(np.concatenate([[False], on, [False]]).astype(int)))
    return [
        float(np.average(np.arange(a, b), weights=dark[a:b]))
        for a, b in zip(edges[::2], edges[1::2], strict=True)
    ]


@pytest.mark.parametrize("um_per_px", [0.8, 1.25, 2.0])
def test_the_tenth_lines_are_ten_divisions_apart(um_per_px: float) -> None:
    """Where only 10th lines reach, dark lines are 100 µm apart, eleven for 1 mm."""
    settings = replace(SETTINGS, um_per_px=um_per_px, width_px=int(1160 / um_per_px))
    picture = draw_micrometer(settings, 1).pixels.astype(float).mean(axis=2)
    row = 130 - round(88 / um_per_px)
    lines = dips(picture[row - 2 : row + 3].mean(axis=0))
    assert len(lines) == 11
    slope = np.polyfit(np.arange(11), lines, 1)[0]
    assert slope == pytest.approx(100 / um_per_px, rel=1e-3)


def test_every_division_has_a_line() -> None:
    """Near the base line 1 mm in 100 parts has 101 lines, 10 µm apart."""
    picture = draw_micrometer(replace(SETTINGS, um_per_px=1.2), 1).pixels.astype(float)
    lines = dips(picture.mean(axis=2)[115:122].mean(axis=0))
    assert len(lines) == 101
    assert np.diff(lines).mean() == pytest.approx(10 / 1.2, rel=1e-3)


def test_the_scale_is_turned_clockwise_by_its_angle() -> None:
    """At 30° the dark pixels stretch along 30° below the horizontal (y points down)."""
    settings = replace(SETTINGS, height_px=620, angle_deg=30.0)
    picture = draw_micrometer(settings, 2).pixels.astype(float).mean(axis=2)
    rows, columns = np.nonzero(picture < np.median(picture) - 30)
    spread = np.cov(columns, rows)
    value, vector = np.linalg.eigh(spread)
    x, y = vector[:, int(np.argmax(value))]
    assert np.degrees(np.arctan2(y, x)) % 180 == pytest.approx(30.0, abs=1.0)


def test_numbers_are_written_beyond_the_tenth_lines() -> None:
    """Numbered or not differs only on the side of the long lines."""
    plain = draw_micrometer(SETTINGS, 1).pixels
    numbered = draw_micrometer(replace(SETTINGS, numbered=True), 1).pixels
    rows = np.nonzero((plain != numbered).any(axis=(1, 2)))[0]
    assert rows.size > 0
    assert rows.max() < 130 - 100 / 1.25


def test_in_dark_field_the_lines_shine() -> None:
    """Dark field turns the picture round: bright lines on a dark slide."""
    light = Light(contrast=Contrast.DARK_FIELD, colour=(0.02, 0.02, 0.03))
    picture = draw_micrometer(replace(SETTINGS, light=light), 1).pixels
    assert float(np.median(picture)) < 20
    assert int(picture.max()) > 110


def test_a_micrometer_without_divisions_is_refused() -> None:
    """No divisions, or divisions of nothing, cannot be drawn."""
    with pytest.raises(UsageError, match="division"):
        replace(SETTINGS, divisions=0)
    with pytest.raises(UsageError, match="division"):
        replace(SETTINGS, division_um=0.0)


def test_thin_dark_rulings_have_the_period_asked_for() -> None:
    """Dark lines lie at the offset and one period on, in both directions."""
    rulings = Rulings(period_um=300.0, width_um=8.0, offset_um=(60.0, 90.0))
    picture = draw_rulings(rulings, 1, 700, 420, 1.5).pixels.astype(float).mean(axis=2)
    columns = dips(picture[:40].mean(axis=0))
    rows = dips(picture[:, :30].mean(axis=1))
    assert columns == pytest.approx([40, 240, 440, 640], abs=0.3)
    assert rows == pytest.approx([60, 260], abs=0.3)


def test_grooves_are_bright_between_two_dark_edges() -> None:
    """A wide groove is brighter than the slide in its middle and darker at its edges."""
    rulings = Rulings(300.0, 40.0, 0.0, (75.0, 0.0), RulingStyle.BRIGHT_GROOVES, 0.8, crossed=False)
    picture = draw_rulings(rulings, 1, 400, 260, 1.5).pixels.astype(float).mean(axis=(0, 2))
    ground = float(np.median(picture))
    assert picture[49:52].mean() > ground + 12
    assert picture[36:38].mean() < ground - 12
    assert picture[63:65].mean() < ground - 12


def test_the_same_seed_draws_the_same_ruler() -> None:
    """Noise comes from the seed alone; without noise only the lamp differs."""
    settings = replace(SETTINGS, camera=Camera(shot_noise=0.03))
    first, again, other = (draw_micrometer(settings, seed).pixels for seed in (1, 1, 2))
    np.testing.assert_array_equal(first, again)
    assert (first != other).any()
