"""A lens learns from the corrections made in the window; it says so, and can forget."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from functools import partial
from pathlib import Path

import cv2
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QMessageBox
from pytestqt.qtbot import QtBot

from counter.domain.scale import Lens
from counter.gui.window import Window
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, SceneSettings
from counter.imaging.draw.truth import Scene
from counter.records.store import Store
from tests.gui.hands import press, settle

LARVAE, ALGAE = 5, 4
SLIDE = SceneSettings(
    width_px=620,
    height_px=460,
    population=(Group(Kind.D_HINGE, LARVAE), Group(Kind.ALGA, ALGAE, (55.0, 90.0))),
    keep_inside=True,
)
"""Algae as large as larvae: the finder as it ships takes them for some."""


@pytest.fixture(scope="module")
def scenes() -> list[Scene]:
    return [draw_scene(SLIDE, seed) for seed in (31, 32, 33)]


@pytest.fixture
def slides(scenes: list[Scene], tmp_path: Path) -> list[str]:
    files = [tmp_path / f"field-{number}.png" for number in range(1, 4)]
    for file, scene in zip(files, scenes, strict=True):
        cv2.imwrite(str(file), scene.pixels[:, :, ::-1])
    return [str(file) for file in files]


@pytest.fixture
def hatchery(records: str, open_window: Callable[[], Window]) -> Window:
    """The window on records that hold a lens, which the sample is taken through."""
    store = Store(records)
    store.save_lens(Lens("10x", 1.24, 0.0005, date(2031, 5, 6), 620, 460))
    store.close()
    window = open_window()
    window.bench.session.set_lens("10x")
    return window


def wait(window: Window, qtbot: QtBot) -> None:
    settle(window, qtbot)
    qtbot.waitUntil(lambda: not window.learner.is_busy, timeout=20_000)


def counted(window: Window, qtbot: QtBot, *files: str) -> list[int]:
    window.desk.open_paths(list(files))
    wait(window, qtbot)
    return [len(field.marks) for field in window.bench.sample.picture_fields()]


def correct(window: Window, scene: Scene, field_id: int) -> int:
    """Remove what is no larva, with the keyboard, and say that the field was looked through."""
    window.bench.show(field_id)
    wrong = [
        mark_id
        for mark_id, mark in window.bench.marks.items()
        if not any(
            abs(mark.x_px - larva.x_px) + abs(mark.y_px - larva.y_px) < 25 for larva in scene.larvae
        )
    ]
    window.bench.pick(wrong)
    window.canvas.setFocus()
    press(window.canvas, Qt.Key.Key_Delete, Qt.Key.Key_L)
    return len(wrong)


def test_corrections_teach_the_lens_and_the_next_field_needs_none(
    hatchery: Window, slides: list[str], scenes: list[Scene], qtbot: QtBot
) -> None:
    """Two fields corrected; the third is counted right, and the working says why. Then forget."""
    window = hatchery
    counted(window, qtbot, *slides[:2])
    removed = [correct(window, scene, n) for n, scene in enumerate(scenes[:2], 1)]
    assert min(removed) >= 3, "the finder as it ships is taken in"
    wait(window, qtbot)
    window.scale_panel.ask()
    assert f"Learnt from {sum(removed)} corrections" in window.learnt.words.text()
    window.scale_panel.put_away()
    assert counted(window, qtbot, slides[2])[-1] == LARVAE
    note = f"adjusted by {sum(removed)} corrections made before with the lens “10x”"
    assert any(note in line for line in window.bench.session.working)
    window.bench.show(3)
    _forget(window, qtbot)
    assert "Nothing learnt with this lens yet" in window.learnt.words.text()
    assert not window.learnt.forget.isEnabled()
    window.desk.recount()
    wait(window, qtbot)
    assert len(window.bench.marks) > LARVAE
    assert len(window.bench.sample.fillings[0].fields) == 3, "nothing else has changed"


def _forget(window: Window, qtbot: QtBot) -> None:
    """Ask, think better of it, ask again and confirm, all by keyboard."""
    window.scale_panel.ask()
    for answer in (QMessageBox.StandardButton.Cancel, None):
        window.learnt.forget.setFocus()
        press(window.learnt.forget, Qt.Key.Key_Space)
        question = window.learnt.question
        assert question is not None
        assert "cannot be undone" in question.text()
        buttons = {button.text(): button for button in question.buttons()}
        button = buttons["Forget it"] if answer is None else question.button(answer)
        press(button, Qt.Key.Key_Space)
        qtbot.waitUntil(partial(_is_put_away, question))
        assert ("Learnt from" in window.learnt.words.text()) == (answer is not None)


def _is_put_away(question: QMessageBox) -> bool:
    return not question.isVisible()


def test_the_switch_leaves_what_was_learnt_aside(
    hatchery: Window, slides: list[str], scenes: list[Scene], qtbot: QtBot
) -> None:
    """By keyboard; what was learnt stays for when it is switched on again."""
    window = hatchery
    counted(window, qtbot, *slides[:2])
    for field_id, scene in enumerate(scenes[:2], 1):
        correct(window, scene, field_id)
    wait(window, qtbot)
    window.scale_panel.ask()
    window.learnt.switch.setFocus()
    press(window.learnt.switch, Qt.Key.Key_Space)
    assert "switched off" in window.learnt.words.text()
    assert counted(window, qtbot, slides[2])[-1] > LARVAE
    assert not any("adjusted" in line for line in window.bench.session.working)
    press(window.learnt.switch, Qt.Key.Key_Space)
    assert "switched off" not in window.learnt.words.text()


def test_without_a_lens_the_panel_says_why_nothing_is_learnt(counted: Window, qtbot: QtBot) -> None:
    """In a sentence, with neither switch nor button."""
    counted.scale_panel.ask()
    assert "No lens is chosen" in counted.learnt.words.text()
    assert not counted.learnt.switch.isVisible()
    assert not counted.learnt.forget.isVisible()
    counted.bench.session.set_reviewed(1)
    wait(counted, qtbot)
    assert counted.bench.session.store.lessons_of(counted.bench.session.sample_id) == ()


def test_a_picture_that_is_gone_is_named_and_the_rest_goes_on(
    hatchery: Window, slides: list[str], scenes: list[Scene], qtbot: QtBot
) -> None:
    """It teaches nothing; nothing is asked of it again, and no correction is lost."""
    window = hatchery
    counted(window, qtbot, *slides[:1])
    window.shelf._kept.clear()
    Path(slides[0]).unlink()
    removed = correct(window, scenes[0], 1)
    wait(window, qtbot)
    assert "Nothing is learnt from field-1.png" in window.statusBar().currentMessage()
    assert removed
    assert len(window.bench.marks) == LARVAE
    window.bench.session.undo()
    wait(window, qtbot)
    assert window.bench.session.store.lesson_counts("10x") == ()
