"""Rulings are found again where the lines seen at a wrong scale make no grid."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from counter.domain.progress import Silent
from counter.imaging.detect import detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, Rulings, RulingStyle, SceneSettings
from counter.imaging.photo import Photo
from counter.imaging.ruled_again import ruled_again
from tests.hatchery import LARVAE

LINES = Rulings(500.0, 50.0, 4.0, (130.0, 210.0), RulingStyle.BRIGHT_GROOVES)
SCENE = SceneSettings(703, 508, 2.05, (Group(Kind.UMBO, 5),), rulings=LINES)


def photo_of(rulings: Rulings | None, width_px: int = 703, um_per_px: float = 2.05) -> Photo:
    """A drawn field."""
    settings = replace(SCENE, width_px=width_px, um_per_px=um_per_px, rulings=rulings)
    return Photo(draw_scene(settings, 5).pixels)


@pytest.mark.parametrize("um_per_px", [0.7, 1.2, 2.05, 4.0])
def test_the_rulings_are_known_at_whatever_scale_is_given(um_per_px: float) -> None:
    """They alone can say that it is wrong."""
    found = detect(photo_of(LINES).with_scale(um_per_px), LARVAE, Silent())
    assert found.grid is not None
    assert found.grid.um_per_px(500.0) == pytest.approx(2.05, rel=2e-3)


@pytest.mark.parametrize(
    ("angle_deg", "width_px", "um_per_px"),
    [(4.0, 703, 2.05), (-38.0, 703, 2.05), (40.0, 703, 2.05), (4.0, 1403, 2.05)],
)
def test_the_lines_stand_where_they_were_drawn(
    angle_deg: float, width_px: int, um_per_px: float
) -> None:
    """To 1.5 px of the picture, both ways, however they are turned; also on a larger picture."""
    rulings = replace(LINES, angle_deg=angle_deg)
    found = ruled_again(photo_of(rulings, width_px, um_per_px), 5)
    assert found is not None
    assert found.has_squares
    assert found.angle_deg == pytest.approx(angle_deg, abs=0.2)
    for start, offset_um in zip((found.upright_px, found.level_px), rulings.offset_um, strict=True):
        assert start is not None
        off = (start - offset_um / um_per_px) / found.period_px
        assert abs(off - np.round(off)) * found.period_px < 1.5


def test_few_lines_are_no_reason_to_look() -> None:
    """Two lines could be fibres; and where three were seen, irregular ones stay none."""
    assert ruled_again(photo_of(LINES), 2) is None
    assert ruled_again(photo_of(None), 3) is None
