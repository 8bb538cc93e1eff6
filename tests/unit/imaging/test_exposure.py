"""Burned-out pictures are said to be so; well lit and dark ones are not."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from counter.domain.catalogue import species
from counter.domain.progress import Silent
from counter.domain.species import TargetKind, target_of
from counter.imaging.detect import detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Contrast, Group, Kind, Light, SceneSettings
from counter.imaging.exposure import exposure_words
from counter.imaging.photo import Photo, Pixels

LARVAE = target_of(species("eastern-oyster"), TargetKind.LARVAE)
SLIDE = SceneSettings(width_px=620, height_px=480, population=(Group(Kind.D_HINGE, 6),))


def lit(times: float) -> Pixels:
    """A drawn slide with so many times the light."""
    pixels = draw_scene(SLIDE, 12).pixels.astype(np.float32)
    return np.asarray((pixels * times / np.median(pixels) * 200).clip(0, 255), np.uint8)


@pytest.mark.parametrize("times", [1.6, 2.5])
def test_water_that_is_white_is_said_with_what_to_do(times: float) -> None:
    """In the count itself, and in a JPEG too."""
    coded = cv2.imencode(".jpg", lit(times), [cv2.IMWRITE_JPEG_QUALITY, 85])[1]
    pixels = np.asarray(cv2.imdecode(coded, cv2.IMREAD_COLOR), np.uint8)
    said = detect(Photo(pixels).with_scale(1.24), LARVAE, Silent()).warnings
    assert any("burned out to white" in words and "less light" in words for words in said)


@pytest.mark.parametrize("times", [0.2, 1.0])
def test_a_usual_or_a_dark_picture_needs_no_words(times: float) -> None:
    assert exposure_words(lit(times)) == ()


def test_white_of_a_12_bit_camera_is_known() -> None:
    assert exposure_words(lit(2.5).astype(np.uint16) * 16 + 15)
    assert not exposure_words(lit(1.0).astype(np.uint16) * 16)


def test_a_dark_field_is_not_burned_out() -> None:
    dark = draw_scene(
        SceneSettings(
            width_px=620,
            height_px=480,
            population=(Group(Kind.D_HINGE, 12),),
            light=Light(contrast=Contrast.DARK_FIELD),
        ),
        5,
    )
    assert exposure_words(np.asarray(dark.pixels)) == ()
