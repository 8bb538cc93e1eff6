"""What of a picture shows the field."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from counter.imaging.rays import Picture
from counter.imaging.view import view_of

Bytes = NDArray[np.uint8]


def _field(value: int = 180) -> Bytes:
    grain = np.random.default_rng(7).normal(value, 3, (300, 410))
    return grain.clip(0, 255).astype(np.uint8)


def test_a_full_picture_shows_the_field_everywhere() -> None:
    """Nothing hidden, nothing masked, nothing to warn of."""
    view = view_of(_field())
    assert view.hidden_share == 0
    assert view.mask.all()
    assert view.warnings == ()


@pytest.mark.parametrize("dark", [0, 8])
def test_black_corners_of_a_round_view_are_hidden(dark: int) -> None:
    """The share outside the circle, within 2 % of the picture, and it is said in words."""
    outside = np.ones((300, 410), np.uint8)
    cv2.circle(outside, (205, 150), 148, 0, -1)
    picture = np.where(outside > 0, dark, _field()).astype(np.uint8)
    view = view_of(picture)
    assert view.hidden_share == pytest.approx(outside.mean(), abs=0.02)
    assert view.mask[150, 205] == 255
    assert view.mask[3, 3] == 0
    assert "no field" in view.warnings[0]


def test_dark_field_is_no_black_surrounding() -> None:
    """Bright bodies on black are a field, not a round view."""
    picture = _field(12)
    for x in (100, 200, 300):
        cv2.circle(picture, (x, 150), 40, 200, -1)
    assert view_of(picture).hidden_share == 0


def test_a_blank_block_of_a_stitched_picture_is_hidden() -> None:
    """An upright corner block of exactly one value is no field."""
    picture = _field(40)
    picture[200:, :150] = 0
    assert view_of(picture).hidden_share == pytest.approx(100 * 150 / picture.size, abs=0.02)


def test_a_data_strip_is_hidden() -> None:
    """A plain strip with text along the lower edge is no field."""
    picture = _field()
    picture[275:] = 0
    picture[282:292, 20:60:3] = 255
    assert view_of(picture).hidden_share == pytest.approx(25 / 300, abs=0.01)


def test_a_strip_of_nearly_the_shade_of_the_field_is_hidden() -> None:
    """A white strip below a bright field is told by the jump at its end."""
    picture = _field(240)
    picture[275:] = 255
    assert view_of(picture).hidden_share == pytest.approx(25 / 300, abs=0.01)


@pytest.mark.parametrize("turns", [0, 1, 2, 3])
@pytest.mark.parametrize("noise", [0.0, 0.2, 0.4])
def test_an_even_field_that_fades_is_no_data_strip(turns: int, noise: float) -> None:
    """Light that falls off slowly over a quiet picture is within a level of one value in the first
    rows and ends nowhere: the whole picture is field.
    """
    fading = 180 - 20 * np.linspace(0, 1, 300)[:, None] ** 1.5 - 4 * np.linspace(-1, 1, 410) ** 2
    grain = np.random.default_rng(8).normal(0, noise, fading.shape)
    picture = np.rot90(np.round(fading + grain).clip(0, 255).astype(np.uint8), turns)
    assert view_of(np.ascontiguousarray(picture)).hidden_share == 0


def test_a_scale_bar_is_masked_but_its_area_counts() -> None:
    """A burned-in bar with its text is not searched; the area under it is not subtracted."""
    picture = _field()
    picture[280:283, 300:380] = 255
    view = view_of(picture)
    assert view.mask[281, 340] == 0
    assert view.hidden_share == 0


@pytest.mark.parametrize("kind", ["uint16", "float32", "colour"])
def test_every_kind_of_pixels_is_seen_alike(kind: str) -> None:
    """16 bits, floating point and colour give the mask of the same picture in bytes."""
    outside = np.ones((300, 410), np.uint8)
    cv2.circle(outside, (205, 150), 148, 0, -1)
    picture = np.where(outside > 0, 0, _field()).astype(np.uint8)
    kinds: dict[str, Picture] = {
        "uint16": picture.astype(np.uint16) * 200,
        "float32": np.asarray(picture / 255, np.float32),
        "colour": np.repeat(picture[..., None], 3, axis=2),
    }
    assert np.mean(view_of(kinds[kind]).mask != view_of(picture).mask) < 0.01
