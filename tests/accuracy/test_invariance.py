"""What must not change the count or the lengths: turning, mirroring, lamp, camera, rulings.

A scene with D-hinge and umbo larvae and litter is counted as drawn and then changed; the same
bodies must be found at the changed places, as long as before.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import cache

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from counter.domain.mark import Mark
from counter.domain.progress import Silent
from counter.imaging.detect import detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Rulings
from counter.imaging.draw.truth import Scene
from counter.imaging.photo import Photo
from tests.accuracy.matching import compared
from tests.accuracy.scenes import KINDS, scene, target_for

Picture = NDArray[np.uint8]
NAME, SEED = "litter", 5
TARGET = target_for(KINDS[NAME])


def _found(pixels: Picture, um_per_px: float) -> tuple[Mark, ...]:
    return detect(Photo(pixels).with_scale(um_per_px), TARGET, Silent()).marks


@cache
def _as_drawn() -> tuple[Scene, tuple[Mark, ...]]:
    drawn = scene(NAME, SEED)
    return drawn, _found(np.asarray(drawn.pixels, np.uint8), drawn.um_per_px)


def _whole(marks: tuple[Mark, ...]) -> list[Mark]:
    return [mark for mark in marks if not mark.is_cut]


def _mirrored(pixels: Picture) -> Picture:
    return np.ascontiguousarray(pixels[:, ::-1])


def _upside_down(pixels: Picture) -> Picture:
    return np.ascontiguousarray(pixels[::-1])


def _quarter_turned(pixels: Picture) -> Picture:
    return np.ascontiguousarray(np.rot90(pixels))


TURNS: dict[str, tuple[Callable[[Picture], Picture], Callable[[float, float], tuple[float, float]]]]
TURNS = {
    "mirrored": (_mirrored, lambda x, y: (899 - x, y)),
    "upside down": (_upside_down, lambda x, y: (x, 679 - y)),
    "quarter turn": (_quarter_turned, lambda x, y: (y, 899 - x)),
}


@pytest.mark.parametrize("name", list(TURNS))
def test_turning_the_slide_changes_nothing(name: str) -> None:
    """Each whole body is found at its new place, within 2 pixels, its length within 1.5 %.

    Of what the border cuts to a sliver one may be seen or not.
    """
    turn, moved = TURNS[name]
    drawn, before = _as_drawn()
    after = _found(turn(np.asarray(drawn.pixels, np.uint8)), drawn.um_per_px)
    assert abs(len(after) - len(before)) <= 1
    assert len(_whole(after)) == len(_whole(before)) > 8
    for mark in _whole(before):
        x, y = moved(mark.x_px, mark.y_px)
        near = min(after, key=lambda each: np.hypot(each.x_px - x, each.y_px - y))
        assert np.hypot(near.x_px - x, near.y_px - y) < 2
        assert near.length_um == pytest.approx(mark.length_um, rel=0.015)


@pytest.mark.parametrize(("gain", "offset"), [(0.55, 0.0), (0.75, 20.0), (1.1, 0.0), (1.0, -25.0)])
def test_lamp_and_camera_change_nothing(gain: float, offset: float) -> None:
    """Darker, brighter, or with a raised black level: the same bodies, lengths within 2 %."""
    drawn, before = _as_drawn()
    changed = np.clip(np.asarray(drawn.pixels, np.float32) * gain + offset, 0, 255)
    after = _found(changed.astype(np.uint8), drawn.um_per_px)
    assert len(after) == len(before)
    for old, new in zip(_whole(before), _whole(after), strict=True):
        assert new.length_um == pytest.approx(old.length_um, rel=0.02)


@pytest.mark.parametrize("factor", [0.7, 0.85, 1.3, 1.8])
def test_resampling_changes_nothing_but_the_scale(factor: float) -> None:
    """The same slide by a camera of other pixels: the same bodies, lengths within 3 %."""
    drawn, before = _as_drawn()
    way = cv2.INTER_AREA if factor < 1 else cv2.INTER_CUBIC
    pixels = cv2.resize(drawn.pixels, None, fx=factor, fy=factor, interpolation=way)
    after = _found(np.asarray(pixels, np.uint8), drawn.um_per_px / factor)
    assert len(after) == len(before)
    pairs = zip(_whole(before), _whole(after), strict=True)
    errors = [abs(new.length_um / old.length_um - 1) for old, new in pairs]
    assert float(np.mean(errors)) < 0.015
    assert max(errors) < 0.05


def test_rulings_and_no_rulings_agree() -> None:
    """The same bodies with and without the chamber's lines: all found, none too many."""
    bare = KINDS["thin rulings"].settings
    ruled = replace(bare, rulings=Rulings(period_um=500, angle_deg=7))
    plain = replace(bare, rulings=None)
    for settings in (ruled, plain):
        drawn = draw_scene(settings, SEED)
        outcome = compared(drawn, _found(np.asarray(drawn.pixels), drawn.um_per_px), TARGET)
        assert outcome.f1 == 1.0


@pytest.mark.parametrize(("overlap", "least"), [(0.0, 1.0), (0.1, 1.0), (0.25, 0.95), (0.4, 0.85)])
def test_overlapping_larvae_come_apart(overlap: float, least: float) -> None:
    """The deeper bodies lie over each other, the fewer may be lost: F1 as noted."""
    settings = replace(KINDS["overlapped"].settings, overlap=overlap)
    drawn = draw_scene(settings, SEED)
    marks = _found(np.asarray(drawn.pixels), drawn.um_per_px)
    assert compared(drawn, marks, TARGET).f1 >= least


@pytest.mark.parametrize(("defocus_um", "error"), [(0.0, 0.02), (8.0, 0.025), (16.0, 0.04)])
def test_bodies_out_of_focus_are_found(defocus_um: float, error: float) -> None:
    """The further from the focal plane, the less certain a length; none is lost."""
    settings = replace(KINDS["d-hinge"].settings, defocus_um=defocus_um)
    drawn = draw_scene(settings, SEED)
    outcome = compared(drawn, _found(np.asarray(drawn.pixels), drawn.um_per_px), TARGET)
    assert outcome.f1 == 1.0
    assert outcome.mean_error < error
