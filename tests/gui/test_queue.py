"""Counting in the background: failures named, others counted, stopped, overtaken, nothing twice."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import cv2
import pytest
from PySide6.QtCore import QMimeData, QPointF, Qt, QUrl
from PySide6.QtGui import QDropEvent
from pytestqt.qtbot import QtBot

from counter.domain.scale import Scale
from counter.gui.window import Window
from counter.imaging.draw import (
    MicrometerSettings,
    Rulings,
    draw_micrometer,
    draw_rulings,
)
from tests.gui.hands import PLACES, UM_PER_PX, count, draw_slide, settle

SCALE = Scale(UM_PER_PX, "given")


def test_what_cannot_be_read_is_named_and_the_others_are_counted(
    window: Window, slide: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    """A broken, an empty and a missing file each get a sentence; the good one is counted."""
    broken = tmp_path / "broken.jpg"
    broken.write_bytes(b"no picture at all, just words")
    empty = tmp_path / "empty.png"
    empty.write_bytes(b"")
    missing = tmp_path / "missing.tif"
    count(window, qtbot, broken, empty, slide, missing)
    assert len(window.bench.marks) == len(PLACES)
    for name in ("broken.jpg", "empty.png", "missing.tif"):
        assert name in window.messages.text


def test_a_folder_is_a_filling_and_its_subfolders_are_others(
    window: Window, tmp_path: Path, qtbot: QtBot
) -> None:
    """Two folders with pictures make two fillings, counted as replicates."""
    for part in ("one", "two"):
        (tmp_path / "run" / part).mkdir(parents=True)
        draw_slide(tmp_path / "run" / part / "a.png", PLACES[:2])
    count(window, qtbot, tmp_path / "run")
    fillings = window.bench.sample.fillings
    assert [len(filling.fields) for filling in fillings] == [1, 1]
    assert [filling.count(window.bench.sample.edges) for filling in fillings] == [2, 2]


def test_a_folder_without_pictures_is_said(window: Window, tmp_path: Path, qtbot: QtBot) -> None:
    """The strip names the folder and says what is missing; nothing is begun."""
    (tmp_path / "nothing").mkdir()
    count(window, qtbot, tmp_path / "nothing")
    assert "nothing" in window.messages.text
    assert not window.bench.sample.fillings


def test_a_picture_is_not_counted_twice(window: Window, slide: Path, qtbot: QtBot) -> None:
    """Opening the same file again adds nothing and says so."""
    count(window, qtbot, slide)
    count(window, qtbot, slide)
    assert len(window.bench.fields) == 1
    assert "already" in window.messages.text


def test_pictures_wait_for_their_scale_while_others_go_on(
    window: Window, slide: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    """Later puts the question off and loses nothing; Ctrl+L brings it back."""
    window.desk.open_paths([str(slide)])
    settle(window, qtbot)
    assert window.viewer.previewed is not None
    window.scale_panel.put_away()
    other = draw_slide(tmp_path / "other.png", PLACES[:3])
    window.queue.add([str(other)], SCALE)
    settle(window, qtbot)
    assert len(window.bench.fields) == 1
    window.actions_by_name["ask-scale"].trigger()
    assert "slide-01.png" in window.scale_panel.title.text()
    window.scale_panel.typed.setText("2")
    window.scale_panel.use_typed.click()
    settle(window, qtbot)
    assert len(window.bench.fields) == 2


@pytest.mark.parametrize("nonsense", ["", "0", "-2", "900", "much"])
def test_a_scale_that_cannot_be_is_refused_in_the_panel(
    window: Window, slide: Path, qtbot: QtBot, nonsense: str
) -> None:
    """The reason stands in the panel; the picture goes on waiting."""
    window.desk.open_paths([str(slide)])
    settle(window, qtbot)
    window.scale_panel.typed.setText(nonsense)
    window.scale_panel.use_typed.click()
    assert window.scale_panel.problem.text()
    assert not window.scale_panel.isHidden()
    assert len(window.queue.without_scale) == 1


def test_stopping_keeps_what_is_counted(window: Window, tmp_path: Path, qtbot: QtBot) -> None:
    """Of many pictures those counted before the stop stay, the others are given up."""
    files = [draw_slide(tmp_path / f"f{i:02}.png", PLACES[:1]) for i in range(12)]
    window.queue.add([str(file) for file in files], SCALE)
    qtbot.waitUntil(lambda: len(window.bench.fields) >= 1, timeout=20_000)
    window.actions_by_name["stop-counting"].trigger()
    settle(window, qtbot)
    assert 1 <= len(window.bench.fields) < 12
    assert all(len(entry.marks) == 1 for entry in window.bench.sample.picture_fields())


def test_results_go_to_the_sample_they_were_asked_for(
    window: Window, slide: Path, qtbot: QtBot
) -> None:
    """Going over to another sample meanwhile does not mix them."""
    first = window.bench.session
    window.queue.add([str(slide)], SCALE)
    window.desk.new_sample()
    settle(window, qtbot)
    assert not window.bench.fields
    assert len(list(first.sample.picture_fields())) == 1


def test_pictures_dropped_on_the_window_are_opened(
    window: Window, slide: Path, qtbot: QtBot
) -> None:
    """A drop does what opening does."""
    data = QMimeData()
    data.setUrls([QUrl.fromLocalFile(str(slide))])
    event = QDropEvent(
        QPointF(5, 5),
        Qt.DropAction.CopyAction,
        data,
        Qt.MouseButton.LeftButton,
        Qt.KeyboardModifier.NoModifier,
    )
    window.dropEvent(event)
    settle(window, qtbot)
    assert len(window.queue.without_scale) == 1


def test_a_stored_lens_is_used_for_new_pictures(window: Window, slide: Path, qtbot: QtBot) -> None:
    """Two points on the picture give a scale; kept as a lens it serves the next picture."""
    window.desk.open_paths([str(slide)])
    settle(window, qtbot)
    panel = window.scale_panel
    panel.points_button.click()
    window.viewer.distance_drawn.emit(((10.0, 100.0), (410.0, 100.0)))
    panel.distance.setText("800")
    panel.work_out.click()
    assert panel.result.text().startswith("2.000 ±")
    panel.lens_name.setText("ten times")
    panel.keep.click()
    settle(window, qtbot)
    assert window.bench.sample.lens == "ten times"
    (field,) = window.bench.sample.picture_fields()
    assert field.picture.scale.um_per_px == pytest.approx(2.0)
    assert window.card.lens.box.findData("ten times") >= 0
    other = draw_slide(slide.with_name("next.png"), PLACES[:2])
    count(window, qtbot, other)
    assert len(window.bench.fields) == 2
    assert window.scale_panel.isHidden()


def test_another_scale_measures_the_marks_anew(counted: Window) -> None:
    """Half the µm per pixel: half the lengths, a quarter of the area."""
    before = counted.bench.picture
    assert before is not None
    lengths = [mark.length_um for mark in before.marks.values()]
    counted.actions_by_name["ask-scale"].trigger()
    counted.scale_panel.typed.setText("1.0")
    counted.scale_panel.use_typed.click()
    after = counted.bench.picture
    assert after is not None
    assert [m.length_um for m in after.marks.values()] == pytest.approx([v / 2 for v in lengths])
    assert after.area_mm2 == pytest.approx(before.area_mm2 / 4)


def test_closing_while_counting_loses_no_picture_that_was_counted(
    open_window: Callable[[], Window], tmp_path: Path, qtbot: QtBot
) -> None:
    """The threads end; what was committed is there again."""
    first = open_window()
    files = [draw_slide(tmp_path / f"f{i}.png", PLACES[:1]) for i in range(6)]
    first.queue.add([str(file) for file in files], SCALE)
    qtbot.waitUntil(lambda: len(first.bench.fields) >= 1, timeout=20_000)
    kept = first.bench.sample
    first.close()
    assert open_window().bench.sample == kept


def test_a_picture_of_a_stage_micrometer_gives_the_scale(
    window: Window, slide: Path, tmp_path: Path, qtbot: QtBot
) -> None:
    """The scale found on the micrometer counts the waiting picture; no lines: it says so."""
    drawn = draw_micrometer(MicrometerSettings(um_per_px=UM_PER_PX, width_px=900, height_px=500), 5)
    gauge = tmp_path / "gauge.png"
    cv2.imwrite(str(gauge), drawn.pixels)
    window.desk.open_paths([str(slide)])
    settle(window, qtbot)
    panel = window.scale_panel
    panel.find_in_micrometer(str(slide))
    settle(window, qtbot)
    assert "slide-01.png" in panel.problem.text()
    panel.find_in_micrometer(str(gauge))
    settle(window, qtbot)
    assert "divisions" in panel.result.text()
    panel.use_measured.click()
    settle(window, qtbot)
    (field,) = window.bench.sample.picture_fields()
    assert field.picture.scale.um_per_px == pytest.approx(UM_PER_PX, rel=0.005)
    assert field.picture.scale.source == "micrometer"


def test_pictures_that_wait_are_taken_up_after_a_restart(
    open_window: Callable[[], Window], slide: Path, qtbot: QtBot
) -> None:
    """Closing before the scale is known forgets nothing; once counted nothing waits."""
    first = open_window()
    first.desk.open_paths([str(slide)])
    settle(first, qtbot)
    first.close()
    again = open_window()
    settle(again, qtbot)
    assert len(again.queue.without_scale) == 1
    again.scale_panel.typed.setText("2")
    again.scale_panel.use_typed.click()
    settle(again, qtbot)
    again.close()
    third = open_window()
    settle(third, qtbot)
    assert len(third.bench.fields) == 1
    assert not third.queue.without_scale
    assert third.messages.text == ""


def test_a_picture_is_counted_again_with_other_lengths(counted: Window, qtbot: QtBot) -> None:
    """Longer larvae wanted: none of these; undo brings the old marks back."""
    before = counted.bench.sample
    counted.card.lengths.line.setText("150-400")
    assert counted.card.lengths.finish()
    counted.actions_by_name["recount"].trigger()
    settle(counted, qtbot)
    assert not counted.bench.marks
    counted.desk.undo()
    counted.desk.undo()
    assert counted.bench.sample == before


def test_the_chambers_rulings_give_the_scale(window: Window, tmp_path: Path, qtbot: QtBot) -> None:
    """Rulings 1 mm apart on the picture itself; where there are none, the panel says so."""
    ruled = tmp_path / "ruled.png"
    rulings = Rulings(period_um=500.0)
    cv2.imwrite(str(ruled), draw_rulings(rulings, 3, 1300, 900, UM_PER_PX).pixels)
    window.desk.open_paths([str(ruled)])
    settle(window, qtbot)
    panel = window.scale_panel
    panel.period.setText("500")
    panel.find_rulings.click()
    settle(window, qtbot)
    assert panel.result.text(), panel.problem.text()
    panel.use_measured.click()
    settle(window, qtbot)
    (field,) = window.bench.sample.picture_fields()
    assert field.picture.scale.um_per_px == pytest.approx(UM_PER_PX, rel=0.005)
    assert field.picture.scale.source == "rulings"
