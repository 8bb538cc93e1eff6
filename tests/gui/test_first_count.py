"""From a picture to a total."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from PySide6.QtCore import Qt
from pytestqt.qtbot import QtBot

from counter.gui.window import Window
from tests.gui.hands import PLACES, count, press


def test_a_picture_without_scale_waits_and_is_counted_once_it_has_one(
    window: Window, slide: Path, qtbot: QtBot
) -> None:
    """The scale panel asks; the number typed there lets the picture be counted."""
    window.desk.open_paths([str(slide)])
    qtbot.waitUntil(lambda: window.scale_panel.isVisible(), timeout=20_000)
    assert "slide-01.png" in window.scale_panel.title.text()
    window.scale_panel.typed.setText("2.0")
    press(window.scale_panel.typed, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: bool(window.bench.marks), timeout=20_000)
    assert len(window.bench.marks) == len(PLACES)
    assert window.scale_panel.isHidden()


def test_a_volume_turns_the_density_into_a_total(counted: Window) -> None:
    """Without a vessel the density stands; with one its total, both with limits."""
    total = counted.results.total
    assert "per mL" in total.where.text()
    counted.card.vessel.line.setText("20 L")
    assert counted.card.vessel.finish()
    assert "million" in total.big.text()
    assert "to" in total.limits.text()
    assert total.where.text().startswith("in 20")


def test_a_restart_shows_the_same_sample(
    open_window: Callable[[], Window], slide: Path, qtbot: QtBot
) -> None:
    """What was counted and typed is there again after the window was closed."""
    first = open_window()
    count(first, qtbot, slide)
    first.card.vessel.line.setText("800 mL")
    first.card.vessel.finish()
    sample, big = first.bench.sample, first.results.total.big.text()
    first.close()
    again = open_window()
    assert again.bench.sample == sample
    assert again.results.total.big.text() == big
