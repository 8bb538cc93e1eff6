"""A label that is scrolled where its text is long."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QLabel, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from counter.gui.scrolled_label import ScrolledLabel
from counter.gui.window import Window


def test_a_long_text_is_scrolled_and_a_short_one_is_not(qtbot: QtBot) -> None:
    """As high as the text up to its room; the keyboard reaches it only where it scrolls."""
    page = QWidget()
    qtbot.addWidget(page)
    label = QLabel()
    label.setAccessibleName("Warnings")
    scrolled = ScrolledLabel(label, 100)
    layout = QVBoxLayout(page)
    layout.addWidget(scrolled)
    layout.addStretch(1)
    page.resize(300, 400)
    page.show()
    qtbot.waitExposed(page)
    scrolled.set_text("short")
    qtbot.waitUntil(lambda: 0 < scrolled.height() < 40)
    assert scrolled.focusPolicy() is Qt.FocusPolicy.NoFocus
    scrolled.set_text("many words " * 200)
    qtbot.waitUntil(lambda: scrolled.height() == 100)
    qtbot.waitUntil(lambda: scrolled.verticalScrollBar().maximum() > 0)
    assert scrolled.focusPolicy() is Qt.FocusPolicy.TabFocus
    assert scrolled.accessibleName() == "Warnings"
    scrolled.verticalScrollBar().setValue(50)
    scrolled.set_text("other words " * 200)
    assert scrolled.verticalScrollBar().value() == 0
    scrolled.set_text("")
    assert not scrolled.isVisible()


def test_the_sizes_settle_after_their_notes_came(counted: Window, qtbot: QtBot) -> None:
    """Longer words change the room of the figure; that must not take the words back again."""
    counted.show_panel("sizes")
    words = counted.results.sizes.words
    qtbot.waitUntil(lambda: "limits in µm" in words.text(), timeout=20_000)
    seen = set()
    for _ in range(12):
        qtbot.wait(60)
        seen.add(words.text())
    assert len(seen) == 1
