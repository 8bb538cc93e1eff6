"""Checking the way of counting in the window: typed into a table, answered, copied, kept."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from counter.gui.method_sheet import MethodSheet
from counter.gui.method_table import LEAST_ROWS
from counter.gui.window import Window
from tests.gui.hands import press, write

KEY = Qt.Key
CONTROL = Qt.KeyboardModifier.ControlModifier
SERIES = [("0.1", "11,9,12"), ("0,3", "29,33,31"), ("0.7", "69,72,x"), ("1", "100,96,104")]


def sheet_of(window: Window) -> MethodSheet:
    """The sheet of the way of counting, shown."""
    window.pages.show_sheet("method")
    sheet = window.pages.sheets["method"]
    assert isinstance(sheet, MethodSheet)
    return sheet


def focus(window: Window) -> QWidget:
    """The widget that has the keyboard."""
    widget = window.focusWidget()
    assert widget is not None
    return widget


def type_in(window: Window, text: str) -> None:
    """Type letter by letter: the first one opens the cell, the others go into it."""
    for letter in text:
        write(focus(window), letter)


def test_slides_counted_twice_by_keyboard_alone(window: Window, qtbot: QtBot) -> None:
    """Ctrl+8, Down for the kind, Tab into the table, counts with Tab and Enter."""
    press(window, KEY.Key_8, held=CONTROL)
    sheet = sheet_of(window)
    press(focus(window), KEY.Key_Down)
    assert sheet.kind.key == "twice"
    press(focus(window), KEY.Key_Tab)
    assert focus(window) is sheet.table
    for first, second in [("97", "99"), ("103", "101")]:
        type_in(window, first)
        press(focus(window), KEY.Key_Tab)
        type_in(window, second)
        with qtbot.waitSignal(sheet.table.currentCellChanged):
            press(focus(window), KEY.Key_Return)
        press(focus(window), KEY.Key_Left)
    qtbot.waitUntil(lambda: "From 2 slides counted twice" in sheet.headline.text())
    assert "does not show to count more or fewer" in sheet.text.toPlainText()
    sheet.table.setFocus()
    press(sheet.table, KEY.Key_Escape)
    assert window.pages.currentWidget() is window.canvas


def test_a_dilution_series_by_mouse(window: Window) -> None:
    """R², the proportionality index and the CVs are the command's; all of it is copied."""
    sheet = sheet_of(window)
    sheet.table.set_rows(SERIES)
    sheet.refresh()
    assert sheet.headline.text().startswith("The counts follow the dilution")
    assert "R² 0.99" in sheet.headline.text()
    assert "CV" in sheet.text.toPlainText()
    QTest.mouseClick(sheet.copy, Qt.MouseButton.LeftButton)
    copied = QGuiApplication.clipboard().text()
    assert copied.startswith("The counts follow")
    assert "0.7\t69,72,x" in copied
    assert "The working:\nLine through the origin" in copied


def test_the_table_grows_and_an_emptied_one_comes_back(window: Window) -> None:
    """There is always an empty row at the end; emptying by mistake loses nothing."""
    sheet = sheet_of(window)
    sheet.table.set_rows([*SERIES, ("0.5", "50,51,49")])
    assert sheet.table.rowCount() == LEAST_ROWS + 1
    QTest.mouseClick(sheet.empty, Qt.MouseButton.LeftButton)
    assert sheet.table.rows() == []
    assert sheet.empty.accessibleName() == "Bring the table back"
    QTest.mouseClick(sheet.empty, Qt.MouseButton.LeftButton)
    assert len(sheet.table.rows()) == len(SERIES) + 1
    sheet.table.setCurrentCell(0, 0)
    press(sheet.table, KEY.Key_Delete)
    assert sheet.table.rows()[0] == ("", "11,9,12")


def test_what_cannot_be_read_is_named_and_stays(window: Window) -> None:
    """A sentence beneath the table; the table keeps what was typed."""
    sheet = sheet_of(window)
    nonsense = [
        ("series", [("0.5", "")], "lacks its fraction"),
        ("series", [("2", "5"), ("1", "6")], "fraction of sample"),
        ("series", [("0.5", "5")], "two or more different fractions"),
        ("twice", [("5,6", "7")], "more than one number"),
        ("twice", [("5", "")], "No slide has both"),
        ("twice", [("many", "5")], "first count"),
    ]
    for kind, rows, said in nonsense:
        sheet.kind.choose(kind)
        sheet.table.set_rows(rows)
        sheet.refresh()
        assert said in sheet.problem.text()
        assert sheet.table.rows() == rows


def test_both_tables_outlive_the_window(open_window: Callable[[], Window]) -> None:
    """Also the one that is not shown."""
    first = open_window()
    sheet = sheet_of(first)
    sheet.table.set_rows(SERIES)
    sheet.kind.choose("twice")
    sheet.table.set_rows([("97", "9")])
    first.close()
    again = sheet_of(open_window())
    assert again.kind.key == "twice"
    assert again.tables["series"].rows() == SERIES
    assert again.tables["twice"].rows() == [("97", "9")]
