"""A scanned slide in the window: its overview, close-ups of what is in sight, gestures on it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
import tifffile
from pytestqt.qtbot import QtBot

from counter.domain.field import PictureField
from counter.domain.mark import Mark
from counter.domain.picture import Picture
from counter.domain.progress import Silent
from counter.domain.scale import Scale
from counter.domain.species import Target
from counter.errors import CounterError
from counter.gui.canvas_tools import Tool
from counter.gui.closeups import box_in_sight, factor_for
from counter.gui.learner import surveyed
from counter.gui.window import Window
from counter.imaging import gestures
from counter.imaging.slide import AnyPhoto, Slide
from tests.gui.hands import PLACES, UM_PER_PX, click, count, draw_slide, settle

SPOT = (280, 220)


@pytest.fixture
def scan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The slide with five larvae as a tiled TIFF that counts as too large for the memory."""
    monkeypatch.setattr("counter.imaging.read.WHOLE_PX", 0)
    monkeypatch.setattr("counter.imaging.overview.OVERVIEW_PX", 3000)
    pixels = cv2.imread(str(draw_slide(tmp_path / "drawn.png", PLACES)))
    assert pixels is not None
    file = tmp_path / "scan.tif"
    tifffile.imwrite(file, pixels, photometric="rgb", tile=(64, 64), compression="zlib")
    return file


@pytest.fixture
def shown(window: Window, scan: Path, qtbot: QtBot) -> Window:
    """The window with the scan counted and shown."""
    count(window, qtbot, scan)
    return window


def close_up(window: Window, qtbot: QtBot) -> None:
    """Zoom in on a larva and wait for what is read of it."""
    window.canvas.zoom_by(4.0)
    window.canvas.show_place(*SPOT)
    qtbot.waitUntil(lambda: window.canvas.closeup is not None, timeout=5000)
    settle(window, qtbot)


def test_a_scan_is_counted_and_shown_by_its_overview(shown: Window) -> None:
    """All larvae, in pixels of the whole slide; of its pixels only the overview is in memory."""
    assert len(shown.bench.marks) == len(PLACES)
    assert shown.canvas.view.picture_width_px == 420
    (picture,) = shown.bench.sample.picture_fields()
    shelved = shown.shelf.kept((picture.picture.file, 0))
    assert shelved is not None
    assert isinstance(shelved.photo, Slide)
    assert shelved.pyramid.factor == 8
    assert shelved.pyramid.levels[0].width() == 53


def test_what_is_in_sight_is_read_when_one_looks_closer(shown: Window, qtbot: QtBot) -> None:
    """The part in sight, with a little around it, at the screen's own pixels; and again elsewhere.

    Far out, the overview is enough.
    """
    shown.canvas.fit()
    close_up(shown, qtbot)
    closeup = shown.canvas.closeup
    assert closeup is not None
    left, top, right, bottom = box_in_sight(shown.canvas.view, 0.0)
    box = closeup.box
    assert box[0] <= left
    assert box[1] <= top
    assert box[2] >= right - closeup.factor
    assert box[3] >= bottom - closeup.factor
    assert closeup.image.width() == (box[2] - box[0]) // closeup.factor
    assert closeup.factor == factor_for(shown.canvas.view.zoom)
    middle = closeup.buffer[SPOT[1] - box[1], SPOT[0] - box[0], 0]
    assert int(middle) < 150  # the larva, dark


def test_the_closeup_lies_where_the_overview_lies(shown: Window, qtbot: QtBot) -> None:
    """The larva is painted at its place: what was read close does not jump."""
    close_up(shown, qtbot)
    view = shown.canvas.view
    place = view.to_screen(*SPOT).toPoint()
    with_it = shown.canvas.grab().toImage().pixelColor(place).value()
    shown.canvas.show_closeup(None)
    without = shown.canvas.grab().toImage().pixelColor(place).value()
    assert abs(with_it - without) < 60
    assert with_it < 150


@pytest.mark.parametrize(("zoom", "factor"), [(3.0, 1), (1.0, 1), (0.6, 1), (0.5, 2), (0.13, 4)])
def test_a_screen_pixel_is_made_of_as_many_pixels_as_it_covers(zoom: float, factor: int) -> None:
    """A power of two, never more than fit."""
    assert factor_for(zoom) == factor


def test_a_mark_is_placed_on_a_scan_by_its_own_pixels(shown: Window, qtbot: QtBot) -> None:
    """The larva that was removed is outlined again where it lies, not as a plain oval."""
    (victim,) = [m for m in shown.bench.marks.values() if abs(m.x_px - SPOT[0]) < 8]
    shown.bench.pick((victim.mark_id,))
    shown.corrections.remove()
    close_up(shown, qtbot)
    shown.viewer.take_up(Tool.PLACE)
    click(shown.canvas, SPOT[0] + 3, SPOT[1] - 2)
    (mark,) = [m for m in shown.bench.marks.values() if m.origin == "placed"]
    assert mark.length_um == pytest.approx(victim.length_um, rel=0.05)
    assert "doubtful" not in mark.flags


def test_gestures_go_on_when_the_scan_is_gone(
    shown: Window, scan: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No plain picture of a thousand million pixels is made for what only needs its size."""
    asked: list[AnyPhoto] = []
    place = gestures.mark_at

    def noted(photo: AnyPhoto, target: Target, x_px: float, y_px: float) -> Mark:
        asked.append(photo)
        return place(photo, target, x_px, y_px)

    monkeypatch.setattr(gestures, "mark_at", noted)
    picture = Picture(str(scan.parent / "gone.tif"), 0, 51_000, 20_000, Scale(1.0, "given"), 1000.0)
    (field_id,) = shown.bench.session.add_picture_fields([PictureField(0, picture)])
    shown.shelf.unreadable[(picture.file, 0)] = "gone"
    shown.bench.show(field_id)
    shown.corrections.place(40_000.0, 15_000.0)
    assert len(shown.bench.marks) == 1
    assert isinstance(asked[0], Slide)


def test_a_damaged_scan_is_named_and_nothing_of_it_is_counted(
    window: Window, scan: Path, qtbot: QtBot
) -> None:
    """A tile that cannot be decoded fails the picture: no part of it passes for the whole."""
    with tifffile.TiffFile(scan) as tif:
        page: Any = tif.pages[0]
        offset, length = page.dataoffsets[-1], page.databytecounts[-1]
    data = bytearray(scan.read_bytes())
    data[offset : offset + length] = bytes(length)
    scan.write_bytes(bytes(data))
    count(window, qtbot, scan)
    assert not list(window.bench.sample.picture_fields())
    assert "scan.tif was not counted: is damaged" in window.messages.text


def test_a_lens_is_not_taught_by_a_scan(shown: Window) -> None:
    """It would have to be read whole; the reason is a sentence."""
    (field,) = shown.bench.sample.picture_fields()
    with pytest.raises(CounterError, match="single pictures"):
        surveyed(field, None, shown.bench.sample.target, Silent())


def test_thousands_of_marks_are_drawn_and_found(window: Window, qtbot: QtBot) -> None:
    """As dots far out, as outlines close; a press finds the mark under it, a box those inside."""
    rng = np.random.default_rng(3)
    turns = np.arange(0, 6.2, 0.4)
    ring = np.column_stack([np.cos(turns), 0.8 * np.sin(turns)]) * 20
    marks = {}
    for number in range(1, 2501):
        x, y = float(rng.uniform(50, 15_950)), float(rng.uniform(50, 7_950))
        outline = tuple((x + dx, y + dy) for dx, dy in ring.tolist())
        marks[number] = Mark(number, x, y, outline, 80.0, 64.0, 4000.0, "d-hinge")
    picture = Picture("none.tif", 0, 16_000, 8_000, Scale(UM_PER_PX, "given"), 512.0)
    (field_id,) = window.bench.session.add_picture_fields([PictureField(0, picture, marks)])
    window.bench.show(field_id)
    settle(window, qtbot)
    window.canvas.grab()
    mark = marks[700]
    assert window.canvas.mark_under(mark.x_px, mark.y_px) in {
        number
        for number, other in marks.items()
        if abs(other.x_px - mark.x_px) < 21 and abs(other.y_px - mark.y_px) < 17
    }
    window.canvas.zoom_by(30.0)
    window.canvas.show_place(mark.x_px, mark.y_px)
    window.canvas.grab()
    window.messages.clear()
