"""Counting at the eyepiece: the whole of it by keyboard, and by pointer."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from counter.domain.tally_field import TallyField
from counter.gui.window import Window
from tests.gui.hands import press, write

KEY = Qt.Key
SHIFT, CONTROL = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.ControlModifier


def begin(window: Window) -> TallyField:
    """Start a tally in squares of 1 mm with two keys."""
    press(window, KEY.Key_T, held=CONTROL)
    press(window.tally_start.squares, KEY.Key_Return)
    return running(window)


def running(window: Window) -> TallyField:
    """The tally that is shown."""
    tally = window.bench.tally
    assert tally is not None
    return tally


def test_three_squares_by_keyboard_alone(window: Window) -> None:
    """Ctrl+T, Enter, letters, Space, Ctrl+Enter: three squares, their sum and their volume."""
    begin(window)
    pad = window.tally_pad
    assert pad.hasFocus() or QApplication.focusWidget() is None
    write(pad, "ssa")
    press(pad, KEY.Key_Space)
    write(pad, "sd")
    press(pad, KEY.Key_Return)
    write(pad, "s")
    press(pad, KEY.Key_Return, held=CONTROL)
    tally = running(window)
    assert [dict(square.counts) for square in tally.counted_squares] == [
        {"d-hinge": 2, "trochophore": 1},
        {"d-hinge": 1, "umbo": 1},
        {"d-hinge": 1},
    ]
    estimate = window.bench.session.estimate
    assert estimate.counted == 6
    assert estimate.volume_counted_ml == pytest.approx(0.003)
    assert pad.headline.text().startswith("Tally finished: 3")


def test_a_square_counts_once_it_is_done(window: Window) -> None:
    """The open square is on the caps and in the running sum, not yet in the total."""
    begin(window)
    write(window.tally_pad, "sss")
    assert window.bench.session.estimate.counted == 0
    assert "3 with this one" in window.tally_pad.sum.text()
    press(window.tally_pad, KEY.Key_Space)
    assert window.bench.session.estimate.counted == 3
    assert window.tally_pad.sum.text().startswith("3 in 1 square done")


def test_digits_count_as_the_letters_do(window: Window) -> None:
    """2 is the second class, whichever letter that has."""
    begin(window)
    write(window.tally_pad, "22s")
    assert running(window).squares[-1].counts == {"d-hinge": 3}


def test_shift_with_a_letter_counts_a_dead_one(window: Window) -> None:
    """Dead ones are a class of their own and are shown on the cap."""
    begin(window)
    press(window.tally_pad, KEY.Key_S)
    press(window.tally_pad, KEY.Key_S, held=SHIFT)
    assert running(window).squares[-1].counts == {"d-hinge": 1, "d-hinge, dead": 1}
    assert "of them dead 1" in window.tally_pad.caps["d-hinge"].accessibleName()


def test_a_key_held_down_counts_once(window: Window) -> None:
    """Repeats that the keyboard makes by itself are not counted."""
    begin(window)
    press(window.tally_pad, KEY.Key_S)
    for _ in range(5):
        again = QKeyEvent(
            QEvent.Type.KeyPress, KEY.Key_S, Qt.KeyboardModifier.NoModifier, "s", True
        )
        QApplication.sendEvent(window.tally_pad, again)
    assert running(window).squares[-1].counts == {"d-hinge": 1}


def test_backspace_takes_keys_back_without_end(window: Window) -> None:
    """Each press takes one step back: a key, or the end of a square."""
    begin(window)
    write(window.tally_pad, "ss")
    press(window.tally_pad, KEY.Key_Space)
    write(window.tally_pad, "d")
    press(window.tally_pad, KEY.Key_Backspace, KEY.Key_Backspace)
    assert len(running(window).squares) == 1
    assert running(window).squares[-1].counts == {"d-hinge": 2}
    press(window.tally_pad, KEY.Key_Backspace)
    assert running(window).squares[-1].counts == {"d-hinge": 1}


def test_an_empty_square_is_a_count_of_nothing(window: Window) -> None:
    """Space on an empty square counts it: its volume was looked through."""
    begin(window)
    press(window.tally_pad, KEY.Key_Space, KEY.Key_Space)
    press(window.tally_pad, KEY.Key_Return, held=CONTROL)
    estimate = window.bench.session.estimate
    assert estimate.counted == 0
    assert estimate.volume_counted_ml == pytest.approx(0.002)
    assert window.results.total.big.text() == "0"


def test_keys_after_the_end_are_refused_with_a_word(window: Window) -> None:
    """A finished tally takes no more; the strip says how to start another."""
    begin(window)
    write(window.tally_pad, "s")
    press(window.tally_pad, KEY.Key_Return, held=CONTROL)
    write(window.tally_pad, "s")
    assert window.bench.session.estimate.counted == 1
    assert "finished" in window.messages.text


def test_a_tally_goes_on_after_a_restart(open_window: Callable[[], Window]) -> None:
    """Every key was kept; the open square is still open."""
    first = open_window()
    begin(first)
    write(first.tally_pad, "ssd")
    first.close()
    again = open_window()
    assert running(again).squares[-1].counts == {"d-hinge": 2, "umbo": 1}
    assert again.pages.currentWidget() is again.tally_pad
    write(again.tally_pad, "s")
    assert running(again).squares[-1].counts == {"d-hinge": 3, "umbo": 1}


def test_the_caps_can_be_pressed_with_the_pointer(window: Window) -> None:
    """Wet hands on a touch screen: caps, next square and finish are buttons."""
    begin(window)
    pad = window.tally_pad
    QTest.mouseClick(pad.caps["umbo"], Qt.MouseButton.LeftButton)
    QTest.mouseClick(pad.next, Qt.MouseButton.LeftButton)
    QTest.mouseClick(pad.caps["eyed"], Qt.MouseButton.LeftButton)
    QTest.mouseClick(pad.undo, Qt.MouseButton.LeftButton)
    QTest.mouseClick(pad.finish, Qt.MouseButton.LeftButton)
    tally = running(window)
    assert tally.finished
    assert [dict(square.counts) for square in tally.counted_squares] == [{"umbo": 1}]
    assert not pad.next.isEnabled()


def test_an_area_of_ones_own_is_typed_and_checked(window: Window) -> None:
    """A field of view of 2.54 mm² is taken; nonsense is refused beneath its line."""
    window.pages.start_tally()
    start = window.tally_start
    start.squares.setCurrentIndex(start.squares.count() - 1)
    assert not start.area.isHidden()
    for nonsense in ("", "wide", "-1", "0"):
        start.area_line.setText(nonsense)
        start.begin()
        assert start.area.is_refused
        assert not window.bench.fields
    start.area_line.setText("2,54")
    start.begin()
    assert running(window).square_area_mm2 == pytest.approx(2.54)


def test_a_second_tally_can_be_a_filling_of_its_own(window: Window) -> None:
    """The chamber was loaded anew: two fillings, so their agreement can be tested."""
    begin(window)
    write(window.tally_pad, "ssss")
    press(window.tally_pad, KEY.Key_Return, held=CONTROL)
    window.pages.start_tally()
    window.tally_start.new_filling.setChecked(True)
    window.tally_start.begin()
    write(window.tally_pad, "sss")
    press(window.tally_pad, KEY.Key_Return, held=CONTROL)
    assert len(window.bench.sample.fillings) == 2
    assert window.bench.session.estimate.dispersion is not None


def test_the_pad_says_when_its_keys_go_elsewhere(window: Window) -> None:
    """Eyes at the eyepiece: a press beside the pad must not go unseen."""
    begin(window)
    assert window.tally_pad.deaf.isHidden()
    window.card.name.line.setFocus()
    assert not window.tally_pad.deaf.isHidden()
    window.tally_pad.caps["umbo"].click()
    assert window.tally_pad.deaf.isHidden()


def test_escape_leaves_the_question_without_a_tally(window: Window) -> None:
    """Esc goes back to the pictures; nothing was started."""
    press(window, KEY.Key_T, held=CONTROL)
    assert window.pages.currentWidget() is window.tally_start
    press(window.tally_start, KEY.Key_Escape)
    assert window.pages.currentWidget() is window.canvas
    assert not window.bench.fields


def test_keys_can_be_chosen_and_are_remembered(open_window: Callable[[], Window]) -> None:
    """A chosen key counts from then on, also after a restart; a digit is refused."""
    first = open_window()
    begin(first)
    first.tally_pad.keys_button.click()
    dialog = first.keys_dialog
    assert dialog is not None
    dialog.lines["d-hinge"].setText("7")
    dialog.accept()
    assert "digit" in dialog.problem.text()
    dialog.lines["d-hinge"].setText("h")
    dialog.accept()
    write(first.tally_pad, "h")
    assert running(first).squares[-1].counts == {"d-hinge": 1}
    first.close()
    again = open_window()
    assert again.tally_pad.keys["d-hinge"] == "H"


def test_a_whole_well_is_counted_with_the_volume_in_it(window: Window) -> None:
    """For a well the card asks for its volume; until then the total says what is missing."""
    window.card.chamber.box.setCurrentIndex(window.card.chamber.box.findData("whole-volume"))
    window.card.chamber.box.activated.emit(window.card.chamber.box.currentIndex())
    assert window.bench.sample.chamber.is_whole_volume
    window.pages.start_tally()
    window.tally_start.begin()
    write(window.tally_pad, "sssss")
    press(window.tally_pad, KEY.Key_Return, held=CONTROL)
    assert window.results.total.warnings.text()
    assert not window.card.aliquot.isHidden()
    window.card.aliquot.line.setText("2 mL")
    assert window.card.aliquot.finish()
    estimate = window.bench.session.estimate
    assert estimate.density_per_ml == pytest.approx(2.5)
