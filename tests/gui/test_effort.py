"""How many more to count, and what makes the limits wide, in the window."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from counter.errors import UsageError
from counter.gui.effort_sheet import EffortSheet
from counter.gui.window import Window
from counter.statistics.budget_words import budget_cells
from tests.gui.hands import press, write

KEY = Qt.Key
CONTROL = Qt.KeyboardModifier.ControlModifier


def sheet_of(window: Window) -> EffortSheet:
    """The sheet of effort."""
    sheet = window.pages.sheets["effort"]
    assert isinstance(sheet, EffortSheet)
    return sheet


def test_the_plan_by_keyboard_alone(counted: Window, qtbot: QtBot) -> None:
    """Ctrl+7, the width, the minutes; the cheaper way and the stop rule are said."""
    press(counted.canvas, KEY.Key_7, held=CONTROL)
    sheet = sheet_of(counted)
    assert counted.focusWidget() is sheet.aim.line
    write(sheet.aim.line, "50")
    press(sheet.aim.line, KEY.Key_Tab)
    write(counted.focusWidget(), "6")
    press(counted.focusWidget(), KEY.Key_Tab)
    write(counted.focusWidget(), "0,2")
    qtbot.waitUntil(lambda: "For ±50 %" in sheet.headline.text())
    words = sheet.text.toPlainText()
    assert "more pictures of the fillings that are loaded" in words
    assert "cheaper" in words
    assert "Decide before you go on" in words
    assert "±2 ÷ √n (Lund, Kipling and Le Cren 1958)" in words
    assert "400 counted: ±10 %" in words
    assert "The working:\nNow: 95 % limits of " in words
    press(counted.focusWidget(), KEY.Key_Escape)
    assert counted.pages.currentWidget() is counted.canvas


def test_the_table_says_which_part_matters(counted: Window) -> None:
    """Without known volumes there is no table but a word; with them the rows of the working."""
    counted.actions_by_name["sheet-effort"].trigger()
    sheet = sheet_of(counted)
    assert sheet.table.isHidden()
    assert "those of the count alone" in sheet.text.toPlainText()
    counted.card.vessel.line.setText("20 L")
    counted.card.vessel.finish()
    counted.card.volumes.line.setText("vessel 45 %")
    assert counted.card.volumes.finish()
    sheet.refresh()
    rows = budget_cells(counted.bench.session.estimate)
    cells = [sheet.table.item(row, 0) for row in range(sheet.table.rowCount())]
    assert [cell.text().lower() for cell in cells if cell] == [row[0] for row in rows]
    assert sheet.table.isVisible()
    QTest.mouseClick(sheet.copy, Qt.MouseButton.LeftButton)
    assert f"Part: {rows[0][0]} {rows[0][1]} %" in QGuiApplication.clipboard().text()


def test_the_plan_is_stated_as_the_stop_rule_before_counting(counted: Window) -> None:
    """It stands in the records and beneath the total until it is taken back; undo works too."""
    counted.actions_by_name["sheet-effort"].trigger()
    sheet = sheet_of(counted)
    assert sheet.rule.text().startswith("State the stop rule: ")
    sheet.rule.setFocus()
    press(sheet.rule, KEY.Key_Space)
    rule = counted.bench.sample.stop_after
    assert rule is not None
    assert f"Stop rule: {rule} fillings in all; 1 counted" in counted.results.total.effort.text()
    assert sheet.rule.text() == "Take the stop rule back"
    QTest.mouseClick(sheet.rule, Qt.MouseButton.LeftButton)
    assert counted.bench.sample.stop_after is None
    counted.desk.undo()
    assert counted.bench.sample.stop_after == rule
    session = counted.bench.session
    with pytest.raises(UsageError, match="stated before counting"):
        session.set_stop_after(1)


def test_it_follows_the_count_while_it_is_seen(counted: Window, qtbot: QtBot) -> None:
    """A mark removed changes the plan."""
    counted.actions_by_name["sheet-effort"].trigger()
    sheet = sheet_of(counted)
    before = sheet.headline.text()
    field = counted.bench.picture
    assert field is not None
    counted.bench.session.remove_marks(field.field_id, [1, 2])
    qtbot.waitUntil(lambda: sheet.headline.text() != before)


def test_nonsense_is_refused_and_named(counted: Window) -> None:
    """The line is named; what was typed stays."""
    counted.pages.show_sheet("effort")
    sheet = sheet_of(counted)
    nonsense = [
        ("wide", "", "", "width"),
        ("", "5", "", "minutes for a picture are missing"),
        ("", "5", "0", "minutes for a picture"),
    ]
    for *texts, said in nonsense:
        lines = (sheet.aim, sheet.per_filling, sheet.per_square)
        for line, text in zip(lines, texts, strict=True):
            line.line.setText(text)
        sheet.refresh()
        assert said in sheet.problem.text()
        assert [line.line.text() for line in lines] == texts


def test_what_a_filling_costs_is_remembered(
    open_window: Callable[[], Window],
) -> None:
    """Minutes are this bench's habit; nothing counted says so instead of a plan."""
    first = open_window()
    first.pages.show_sheet("effort")
    assert "None was counted yet" in sheet_of(first).headline.text()
    sheet_of(first).per_filling.line.setText("4")
    first.close()
    again = open_window()
    assert sheet_of(again).per_filling.line.text() == "4"
