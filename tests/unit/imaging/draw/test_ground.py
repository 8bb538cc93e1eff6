"""The empty field: colour, unevenness, black corners, rulings."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.random import default_rng

from counter.imaging.draw.ground import empty_field, rule, seen
from counter.imaging.draw.settings import (
    Contrast,
    Light,
    Rulings,
    RulingStyle,
    SceneSettings,
)

SETTINGS = SceneSettings(320, 240, 2.0, (), light=Light(uneven=0.0, vignette=0.0))


def test_the_field_has_the_colour_of_the_light() -> None:
    """Even light: the colour asked for, nearly the same everywhere."""
    settings = replace(SETTINGS, light=Light(colour=(0.9, 0.6, 0.3), uneven=0.0, vignette=0.0))
    field = empty_field(settings, default_rng(1))
    assert field.shape == (240, 320, 3)
    np.testing.assert_allclose(field.mean(axis=(0, 1)), (0.9, 0.6, 0.3), rtol=0.01)
    assert field.std(axis=(0, 1)).max() < 0.01


def test_uneven_light_misses_as_much_as_was_said() -> None:
    """``uneven`` 0.4: the darkest place has about 60 % of the brightest."""
    settings = replace(SETTINGS, light=Light(uneven=0.4, vignette=0.0))
    field = empty_field(settings, default_rng(2))[:, :, 0]
    assert field.min() / field.max() == pytest.approx(0.6, abs=0.04)


def test_a_vignette_dims_the_corners() -> None:
    """Corners have less light than the middle."""
    field = empty_field(replace(SETTINGS, light=Light(uneven=0.0, vignette=0.3)), default_rng(3))[
        :, :, 0
    ]
    assert field[:8, :8].mean() < 0.75 * field[110:130, 150:170].mean()


def test_a_full_field_hides_nothing() -> None:
    """Without a round field there is no mask."""
    assert seen(SETTINGS) is None


def test_without_rulings_nothing_is_drawn() -> None:
    """The field stays as it was."""
    field = np.ones((240, 320, 3), np.float32)
    rule(field, SETTINGS, default_rng(4))
    assert (field == 1).all()


@pytest.mark.parametrize("style", list(RulingStyle))
def test_rulings_shine_in_dark_field(style: RulingStyle) -> None:
    """In dark field the lines add light."""
    settings = replace(
        SETTINGS, light=Light(Contrast.DARK_FIELD), rulings=Rulings(200.0, 20.0, style=style)
    )
    field = np.zeros((240, 320, 3), np.float32)
    rule(field, settings, default_rng(5))
    assert field.min() >= 0
    assert field.max() > 0.15


def test_rulings_that_are_not_crossed_run_one_way() -> None:
    """Uncrossed: only upright lines."""
    settings = replace(SETTINGS, rulings=Rulings(200.0, 10.0, crossed=False))
    field = np.ones((240, 320, 3), np.float32)
    rule(field, settings, default_rng(6))
    assert field[:, :, 0].mean(axis=0).std() > 0.1
    assert field[:, :, 0].mean(axis=1).std() < 1e-4
