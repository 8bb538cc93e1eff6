"""The table of actions: complete, without clashes, in the help, and told to a screen reader."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
    QWidget,
)

from counter.gui.actions import ACTIONS, MENUS, keys_page
from counter.gui.handlers import handlers_of
from counter.gui.help import KEYS, help_pages
from counter.gui.style import TARGET_PX
from counter.gui.window import Window
from tests.gui.hands import press

CONTROL = Qt.KeyboardModifier.ControlModifier


def test_every_row_has_a_handler_and_every_handler_a_row(window: Window) -> None:
    """The table and what is done agree, name by name."""
    assert set(handlers_of(window)) == {row.name for row in ACTIONS}


def test_no_key_stands_for_two_actions() -> None:
    """A key does one thing, wherever it works; each is one that Qt knows."""
    keys = [QKeySequence(key).toString() for row in ACTIONS for key in row.keys]
    assert all(keys)
    assert [key for key, times in Counter(keys).items() if times > 1] == []


def test_names_are_not_used_twice_and_each_row_says_what_it_does() -> None:
    """Every action has its own name and a sentence."""
    names = [row.name for row in ACTIONS]
    assert len(set(names)) == len(names)
    assert all(row.tip.endswith(".") for row in ACTIONS)
    assert {row.menu for row in ACTIONS} <= {*MENUS, ""}


def test_the_page_of_keys_is_made_from_the_table() -> None:
    """Each row with a key is on the page."""
    page = keys_page()
    for row in ACTIONS:
        if row.keys:
            assert f"| {row.title} |" in page


def test_every_page_of_the_help_opens(window: Window) -> None:
    """The help shows each page of the resources, the keys and the version with the records."""
    window.actions_by_name["help"].trigger()
    shown = window.guides.help
    assert shown is not None
    titles = [shown.titles.item(row).text() for row in range(shown.titles.count())]
    assert set(help_pages()) <= set(titles)
    for row in range(shown.titles.count()):
        shown.titles.setCurrentRow(row)
        assert len(shown.page.toPlainText()) > 50
    window.actions_by_name["help-keys"].trigger()
    assert shown.titles.currentItem().text() == KEYS
    window.actions_by_name["about"].trigger()
    assert "hingeline.sqlite" in shown.page.toPlainText()


def widgets_to_name(root: QWidget) -> list[QWidget]:
    """Every widget of the window that can be used, leaving out Qt's own inner parts."""
    kinds = (QAbstractButton, QLineEdit, QComboBox, QAbstractItemView, QPlainTextEdit)
    found = []
    for kind in kinds:
        for widget in root.findChildren(kind):
            parent = widget.parent()
            inner = isinstance(parent, QComboBox | QAbstractItemView | QLineEdit)
            popup = widget.window() is not root
            if not inner and not popup and not widget.objectName().startswith("qt_"):
                found.append(widget)
    return found


def test_every_widget_has_a_name_for_the_screen_reader(window: Window) -> None:
    """Nothing that can be pressed, typed into or listed is without a name."""
    window.pages.start_tally()
    nameless = [w for w in widgets_to_name(window) if not w.accessibleName()]
    assert [f"{type(w).__name__} in {type(w.parent()).__name__}" for w in nameless] == []


def test_what_is_pressed_is_large_enough_for_a_wet_finger(counted: Window) -> None:
    """Buttons, lines and choices in sight are at least 32 pixels high."""
    small = [
        f"{w.accessibleName()} {w.height()}"
        for w in widgets_to_name(counted)
        if isinstance(w, QAbstractButton | QLineEdit | QComboBox)
        and w.isVisible()
        and w.height() < 32
    ]
    assert TARGET_PX >= 32
    assert small == []


def test_f6_goes_round_the_parts_of_the_window(counted: Window) -> None:
    """Picture, fields, card, results, and back: each can be reached by one key."""
    counted.canvas.setFocus()
    seen = []
    for _ in range(4):
        press(counted.focusWidget(), Qt.Key.Key_F6)
        seen.append(counted.focusWidget())
    assert seen == [
        counted.strip,
        counted.card.name.editor,
        counted.results.stages.table,
        counted.canvas,
    ]


@pytest.mark.parametrize(
    ("key", "panel"),
    [
        (Qt.Key.Key_1, "stages"),
        (Qt.Key.Key_2, "sizes"),
        (Qt.Key.Key_3, "marks"),
        (Qt.Key.Key_4, "working"),
        (Qt.Key.Key_5, "history"),
    ],
)
def test_a_key_brings_each_panel(counted: Window, key: Qt.Key, panel: str) -> None:
    """Ctrl with a digit shows a panel and gives it the keyboard."""
    press(counted.canvas, key, held=CONTROL)
    assert counted.results.tabs.currentWidget() is counted.results.panels[panel]
    assert counted.focusWidget() is counted.results.current_table()


def test_actions_of_the_picture_are_off_without_one(open_window: Callable[[], Window]) -> None:
    """Without a picture there is nothing to correct, and the buttons show it."""
    empty = open_window()
    for name in ("remove", "join", "tool-cut", "reviewed", "next-mark"):
        assert not empty.actions_by_name[name].isEnabled()
