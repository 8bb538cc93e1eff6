"""The tank on the sample card: chosen or named anew, with the ages and checks that follow."""

from __future__ import annotations

from datetime import UTC, datetime

from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from counter.domain.species import TargetKind, target_of
from counter.gui.card_tank import TankLines
from counter.gui.tank_dialog import TankDialog
from counter.gui.window import Window
from tests.gui.hands import press, write

KEY = Qt.Key
NOW = datetime.now(UTC)


def lines_of(window: Window) -> TankLines:
    """The lines of the card about the tank."""
    return window.card.place


def dialog_of(window: Window) -> TankDialog:
    """The dialog of a new tank, asked for on the card."""
    box = lines_of(window).tank.box
    box.setCurrentIndex(box.findData("new"))
    box.activated.emit(box.currentIndex())
    dialog = lines_of(window).dialog
    assert dialog is not None
    return dialog


def test_a_new_tank_by_mouse(window: Window) -> None:
    """Named with its batch; the card shows both and the age, and lets them be put right."""
    lines = lines_of(window)
    assert lines.taken.isHidden()
    dialog = dialog_of(window)
    assert lines.tank.box.currentData() == ""
    dialog.name.line.setText("A7")
    dialog.volume.line.setText("500 L")
    dialog.batch_name.line.setText("spring 3")
    dialog.fertilised.line.setText("2026-01-04 12:00")
    QTest.mouseClick(dialog.keep, Qt.MouseButton.LeftButton)
    assert not dialog.isVisible()
    assert lines.tank.box.currentText() == "A7 (spring 3)"
    assert lines.age.text().startswith("spring 3, Eastern oyster: day ")
    lines.taken.line.setText("2026-01-05 14:00")
    assert lines.taken.finish()
    assert lines.age.text().endswith(": 26 h")
    lines.fertilised.line.setText("2026-01-06")
    assert not lines.fertilised.finish()
    assert "after the water was taken" in lines.fertilised.error.text()


def test_a_new_tank_by_keyboard_alone(window: Window) -> None:
    """Up opens the question, Tab goes from line to line, Enter keeps."""
    lines = lines_of(window)
    lines.tank.box.setFocus()
    press(lines.tank.box, KEY.Key_Down)
    dialog = lines.dialog
    assert dialog is not None
    assert dialog.isVisible()
    write(dialog.name.line, "B2")
    dialog.batch_name.line.setFocus()
    write(dialog.batch_name.line, "spring 4")
    press(dialog.batch_name.line, KEY.Key_Return)
    assert not dialog.isVisible()
    place = window.bench.session.place
    assert place.tank is not None
    assert place.tank.name == "B2"
    assert lines.age.text().endswith("age unknown")


def test_another_sample_of_a_known_tank_is_held_beside_the_last(
    window: Window, counted: Window, qtbot: QtBot
) -> None:
    """The tank is chosen from the list; a total ten times off is said under the total."""
    del counted
    store = window.bench.session.store
    batch = store.add_batch("spring", "eastern-oyster")
    tank = store.add_tank(batch.batch_id, "T1")
    window.card.vessel.line.setText("20 L")
    window.card.vessel.finish()
    first = window.bench.session
    first.set_taken_at(datetime(2026, 1, 5, tzinfo=UTC))
    first.set_tank(tank.tank_id)
    field = window.bench.picture
    assert field is not None
    window.desk.new_sample()
    window.bench.session.add_picture_fields([field])
    window.card.vessel.line.setText("200 L")
    window.card.vessel.finish()
    assert "last time it was" not in window.results.total.warnings.text()
    box = lines_of(window).tank.box
    assert box.currentData() == ""
    box.setCurrentIndex(box.findData(str(tank.tank_id)))
    box.activated.emit(box.currentIndex())
    qtbot.waitUntil(lambda: "last time it was" in window.results.total.warnings.text())


def test_a_batch_of_another_species_is_pointed_out(window: Window) -> None:
    """Nothing is changed by itself; the sentence says where to choose."""
    store = window.bench.session.store
    batch = store.add_batch("mixed", "pacific-oyster")
    tank = store.add_tank(batch.batch_id, "T1")
    known = window.card.place._species
    assert "pacific-oyster" in known
    lines_of(window)._choose(str(tank.tank_id))
    assert "Pacific oyster, but this sample is staged as Eastern oyster" in window.messages.text
    window.bench.session.set_target(target_of(known["pacific-oyster"], TargetKind.LARVAE))
    window.messages.clear()
    lines_of(window)._choose("")
    lines_of(window)._choose(str(tank.tank_id))
    assert window.messages.text == ""


def test_nonsense_is_refused_in_the_dialog(window: Window) -> None:
    """What was typed stays, nothing is added."""
    dialog = dialog_of(window)
    nonsense = [
        ("", "", "spring", "", "tank has no name"),
        ("T", "500", "spring", "", "tank's volume"),
        ("T", "", "", "", "batch has no name"),
        ("T", "", "spring", "5/4/2026", "two ways"),
    ]
    for *texts, said in nonsense:
        lines = (dialog.name, dialog.volume, dialog.batch_name, dialog.fertilised)
        for line, text in zip(lines, texts, strict=True):
            line.line.setText(text)
        dialog.accept()
        assert dialog.isVisible()
        assert said in dialog.problem.text()
        assert [line.line.text() for line in lines] == texts
    assert window.bench.session.store.tanks() == ()
    dialog.reject()


def test_a_second_tank_goes_into_a_batch_that_is_known(window: Window) -> None:
    """The batch is chosen from the list; its own lines are not asked again."""
    window.bench.session.store.add_batch("spring", "eastern-oyster")
    dialog = dialog_of(window)
    assert dialog.batch.box.currentText().startswith("spring")
    assert dialog.batch_name.isHidden()
    dialog.name.line.setText("T2")
    dialog.accept()
    place = window.bench.session.place
    assert place.batch is not None
    assert place.batch.name == "spring"
