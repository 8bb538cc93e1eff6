"""Bands that show no picture: found to the pixel, and the edge rule holds at what they border."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from counter.domain.catalogue import species
from counter.domain.edges import EdgeRule, Frame
from counter.domain.field import PictureField
from counter.domain.picture import Picture
from counter.domain.progress import Silent
from counter.domain.scale import Scale
from counter.domain.species import TargetKind, target_of
from counter.imaging.bands import shown_frame
from counter.imaging.detect import Detection, detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, SceneSettings
from counter.imaging.photo import Photo, Pixels

Bytes = NDArray[np.uint8]

LARVAE = target_of(species("eastern-oyster"), TargetKind.LARVAE)
UM_PER_PX = 1.24
SLIDE = SceneSettings(width_px=700, height_px=500, population=(Group(Kind.UMBO, 16),))


def _field(value: float = 180, noise: float = 3.0) -> Bytes:
    grain = np.random.default_rng(7).normal(value, noise, (300, 410))
    return grain.clip(0, 255).astype(np.uint8)


def _framed(pixels: Bytes, top: int, under: int, left: int, right: int, shade: int) -> Bytes:
    edges = top, under, left, right
    value = (shade,) * 3
    made = cv2.copyMakeBorder(pixels, *edges, cv2.BORDER_CONSTANT, value=value)
    return np.asarray(made, np.uint8)


def _frame(shape: tuple[int, ...], top: int, under: int, left: int, right: int) -> Frame:
    height, width = shape[0] + top + under, shape[1] + left + right
    return Frame(left - 0.5, top - 0.5, width - right - 0.5, height - under - 0.5)


@pytest.mark.parametrize("shade", [0, 12, 128, 255])
@pytest.mark.parametrize(
    "edges", [(0, 30, 0, 0), (25, 0, 0, 0), (0, 0, 60, 60), (20, 20, 30, 30), (9, 40, 12, 0)]
)
def test_plain_bands_are_found_to_the_pixel(shade: int, edges: tuple[int, ...]) -> None:
    """Below, above, at both sides, all round."""
    top, under, left, right = edges
    picture = _framed(_field(), top, under, left, right, shade)
    assert shown_frame(Photo(picture)) == _frame((300, 410), top, under, left, right)


def test_a_strip_with_text_and_bar_is_found_in_a_jpeg() -> None:
    """To a pixel, in colour, saved at quality 60."""
    picture = np.repeat(_framed(_field(), 0, 44, 0, 0, 255)[..., None], 3, axis=2)
    cv2.putText(picture, "10x 200 um", (20, 332), cv2.FONT_HERSHEY_SIMPLEX, 0.8, (0, 0, 0), 2)
    cv2.rectangle(picture, (300, 318), (390, 324), (0, 0, 0), -1)
    coded = cv2.imencode(".jpg", picture, [cv2.IMWRITE_JPEG_QUALITY, 60])[1]
    decoded = np.asarray(cv2.imdecode(coded, cv2.IMREAD_COLOR), np.uint8)
    frame = shown_frame(Photo(decoded))
    assert frame is not None
    assert (frame.left, frame.top, frame.right) == (-0.5, -0.5, 409.5)
    assert frame.bottom == pytest.approx(299.5, abs=1)


def test_a_strip_is_found_in_16_bits() -> None:
    picture = _framed(_field(), 0, 30, 0, 0, 255).astype(np.uint16) * 16
    assert shown_frame(Photo(picture)) == _frame((300, 410), 0, 30, 0, 0)


def _round_view() -> Bytes:
    outside = np.ones((300, 410), np.uint8)
    cv2.circle(outside, (205, 150), 143, 0, -1)
    return np.where(outside > 0, 0, _field()).astype(np.uint8)


def _fading() -> Bytes:
    down = np.linspace(0, 1, 300)[:, None] ** 1.5
    return np.round(180 - 30 * down + np.zeros((300, 410))).astype(np.uint8)


def _dark_field() -> Bytes:
    picture = np.zeros((300, 410), np.uint8)
    for x in (60, 160, 300):
        cv2.circle(picture, (x, 150), 40, 200, -1)
    return picture


def _stitched() -> Bytes:
    picture = _field(40)
    picture[200:, :150] = 0
    return picture


def _ruled(water: float, line: float, width: int) -> Bytes:
    picture = _field(water, noise=0.5)
    picture[30 : 30 + width] = int(line)
    return picture


def _crowded_dark_field() -> Bytes:
    """Plain water above, and below bodies that cover most of each row."""
    picture = _field(9, noise=0.5)
    for x in range(40, 410, 66):
        for y in range(66, 300, 62):
            cv2.circle(picture, (x, y), 31, 90, -1)
    return picture


@pytest.mark.parametrize(
    "picture",
    [
        _field(),
        _field(noise=0.3),
        _fading(),
        _round_view(),
        _dark_field(),
        _stitched(),
        _ruled(190, 90, 3),
        _ruled(9, 60, 4),
        _ruled(150, 210, 22),
        _crowded_dark_field(),
    ],
    ids=[
        "field", "quiet field", "fading light", "round view", "dark field", "missing block",
        "thin ruling in quiet water", "ruling in dark field", "wide groove", "crowded dark field",
    ],
)  # fmt: skip
def test_what_is_no_band_is_left_alone(picture: Bytes) -> None:
    for turns in range(4):
        assert shown_frame(Photo(np.ascontiguousarray(np.rot90(picture, turns)))) is None


def _counted(
    pixels: Pixels, rule: EdgeRule
) -> tuple[Detection, list[tuple[float, float, float]], Picture]:
    """What is found, and where and how long each counted body is."""
    seen = detect(Photo(pixels).with_scale(UM_PER_PX), LARVAE, Silent())
    picture = Picture(
        "a.png", 0, pixels.shape[1], pixels.shape[0], Scale(UM_PER_PX, "given"), seen.area_mm2,
        shown=seen.shown,
    )  # fmt: skip
    field = PictureField(1, picture, {mark.mark_id: mark for mark in seen.marks})
    rows = [(each.x_px, each.y_px, each.length_um) for each in field.counted(rule)]
    return seen, rows, picture


@pytest.mark.parametrize("rule", list(EdgeRule))
@pytest.mark.parametrize(
    ("edges", "shade"), [((0, 40, 0, 0), 255), ((70, 70, 90, 90), 255), ((0, 0, 110, 110), 0)]
)
def test_bodies_that_a_band_cuts_are_counted_by_the_edge_rule(
    edges: tuple[int, int, int, int], shade: int, rule: EdgeRule
) -> None:
    """A scene of which the border cuts several larvae, alone and with bands round it: the same
    bodies are counted, with the same lengths and on the same area."""
    pixels = np.asarray(draw_scene(SLIDE, 31).pixels, np.uint8)
    alone, expected, _ = _counted(pixels, rule)
    assert sum(mark.is_cut for mark in alone.marks) >= 3
    assert len(expected) < len(alone.marks)
    top, _, left, _ = edges
    framed = _framed(pixels, *edges, shade)
    found, rows, picture = _counted(framed, rule)
    assert rows == [(x + left, y + top, length) for x, y, length in expected]
    assert found.area_mm2 == pytest.approx(alone.area_mm2, rel=1e-9)
    assert picture.frame == _frame(pixels.shape, *edges)
    assert "no field" in found.warnings[0]
