"""Correcting a counted picture: the whole of it by pointer, and again by keyboard alone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtWidgets import QApplication, QMenu
from pytestqt.qtbot import QtBot

from counter.domain import flags
from counter.domain.mark import Mark
from counter.gui.window import Window
from tests.gui.hands import PLACES, click, count, drag, press

KEY = Qt.Key
CONTROL, SHIFT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.ShiftModifier


def nearest(window: Window, place: tuple[int, int]) -> Mark:
    """The mark whose centre is closest to a place."""
    return min(
        window.bench.marks.values(),
        key=lambda m: (m.x_px - place[0]) ** 2 + (m.y_px - place[1]) ** 2,
    )


def trigger(window: Window, name: str) -> None:
    """Choose an action as a menu or a tool button does."""
    action = window.actions_by_name[name]
    assert action.isEnabled(), f"{name} cannot be done now"
    action.trigger()


def test_a_press_picks_a_mark_and_the_ground_lets_go(counted: Window) -> None:
    """Pressing inside an outline picks it; pressing beside it picks nothing."""
    click(counted.canvas, *PLACES[0])
    assert counted.bench.picked == {nearest(counted, PLACES[0]).mark_id}
    click(counted.canvas, 205, 160)
    assert not counted.bench.picked


def test_marks_that_the_borders_leave_out_are_looked_at_last(counted: Window) -> None:
    """However unsure the detector is of them: they change no number."""
    session, field = counted.bench.session, counted.bench.picture
    assert field is not None
    unsure = replace(
        nearest(counted, PLACES[2]),
        outline_px=((410.0, 50.0), (425.0, 50.0), (425.0, 80.0), (410.0, 80.0)),
        score=0.01,
        flags=frozenset({flags.CUT.key}),
        x_px=417.0,
        y_px=65.0,
    )
    mark_id = session.add_mark(field.field_id, unsure)
    counted.bench.pick(())
    seen = []
    for _ in range(len(PLACES) + 1):
        trigger(counted, "next-mark")
        (picked,) = counted.bench.picked
        seen.append(picked)
    assert seen[-1] == mark_id
    assert len(set(seen)) == len(PLACES) + 1


def test_removing_by_pointer_changes_the_total_and_undo_brings_it_back(counted: Window) -> None:
    """The count follows each step; after undo the sample is as it was."""
    before = counted.bench.sample
    big = counted.results.total.big.text()
    click(counted.canvas, *PLACES[1])
    trigger(counted, "remove")
    assert counted.bench.session.estimate.counted == len(PLACES) - 1
    assert counted.results.total.big.text() != big
    trigger(counted, "undo")
    assert counted.bench.sample == before
    assert counted.results.total.big.text() == big
    trigger(counted, "redo")
    assert counted.bench.session.estimate.counted == len(PLACES) - 1


def test_a_missed_body_is_added_where_it_is_pressed(counted: Window) -> None:
    """The mark that was removed is found again by pressing on it with the adding tool."""
    old = nearest(counted, PLACES[2])
    click(counted.canvas, *PLACES[2])
    trigger(counted, "remove")
    trigger(counted, "tool-place")
    click(counted.canvas, *PLACES[2])
    new = nearest(counted, PLACES[2])
    assert len(counted.bench.marks) == len(PLACES)
    assert new.length_um == pytest.approx(old.length_um, rel=0.1)
    assert new.origin == "placed"


def test_dragging_a_mark_moves_it_by_what_it_was_dragged(counted: Window) -> None:
    """The mark follows the pointer, to a pixel of the screen; its size stays."""
    old = nearest(counted, PLACES[3])
    drag(counted.canvas, PLACES[3], (PLACES[3][0] + 40, PLACES[3][1] - 25))
    new = counted.bench.marks[old.mark_id]
    slack = 1.5 / counted.canvas.view.zoom
    assert new.x_px - old.x_px == pytest.approx(40, abs=slack)
    assert new.y_px - old.y_px == pytest.approx(-25, abs=slack)
    assert new.length_um == pytest.approx(old.length_um, rel=1e-6)


def test_a_line_drawn_across_cuts_a_mark_in_two(counted: Window) -> None:
    """The cutting tool makes two marks of the one that its line crosses; undo joins them again."""
    x, y = PLACES[4]
    trigger(counted, "tool-cut")
    drag(counted.canvas, (x, y - 30), (x, y + 30))
    assert len(counted.bench.marks) == len(PLACES) + 1
    assert len(counted.bench.picked) == 2
    trigger(counted, "undo")
    assert len(counted.bench.marks) == len(PLACES)


def test_the_line_cuts_what_it_crosses_whatever_is_picked(counted: Window) -> None:
    """A mark picked elsewhere, by the step before, is not what the line is meant for."""
    counted.bench.pick([nearest(counted, PLACES[0]).mark_id])
    x, y = PLACES[4]
    counted.corrections.cut((x, y - 30), (x, y + 30))
    assert counted.messages.text == ""
    assert len(counted.bench.marks) == len(PLACES) + 1
    assert nearest(counted, PLACES[0]).mark_id not in counted.bench.picked


def test_parts_are_joined_into_one(counted: Window) -> None:
    """Two marks picked with Ctrl become one."""
    x, y = PLACES[4]
    trigger(counted, "tool-cut")
    click(counted.canvas, x, y - 30)
    click(counted.canvas, x, y + 30)
    trigger(counted, "tool-pick")
    click(counted.canvas, x - 8, y)
    click(counted.canvas, x + 8, y, held=CONTROL)
    assert len(counted.bench.picked) == 2
    trigger(counted, "join")
    assert len(counted.bench.marks) == len(PLACES)


def test_a_stroke_elsewhere_adds_a_mark_and_leaves_the_picked_one(counted: Window) -> None:
    """What the step before left picked is not carried off to another body."""
    kept = nearest(counted, PLACES[0])
    counted.bench.pick([kept.mark_id])
    x, y = PLACES[4]
    counted.corrections.outline([(x - 9, y - 9), (x + 9, y - 9), (x + 9, y + 9), (x - 9, y + 9)])
    assert len(counted.bench.marks) == len(PLACES) + 1
    assert counted.bench.marks[kept.mark_id] == kept


def test_a_stroke_round_a_body_redraws_it(counted: Window) -> None:
    """The outline drawn replaces that of the mark which was picked."""
    x, y = PLACES[0]
    click(counted.canvas, x, y)
    mark_id = next(iter(counted.bench.picked))
    trigger(counted, "tool-outline")
    drag(counted.canvas, (x - 20, y - 20), (x + 20, y - 20), (x + 20, y + 20), (x - 20, y + 20))
    new = counted.bench.marks[mark_id]
    assert len(counted.bench.marks) == len(PLACES)
    assert new.length_um == pytest.approx(40 * 2**0.5 * 2.0, rel=0.1)


def test_a_box_drawn_with_shift_picks_what_lies_in_it(counted: Window) -> None:
    """Marks whose middle is inside the box are picked."""
    drag(counted.canvas, (20, 20), (240, 130), held=SHIFT)
    wanted = {nearest(counted, PLACES[0]).mark_id, nearest(counted, PLACES[1]).mark_id}
    assert counted.bench.picked == wanted


def test_the_menu_of_a_mark_stages_it(counted: Window) -> None:
    """The right button offers every stage of the species."""
    click(counted.canvas, *PLACES[0])
    menu = counted.viewer.menu(counted.actions_by_name, counted.canvas.mapToGlobal(QPoint(5, 5)))
    stages = menu.actions()[0].menu()
    assert isinstance(stages, QMenu)
    words = [action.text() for action in stages.actions()]
    assert words[2] == "3  Umbo"
    stages.actions()[2].trigger()
    assert nearest(counted, PLACES[0]).stage == "umbo"
    menu.close()


def test_all_of_it_by_keyboard(counted: Window) -> None:
    """Next mark, stage, state, move, remove, undo, add, cut, join: no pointer is needed."""
    canvas, bench = counted.canvas, counted.bench
    canvas.setFocus()
    press(canvas, KEY.Key_N)
    (first,) = bench.picked
    press(canvas, KEY.Key_3)
    assert bench.marks[first].stage == "umbo"
    press(canvas, KEY.Key_D)
    assert bench.marks[first].state == "dead"
    old = bench.marks[first]
    press(canvas, KEY.Key_Right, held=CONTROL)
    assert bench.marks[first].x_px > old.x_px
    press(canvas, KEY.Key_N)
    assert bench.picked != {first}
    press(canvas, KEY.Key_B)
    assert bench.picked == {first}
    press(canvas, KEY.Key_Delete)
    assert first not in bench.marks
    press(canvas, KEY.Key_Z, held=CONTROL)
    press(canvas, KEY.Key_Z, held=CONTROL)
    assert bench.marks[first] == old
    press(canvas, KEY.Key_Y, held=CONTROL)
    press(canvas, KEY.Key_L)
    assert bench.picture is not None
    assert bench.picture.reviewed


def test_adding_and_cutting_at_the_crosshair(counted: Window) -> None:
    """The crosshair does what the pointer does: it adds, and it draws the line of a cut."""
    canvas, bench = counted.canvas, counted.bench
    canvas.setFocus()
    press(canvas, KEY.Key_N)
    assert canvas.crosshair is not None
    press(canvas, KEY.Key_X, KEY.Key_Up, KEY.Key_Up, KEY.Key_Up, KEY.Key_Up, KEY.Key_Up)
    press(canvas, KEY.Key_Return, *[KEY.Key_Down] * 10, KEY.Key_Return)
    assert len(bench.marks) == len(PLACES) + 1
    press(canvas, KEY.Key_Z, held=CONTROL)
    press(canvas, KEY.Key_Escape, KEY.Key_Escape)
    canvas.set_crosshair(205.0, 160.0)
    press(canvas, KEY.Key_Insert)
    assert len(bench.marks) == len(PLACES) + 1
    (added,) = bench.picked_marks
    assert added.x_px == pytest.approx(205.0, abs=5.0)


def test_an_outline_is_drawn_corner_by_corner_with_the_keyboard(counted: Window) -> None:
    """Enter sets a corner at the crosshair, Shift and Enter close the outline."""
    canvas = counted.canvas
    canvas.setFocus()
    press(canvas, KEY.Key_R)
    for corner in ((190.0, 140.0), (230.0, 140.0), (230.0, 180.0)):
        canvas.set_crosshair(*corner)
        press(canvas, KEY.Key_Return)
    press(canvas, KEY.Key_Return, held=SHIFT)
    assert len(counted.bench.marks) == len(PLACES) + 1
    (drawn,) = counted.bench.picked_marks
    assert drawn.area_um2 == pytest.approx(40 * 40 / 2 * 4.0, rel=0.05)


def test_a_refused_correction_is_said_and_changes_nothing(counted: Window) -> None:
    """A cut beside every mark, a join of one: the strip says why, the sample stands."""
    before = counted.bench.sample
    trigger(counted, "tool-cut")
    drag(counted.canvas, (10, 150), (30, 160))
    assert "across one mark" in counted.messages.text
    click(counted.canvas, *PLACES[0])
    counted.messages.clear()
    counted.viewer.let_go()
    counted.bench.pick([nearest(counted, PLACES[0]).mark_id])
    trigger(counted, "join")
    assert counted.messages.text
    assert counted.bench.sample == before


def test_escape_lets_go_step_by_step(counted: Window) -> None:
    """First what is half drawn, then the marks, then the tool."""
    canvas = counted.canvas
    canvas.setFocus()
    press(canvas, KEY.Key_N, KEY.Key_X, KEY.Key_Return)
    assert canvas.pen.points
    press(canvas, KEY.Key_Escape)
    assert not canvas.pen.points
    assert counted.bench.picked
    press(canvas, KEY.Key_Escape)
    assert not counted.bench.picked
    assert canvas.tool.value == "cut"
    press(canvas, KEY.Key_Escape)
    assert canvas.tool.value == "pick"


def test_the_wheel_zooms_about_the_pointer(counted: Window) -> None:
    """The place under the pointer stays where it is; Home shows the whole picture again."""
    canvas = counted.canvas
    fitted = canvas.view
    where = QPointF(200.0, 150.0)
    held = canvas.view.to_picture(where)
    event = QWheelEvent(
        where,
        canvas.mapToGlobal(where),
        QPoint(),
        QPoint(0, 480),
        Qt.MouseButton.NoButton,
        Qt.KeyboardModifier.NoModifier,
        Qt.ScrollPhase.NoScrollPhase,
        False,
    )
    QApplication.sendEvent(canvas, event)
    assert canvas.view.zoom > fitted.zoom
    assert canvas.view.to_picture(where) == pytest.approx(held)
    canvas.setFocus()
    press(canvas, KEY.Key_Home)
    assert canvas.view == fitted


def test_letters_typed_into_the_card_do_not_touch_the_marks(counted: Window) -> None:
    """D, N, X and Delete in a line of the card are letters, not corrections."""
    before = counted.bench.sample.fillings
    line = counted.card.name.line
    line.setFocus()
    press(line, KEY.Key_N, KEY.Key_D, KEY.Key_X, KEY.Key_Delete, KEY.Key_3)
    assert counted.bench.sample.fillings == before
    assert "ndx3" in line.text()


def test_corrections_survive_a_restart_and_so_does_undo(
    open_window: Callable[[], Window], slide: Path, qtbot: QtBot
) -> None:
    """After closing and opening, the last correction can still be taken back."""
    first = open_window()
    count(first, qtbot, slide)
    click(first.canvas, *PLACES[0])
    trigger(first, "remove")
    first.close()
    again = open_window()
    assert len(again.bench.marks) == len(PLACES) - 1
    trigger(again, "undo")
    assert len(again.bench.marks) == len(PLACES)


def test_marks_can_be_corrected_when_the_picture_is_gone(
    open_window: Callable[[], Window], slide: Path, qtbot: QtBot
) -> None:
    """The strip says that the picture cannot be shown; its marks are there and can be removed."""
    first = open_window()
    count(first, qtbot, slide)
    first.close()
    slide.unlink()
    again = open_window()
    qtbot.waitUntil(lambda: "cannot be shown" in again.messages.text, timeout=10_000)
    click(again.canvas, *PLACES[0])
    trigger(again, "remove")
    assert len(again.bench.marks) == len(PLACES) - 1
    again.canvas.set_crosshair(205.0, 160.0)
    again.viewer.place_here()
    assert len(again.bench.marks) == len(PLACES)
