"""Two counts beside each other in the window: by mouse, by keyboard, from records or typed."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime, timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QGuiApplication
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from counter.domain.field import PictureField
from counter.gui.compare_model import TYPE_COUNTS, TYPE_SHARES, TYPE_TOTAL
from counter.gui.compare_sheet import CompareSheet
from counter.gui.window import Window
from counter.session import Session
from tests.gui.hands import press, write

KEY = Qt.Key
CONTROL = Qt.KeyboardModifier.ControlModifier
NOON = datetime(2031, 5, 6, 12, 0, tzinfo=UTC)


def sheet_of(window: Window) -> CompareSheet:
    """The sheet of two counts."""
    sheet = window.pages.sheets["compare"]
    assert isinstance(sheet, CompareSheet)
    return sheet


def answered(sheet: CompareSheet) -> str:
    """What the sheet says now, as plain text."""
    sheet.refresh()
    return f"{sheet.headline.text()}\n{sheet.text.toPlainText()}".replace("\u202f", " ")


def counted_in(window: Window, field: PictureField, day: int, tank_id: int | None) -> Session:
    """A sample of a tank with the slide counted in it, open in the window."""
    before = window.bench.sample
    session = Session.start(
        window.bench.session.store,
        target=before.target,
        chamber=before.chamber,
        vessel_ml=1000.0,
        tank_id=tank_id,
        taken_at=NOON + timedelta(days=day),
        name=f"day {day}",
        who="ida",
    )
    session.add_picture_fields([field])
    window.bench.open(session)
    return session


@pytest.fixture
def tank_id(window: Window) -> int:
    """A tank in the records."""
    store = window.bench.session.store
    batch = store.add_batch("spring", "eastern-oyster")
    return store.add_tank(batch.batch_id, "T1").tank_id


def test_the_last_sample_of_the_tank_is_proposed(
    window: Window, tank_id: int, counted_once: tuple[object, PictureField]
) -> None:
    """Day 5 before day 7 of the same tank: proposed, and answered at once."""
    field = counted_once[1]
    counted_in(window, field, 5, tank_id)
    counted_in(window, field, 7, tank_id)
    window.actions_by_name["sheet-compare"].trigger()
    sheet = sheet_of(window)
    assert window.pages.currentWidget() is sheet
    assert sheet.against.box.currentText().startswith("day 5")
    words = answered(sheet)
    assert words.startswith("5 against 5 does not show a change")
    assert "First, day 5: 5 ÷" in words
    assert "The totals of the two vessels are compared." in words


def test_any_other_sample_can_be_chosen_and_a_later_one_is_the_second(
    window: Window, tank_id: int, counted_once: tuple[object, PictureField]
) -> None:
    """A sample without a tank, taken later: it stands second; the order can be turned round."""
    field = counted_once[1]
    later = counted_in(window, field, 9, None)
    counted_in(window, field, 7, tank_id)
    window.actions_by_name["sheet-compare"].trigger()
    sheet = sheet_of(window)
    assert sheet.against.key == "typed"
    sheet.against.choose("choose")
    sheet.against.box.activated.emit(sheet.against.box.currentIndex())
    chooser = sheet.chooser
    assert chooser is not None
    chooser.filter.setText("day 9")
    chooser.accept()
    assert sheet.against.key == str(later.sample_id)
    assert "Second, day 9" in answered(sheet)
    sheet.order.choose("before")
    assert "First, day 9" in answered(sheet)


def test_typed_counts_by_keyboard_alone(counted: Window, qtbot: QtBot) -> None:
    """Ctrl+6, Tab to each line, the answer follows; Esc goes back to the picture."""
    press(counted.canvas, KEY.Key_6, held=CONTROL)
    sheet = sheet_of(counted)
    assert counted.focusWidget() is sheet.against.box
    assert sheet.headline.text() == TYPE_COUNTS
    for text in ("112,98,x", "0.25 mL", "1+9"):
        press(counted.focusWidget(), KEY.Key_Tab)
        write(counted.focusWidget(), text)
    qtbot.waitUntil(lambda: "210 against 5" in sheet.headline.text())
    assert "The densities per mL are compared." in sheet.text.toPlainText()
    press(counted.focusWidget(), KEY.Key_Escape)
    assert counted.pages.currentWidget() is counted.canvas
    assert counted.focusWidget() is counted.canvas


def test_what_is_typed_outlives_the_window(
    open_window: Callable[[], Window], counted_once: tuple[object, PictureField]
) -> None:
    """Also what cannot be read yet; and it never becomes part of the sample."""
    first = open_window()
    first.bench.session.add_picture_fields([counted_once[1]])
    before = first.bench.sample
    first.pages.show_sheet("compare")
    sheet_of(first).counts.line.setText("112,many")
    sheet_of(first).each.line.setText("0.25")
    sheet_of(first).question.choose("survival")
    first.close()
    assert first.bench.sample == before
    again = open_window()
    again.pages.show_sheet("compare")
    sheet = sheet_of(again)
    assert sheet.counts.line.text() == "112,many"
    assert sheet.question.key == "survival"
    answered(sheet)
    assert "many" in sheet.problem.text()
    assert not sheet.copy.isEnabled()


def test_nothing_counted_yet_is_said(window: Window) -> None:
    """An empty sample has nothing to compare."""
    window.pages.show_sheet("compare")
    sheet = sheet_of(window)
    sheet.counts.line.setText("180")
    sheet.each.line.setText("1 mL")
    answered(sheet)
    assert "Nothing was looked at" in sheet.problem.text()


def test_the_answer_is_copied_whole(counted: Window) -> None:
    """The sentence, what was compared and both sums go to the clipboard."""
    counted.pages.show_sheet("compare")
    sheet = sheet_of(counted)
    sheet.counts.line.setText("180")
    sheet.each.line.setText("1 mL")
    sheet.refresh()
    QTest.mouseClick(sheet.copy, Qt.MouseButton.LeftButton)
    copied = QGuiApplication.clipboard().text()
    assert copied.startswith("180 against 5")
    assert "First, the counts typed: 180 ÷" in copied


def test_a_field_that_arrives_leaves_the_sheet_to_who_types(
    counted: Window, counted_once: tuple[object, PictureField]
) -> None:
    """Letters that are meant for a line never land on the picture; the strip still goes there."""
    counted.pages.show_sheet("compare")
    (new,) = counted.bench.session.add_picture_fields([counted_once[1]])
    counted.bench.show(new)
    assert counted.pages.currentWidget() is sheet_of(counted)
    counted.actions_by_name["next-field"].trigger()
    assert counted.pages.currentWidget() is counted.canvas


def test_two_shares_by_mouse(counted: Window) -> None:
    """Chosen from the list, typed, answered with limits and working; no sample is asked for."""
    counted.pages.show_sheet("compare")
    sheet = sheet_of(counted)
    sheet.against.choose("shares")
    sheet.against.box.activated.emit(sheet.against.box.currentIndex())
    assert sheet.headline.text() == TYPE_SHARES
    assert not sheet.counts.isVisible()
    assert not sheet.question.isVisible()
    first, second = sheet.share_lines
    for line, text in ((first, "56/70"), (second, "48/80")):
        QTest.mouseClick(line.line, Qt.MouseButton.LeftButton)
        write(counted.focusWidget(), text)
    words = answered(sheet)
    assert words.startswith(
        "80.0 % against 60.0 % shows a change: the second is 20.0 percentage points lower (95 % "
        "limits 5.24 to 33.4 lower)."
    )
    assert "Lower limit (Newcombe 1998" in words
    QTest.mouseClick(sheet.copy, Qt.MouseButton.LeftButton)
    assert "Upper limit: 20.00 + " in QGuiApplication.clipboard().text()


def test_two_shares_by_keyboard_alone(counted: Window, qtbot: QtBot) -> None:
    """Ctrl+6, the arrow to the shares, Tab to each; what is no share is named."""
    press(counted.canvas, KEY.Key_6, held=CONTROL)
    sheet = sheet_of(counted)
    press(counted.focusWidget(), KEY.Key_Down)
    assert sheet.against.key == "shares"
    for text in ("6/7", "9/7"):
        press(counted.focusWidget(), KEY.Key_Tab)
        write(counted.focusWidget(), text)
    qtbot.waitUntil(lambda: "second share “9/7” is more than all" in sheet.problem.text())
    for _ in range(3):
        press(counted.focusWidget(), KEY.Key_Backspace)
    write(counted.focusWidget(), "2/7")
    qtbot.waitUntil(lambda: "shows a change" in sheet.headline.text())
    assert not sheet.problem.isVisible()
    press(counted.focusWidget(), KEY.Key_Escape)
    assert counted.pages.currentWidget() is counted.canvas


def test_a_total_on_paper_is_held_against_the_open_sample(counted: Window) -> None:
    """Ten times too many is said with its cause; the right one agrees; the working stands below."""
    counted.bench.session.set_vessel_ml(20_000.0)
    counted.pages.show_sheet("compare")
    sheet = sheet_of(counted)
    sheet.against.choose("paper")
    sheet.against.box.activated.emit(sheet.against.box.currentIndex())
    assert sheet.headline.text() == TYPE_TOTAL
    assert sheet.paper.isVisible()
    assert not sheet.question.isVisible()
    total = counted.bench.session.estimate.total
    assert total is not None
    sheet.paper.line.setText(str(round(10 * total)))
    words = answered(sheet)
    assert words.startswith("The total on paper, ")
    assert "it is 10 times as much, a digit or a unit" in words
    assert "The working:\nChamber: " in words
    sheet.paper.line.setText(str(round(total)))
    assert "agrees with these counts" in answered(sheet)
    sheet.paper.line.setText("0")
    sheet.refresh()
    assert "total on paper “0” is impossible" in sheet.problem.text()
