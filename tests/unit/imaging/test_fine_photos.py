"""Photos of very many fine pixels: searched smaller, in one piece, with rim, strip and rulings."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from counter.domain.catalogue import species
from counter.domain.edges import EdgeRule, picture_frame
from counter.domain.progress import Silent
from counter.domain.species import TargetKind, target_of
from counter.imaging.detect import Detection, detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, Light, Rulings, SceneSettings
from counter.imaging.photo import Photo, Pixels

LARVAE = target_of(species("eastern-oyster"), TargetKind.LARVAE)
UM_PER_PX = 0.6
SLIDE = SceneSettings(
    width_px=1001, height_px=803, um_per_px=UM_PER_PX, population=(Group(Kind.D_HINGE, 12),)
)


@pytest.fixture
def few_at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """A photo of 800,000 pixels is a large one."""
    monkeypatch.setattr("counter.imaging.detect.WHOLE_PX", 300_000)


def _found(pixels: Pixels) -> Detection:
    return detect(Photo(pixels).with_scale(UM_PER_PX), LARVAE, Silent())


def _drawn(settings: SceneSettings) -> tuple[NDArray[np.float64], Pixels]:
    """Middles and lengths of the larvae, and the picture."""
    scene = draw_scene(settings, 8)
    rows = [(each.x_px, each.y_px, each.length_um) for each in scene.larvae if not each.is_cut]
    return np.array(rows), np.asarray(scene.pixels)


@pytest.mark.usefixtures("few_at_once")
def test_marks_lie_and_measure_as_drawn() -> None:
    """In pixels of the photo itself: middles within a twentieth of the length, lengths to 3 %."""
    truth, pixels = _drawn(SLIDE)
    found = _found(pixels)
    assert len(truth) >= 8
    for x, y, length_um in truth:
        mark = min(found.marks, key=lambda each: np.hypot(each.x_px - x, each.y_px - y))
        assert np.hypot(mark.x_px - x, mark.y_px - y) * UM_PER_PX < 0.05 * length_um
        assert mark.length_um == pytest.approx(length_um, rel=0.03)
    assert found.area_mm2 == pytest.approx(1001 * 803 * UM_PER_PX**2 * 1e-6)


def test_a_large_round_view_is_counted_as_a_small_one(request: pytest.FixtureRequest) -> None:
    """Its rim is known, and the same bodies on it are counted."""
    _, pixels = _drawn(replace(SLIDE, light=Light(round_field=0.8)))
    frame = picture_frame(1001, 803)
    as_it_is = _found(pixels)
    request.getfixturevalue("few_at_once")
    smaller = _found(pixels)
    assert as_it_is.rim is not None
    assert smaller.rim is not None
    assert smaller.rim.radius_px == pytest.approx(as_it_is.rim.radius_px, rel=0.005)
    assert smaller.rim.x_px == pytest.approx(as_it_is.rim.x_px, abs=2)
    assert smaller.area_mm2 == pytest.approx(as_it_is.area_mm2, rel=0.01)
    counts = [
        sum(seen.rim.is_counted(mark.outline_px, frame, EdgeRule.TOP_LEFT) for mark in seen.marks)
        for seen in (as_it_is, smaller)
        if seen.rim is not None
    ]
    assert counts[0] == counts[1] > 3


@pytest.mark.usefixtures("few_at_once")
def test_a_strip_of_data_on_a_large_photo_is_cut_off() -> None:
    _, pixels = _drawn(SLIDE)
    found = _found(np.concatenate([pixels, np.full((60, 1001, 3), 255, np.uint8)]))
    assert found.shown is not None
    assert (found.shown.left, found.shown.top, found.shown.right) == (-0.5, -0.5, 1000.5)
    assert found.shown.bottom == pytest.approx(802.5, abs=2)
    cut = [mark for mark in found.marks if mark.is_cut]
    lowest = max(y for mark in found.marks for _, y in mark.outline_px)
    assert cut
    assert lowest == pytest.approx(found.shown.bottom, abs=2)


@pytest.mark.usefixtures("few_at_once")
def test_rulings_of_a_large_photo_are_known_in_its_own_pixels() -> None:
    rulings = Rulings(period_um=150, angle_deg=4)
    _, pixels = _drawn(replace(SLIDE, rulings=rulings))
    found = _found(pixels)
    assert found.grid is not None
    assert found.grid.um_per_px(150) == pytest.approx(UM_PER_PX, rel=0.003)
    assert (found.grid.width_px, found.grid.height_px) == (1001, 803)
