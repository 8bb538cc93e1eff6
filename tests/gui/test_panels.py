"""The panels beside the picture follow the sample and one another."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QItemSelectionModel, Qt
from PySide6.QtGui import QColor, QGuiApplication, QPalette
from PySide6.QtWidgets import QApplication, QToolButton
from pytestqt.qtbot import QtBot

from counter.domain.ruled import RuledGrid
from counter.gui.marks_model import COLUMNS, SQUARE
from counter.gui.style import TonedLabel
from counter.gui.window import Window
from tests.gui.hands import PLACES, click, press, settle

CONTROL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier


def test_the_table_lists_what_is_on_the_picture(counted: Window) -> None:
    """One row for each mark, with its stage in words and its length as a number."""
    counted.show_panel("marks")
    model = counted.results.marks.model
    assert model.rowCount() == len(PLACES)
    mark = counted.bench.marks[model.mark_id_at(0)]
    row = [model.index(0, column).data() for column in range(len(COLUMNS))]
    assert row[:3] == [mark.mark_id, "D-hinge", f"{mark.length_um:.1f}"]
    assert row[5] == "yes"


def test_squares_of_the_rulings_have_a_column_where_there_are_any(
    counted: Window, qtbot: QtBot
) -> None:
    """Hidden otherwise; sorted row by row."""
    counted.show_panel("marks")
    table = counted.results.marks.table
    assert table.isColumnHidden(SQUARE)
    shown = counted.bench.picture
    assert shown is not None
    grid = RuledGrid(420, 300, 0.0, 100.0, 0.1, 6, 10.0, 10.0)
    ruled = replace(shown, picture=replace(shown.picture, file="b.png", grid=grid))
    (field_id,) = counted.bench.session.add_picture_fields([ruled])
    counted.bench.show(field_id)
    settle(counted, qtbot)
    assert not table.isColumnHidden(SQUARE)
    model = counted.results.marks.model
    squares = [model.index(row, SQUARE).data() for row in range(model.rowCount())]
    assert sorted(squares) == ["2·2", "2·4", "2·5", "4·3", "4·4"]
    table.sortByColumn(SQUARE, Qt.SortOrder.DescendingOrder)
    assert table.model().index(0, SQUARE).data() == "4·4"


def test_picking_on_the_picture_selects_the_row_and_the_other_way_round(counted: Window) -> None:
    """Picture and table show the same marks as picked."""
    counted.show_panel("marks")
    panel = counted.results.marks
    click(counted.canvas, *PLACES[2])
    (mark_id,) = counted.bench.picked
    (index,) = panel.table.selectionModel().selectedRows()
    assert index.data() == mark_id
    last = panel.table.model().index(panel.model.rowCount() - 1, 0)
    panel.table.selectionModel().setCurrentIndex(
        last,
        QItemSelectionModel.SelectionFlag.ClearAndSelect | QItemSelectionModel.SelectionFlag.Rows,
    )
    assert counted.bench.picked == {last.data()}


def test_a_mark_is_removed_and_staged_from_the_table(counted: Window) -> None:
    """The keys of the picture work in the table, for those who do not see the picture."""
    counted.show_panel("marks")
    table = counted.results.marks.table
    table.selectRow(0)
    (mark_id,) = counted.bench.picked
    press(table, Qt.Key.Key_3)
    assert counted.bench.marks[mark_id].stage == "umbo"
    press(table, Qt.Key.Key_Delete)
    assert mark_id not in counted.bench.marks
    assert counted.results.marks.model.rowCount() == len(PLACES) - 1


def test_a_hidden_table_catches_up_when_it_is_shown(counted: Window) -> None:
    """What happened meanwhile is there when the table comes into sight."""
    counted.show_panel("stages")
    click(counted.canvas, *PLACES[1])
    counted.corrections.remove()
    click(counted.canvas, *PLACES[0])
    counted.show_panel("marks")
    panel = counted.results.marks
    assert panel.model.rowCount() == len(PLACES) - 1
    assert {i.data() for i in panel.table.selectionModel().selectedRows()} == counted.bench.picked


def test_the_stage_table_adds_up_to_the_count(counted: Window) -> None:
    """The stages of the species are all there; their counts sum to the count."""
    table = counted.results.stages.table
    counts = {}
    for row in range(table.rowCount()):
        stage, number = table.item(row, 1), table.item(row, 2)
        assert stage is not None
        assert number is not None
        counts[stage.text()] = int(number.text())
    assert list(counts)[:2] == ["Trochophore", "D-hinge"]
    assert sum(counts.values()) == len(PLACES)


def test_stages_have_densities_until_the_vessel_is_known(counted: Window) -> None:
    """Per mL with limits first, then the total with limits; the column says which it is."""
    table = counted.results.stages.table
    shown = {}
    for vessel_ml in (None, 2_000.0):
        counted.bench.session.set_vessel_ml(vessel_ml)
        head = table.horizontalHeaderItem(3)
        cells = [table.item(row, 3) for row in range(table.rowCount())]
        words = [cell.text() for cell in cells if cell is not None and "to" in cell.text()]
        assert head is not None
        shown[head.text()] = words
    assert list(shown) == ["Per mL with limits", "Total with limits"]
    assert all(shown.values())
    assert shown["Per mL with limits"] != shown["Total with limits"]


def test_the_working_can_be_copied(counted: Window) -> None:
    """The clipboard gets the same lines as the panel shows, ending in the density."""
    counted.show_panel("working")
    counted.results.working.copy.click()
    copied = QGuiApplication.clipboard().text()
    assert copied.replace("\n\n", "\n") == "\n".join(counted.bench.session.working)
    assert "\n\nSizes:\nMean length: " in copied
    assert len(copied.splitlines()) >= 3


def test_the_history_strikes_out_what_was_taken_back(counted: Window, qtbot: QtBot) -> None:
    """The latest step is at the top; undone steps are said to be so."""
    counted.show_panel("history")
    click(counted.canvas, *PLACES[0])
    counted.corrections.remove()
    counted.desk.undo()
    history = counted.results.history.list

    def struck() -> None:
        assert "Took back" in history.item(0).text()
        assert "Removed a larva" in history.item(1).text()
        assert history.item(1).text().endswith("(taken back)")
        assert history.item(1).font().strikeOut()

    qtbot.waitUntil(struck, timeout=3000)


def test_the_strip_shows_each_field_with_its_count(counted: Window) -> None:
    """The tile says how many are counted, and a tick once the field was looked through."""
    assert counted.strip.count() == 1
    assert counted.strip.item(0).text().startswith(f"{len(PLACES)} ")
    counted.corrections.switch_reviewed()
    assert counted.strip.item(0).text().startswith("✓")


def test_removing_a_field_and_bringing_it_back(counted: Window) -> None:
    """The field leaves the strip and the total; undo brings both back."""
    before = counted.bench.sample
    counted.actions_by_name["remove-field"].trigger()
    assert counted.strip.count() == 0
    assert counted.results.total.big.text() == "–"
    counted.actions_by_name["undo"].trigger()
    assert counted.bench.sample == before
    assert counted.strip.count() == 1


def test_removing_a_filling_takes_its_fields_along(counted: Window) -> None:
    """By keys: the one of the field that is shown; the other stays, and undo brings it back."""
    first = next(counted.bench.sample.picture_fields())
    counted.bench.session.add_filling()
    new = counted.bench.session.add_picture_fields([first, first])
    counted.bench.show(new[1])
    before = counted.bench.sample
    press(counted.canvas, Qt.Key.Key_Delete, held=CONTROL | SHIFT)
    assert [len(filling.fields) for filling in counted.bench.sample.fillings] == [1]
    assert (
        "Filling 2 with its 2 fields is out of the sample" in counted.statusBar().currentMessage()
    )
    counted.actions_by_name["undo"].trigger()
    assert counted.bench.sample == before
    counted.bench.show(first.field_id)
    counted.actions_by_name["remove-filling"].trigger()
    counted.bench.show(new[0])
    counted.actions_by_name["remove-filling"].trigger()
    counted.actions_by_name["remove-filling"].trigger()
    assert counted.statusBar().currentMessage() == "No field is shown."


def test_undo_and_redo_say_what_they_would_do(counted: Window) -> None:
    """In the menu and in the tip; the button keeps its short word, and both end where there is
    nothing more."""
    undo, redo = counted.actions_by_name["undo"], counted.actions_by_name["redo"]
    counted.bench.session.set_vessel_ml(5_000.0)
    assert undo.text() == "Undo: set the vessel to 5000 mL"
    assert undo.iconText() == "Undo"
    assert undo.toolTip().startswith("Undo: set the vessel to 5000 mL. (")
    assert redo.text() == "Redo"
    assert not redo.isEnabled()
    undo.trigger()
    assert redo.text() == "Redo: set the vessel to 5000 mL"
    while undo.isEnabled():
        undo.trigger()
    assert (undo.text(), undo.iconText()) == ("Undo", "Undo")


@pytest.mark.parametrize("rule", ["top-left", "bottom-right"])
def test_the_total_names_the_borders_that_count(counted: Window, rule: str) -> None:
    """Which borders count is printed with every result."""
    counted.card.edges.box.setCurrentIndex(counted.card.edges.box.findData(rule))
    counted.card.edges.box.activated.emit(counted.card.edges.box.currentIndex())
    assert rule.replace("-", " and ") in counted.results.total.basis.text()


def test_problems_stay_until_they_are_put_away(window: Window) -> None:
    """Several problems are listed together; a plain word goes to the foot of the window."""
    for name in ("a.png", "b.png", "a.png"):
        window.bench.tell_problem(f"{name} was not counted.")
    window.bench.tell("Something nice.")
    assert window.messages.text.count("was not counted") == 2
    assert window.statusBar().currentMessage() == "Something nice."
    window.messages.clear()
    assert window.messages.text == ""


def test_a_problem_does_not_move_the_picture(counted: Window, qtbot: QtBot) -> None:
    """The strip lies over the fields, also after a resize; Escape puts it away."""
    foot = counted.statusBar()
    before = counted.canvas.geometry()
    counted.bench.tell_problem("One thing is wrong.")
    qtbot.wait(1)
    assert counted.canvas.geometry() == before
    assert counted.messages.geometry().bottom() == foot.geometry().top() - 1
    counted.resize(counted.width() + 40, counted.height() + 30)
    qtbot.waitUntil(lambda: counted.messages.width() == counted.width())
    assert counted.messages.geometry().bottom() == foot.geometry().top() - 1
    press(counted.canvas, Qt.Key.Key_Escape)
    assert counted.messages.text == ""


def test_the_window_follows_the_system_into_the_dark(counted: Window, qtbot: QtBot) -> None:
    """When the palette changes while the window is open, every label stays readable."""
    light = QGuiApplication.palette()
    dark = QPalette(light)
    dark.setColor(QPalette.ColorRole.Window, QColor("#202326"))
    dark.setColor(QPalette.ColorRole.WindowText, QColor("#f4f6f7"))
    dark.setColor(QPalette.ColorRole.ButtonText, QColor("#f4f6f7"))
    try:
        QApplication.setPalette(dark)
        qtbot.wait(20)
        for label in counted.findChildren(TonedLabel):
            ink = label.palette().color(QPalette.ColorRole.WindowText)
            assert ink.lightness() > 128, label.accessibleName()
    finally:
        QApplication.setPalette(light)


def test_the_window_fits_a_small_screen(window: Window, slide: Path, qtbot: QtBot) -> None:
    """1366 by 768 with a title bar and a task bar: also while the scale is asked for."""
    window.desk.open_paths([str(slide)])
    settle(window, qtbot)
    assert not window.scale_panel.isHidden()
    least = window.minimumSizeHint()
    assert least.width() <= 960, "a full screen of 1920 pixels at 200 %"
    assert least.height() <= 700


def test_a_counted_picture_with_warnings_and_every_page_fit_it_too(
    counted: Window, qtbot: QtBot
) -> None:
    """Nor does a panel lie over the total there, whichever is shown."""
    total, tabs = counted.results.total, counted.results.tabs
    act = counted.actions_by_name
    for name in ("panel-stages", "panel-sizes", "panel-marks", "ask-scale", "sheet-compare",
                 "sheet-effort", "sheet-method", "start-tally"):  # fmt: skip
        act[name].trigger()
        qtbot.wait(20)
        assert counted.minimumSizeHint().height() <= 700, name
        assert counted.height() <= 740, name
        assert total.geometry().bottom() < tabs.geometry().top(), name


def test_the_scale_steps_aside_for_a_sheet(counted: Window, qtbot: QtBot) -> None:
    """And comes back with the picture; asked for on a sheet, the picture comes with it."""
    counted.actions_by_name["ask-scale"].trigger()
    assert counted.scale_panel.isVisible()
    counted.actions_by_name["sheet-effort"].trigger()
    assert counted.scale_panel.isHidden()
    counted.pages.show_field()
    assert counted.scale_panel.isVisible()
    assert counted.scale_panel.later.text() == "Close"
    counted.scale_panel.later.click()
    counted.actions_by_name["sheet-effort"].trigger()
    counted.pages.show_field()
    assert counted.scale_panel.isHidden(), "it was put away"
    counted.actions_by_name["sheet-compare"].trigger()
    counted.actions_by_name["ask-scale"].trigger()
    assert counted.pages.shown is counted.canvas
    assert counted.scale_panel.isVisible()
    qtbot.wait(20)


def test_each_sheet_has_a_button(counted: Window) -> None:
    """With a short word, and the whole question for a screen reader."""
    for name, sheet in counted.pages.sheets.items():
        action = counted.actions_by_name[f"sheet-{name}"]
        button = counted.tools.widgetForAction(action)
        assert isinstance(button, QToolButton)
        assert button.isVisible()
        assert button.accessibleName() == action.text()
        assert len(button.text()) < len(action.text())
        button.click()
        assert counted.pages.shown is sheet


def test_a_stage_tells_its_limits_for_uneven_mixing(counted: Window) -> None:
    """On its amount, for the mouse and for screen readers, once two fillings can be compared."""
    table = counted.results.stages.table
    amount = table.item(1, 3)
    assert amount is not None
    assert amount.toolTip() == ""
    first = next(counted.bench.sample.picture_fields())
    counted.bench.session.add_filling()
    counted.bench.session.add_picture_fields([first])
    assert amount.toolTip().startswith("If mixed unevenly: ")
    assert amount.data(Qt.ItemDataRole.AccessibleDescriptionRole) == amount.toolTip()
