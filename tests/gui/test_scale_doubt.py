"""Rulings that contradict the scale are said above the picture, and taken in one press."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from counter.domain.field import PictureField
from counter.domain.mark import Mark
from counter.domain.ruled import RuledGrid
from counter.gui.window import Window
from tests.gui.hands import PLACES, UM_PER_PX, click, press, settle, write

GRID = RuledGrid(420, 300, 0.0, 1000.0 / (2 * UM_PER_PX), 0.1, 6, 30.0, 20.0)
"""A Sedgewick-Rafter chamber at twice the µm per pixel that the slide is counted with."""


@pytest.fixture
def doubted(window: Window, counted_once: tuple[Path, PictureField], qtbot: QtBot) -> Window:
    """The window with the slide, on which such rulings were found."""
    field = counted_once[1]
    ruled = replace(field, picture=replace(field.picture, grid=GRID))
    (field_id,) = window.bench.session.add_picture_fields([ruled])
    window.bench.show(field_id)
    settle(window, qtbot)
    return window


def test_the_scale_of_the_rulings_is_taken_in_one_press(doubted: Window, qtbot: QtBot) -> None:
    """The picture is counted again with it; the strip goes, and so does the caution."""
    strip = doubted.scale_doubt
    assert strip.isVisible()
    assert "The rulings say 4 µm per pixel" in strip.words.text()
    assert strip.take.text() == "Take 4 from the rulings"
    strip.take.setFocus()
    press(strip.take, Qt.Key.Key_Space)
    settle(doubted, qtbot)
    (field,) = doubted.bench.sample.picture_fields()
    assert field.picture.scale.source == "rulings"
    assert field.picture.scale.um_per_px == pytest.approx(4.0)
    assert len(field.marks) == len(PLACES)
    assert not strip.isVisible()
    assert not [words for words in doubted.bench.session.cautions if "rulings" in words]


def test_a_corrected_picture_keeps_its_marks(doubted: Window, qtbot: QtBot) -> None:
    """They are measured anew; nothing that a person did goes."""
    before = dict(doubted.bench.marks)
    gone = next(iter(before))
    doubted.bench.session.remove_marks(doubted.bench.picture.field_id, [gone])  # type: ignore[union-attr]
    doubted.scale_doubt.take.click()
    settle(doubted, qtbot)
    after: dict[int, Mark] = dict(doubted.bench.marks)
    assert set(after) == set(before) - {gone}
    for mark_id, mark in after.items():
        assert mark.length_um == pytest.approx(2 * before[mark_id].length_um)


def test_left_as_it_is_the_strip_stays_away_from_that_picture(doubted: Window) -> None:
    """Nothing changes, and the caution under the total still says it."""
    doubted.scale_doubt.leave.click()
    assert not doubted.scale_doubt.isVisible()
    doubted.bench.sample_changed.emit()
    assert not doubted.scale_doubt.isVisible()
    assert any("The rulings say" in words for words in doubted.bench.session.cautions)
    doubted.results.total.refresh_slips()
    assert "The rulings say" in doubted.results.total.warnings.text()


def test_another_lens_may_be_chosen(doubted: Window) -> None:
    """The scale panel opens with the picture's scale."""
    doubted.scale_doubt.other.click()
    assert not doubted.scale_panel.isHidden()
    assert "2 µm per pixel" in doubted.scale_panel.title.text()


def test_a_picture_without_doubt_has_no_strip(counted: Window) -> None:
    """Nor has one of a chamber without rulings of one period."""
    assert not counted.scale_doubt.isVisible()


def test_the_distance_drawn_stays_in_sight_while_its_length_is_typed(
    counted: Window, qtbot: QtBot
) -> None:
    """Until it is used, put away, or drawn anew."""
    panel, canvas = counted.scale_panel, counted.canvas
    panel.ask()
    panel.points_button.click()
    click(canvas, 50, 40)
    click(canvas, 150, 40)
    assert canvas.distance is not None
    (x0, _), (x1, _) = canvas.distance
    assert x1 - x0 == pytest.approx(100.0, abs=1.5)
    write(panel.distance, "300")
    assert canvas.distance is not None
    press(panel.distance, Qt.Key.Key_Return)
    assert "µm per pixel" in panel.result.text()
    assert canvas.distance is not None
    panel.use_measured.click()
    settle(counted, qtbot)
    assert canvas.distance is None
    (field,) = counted.bench.sample.picture_fields()
    assert field.picture.scale.um_per_px == pytest.approx(3.0, rel=0.02)
