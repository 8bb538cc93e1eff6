"""What the machine proposes of states: shown as questions, accepted or overruled."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from pytestqt.qtbot import QtBot

from counter.domain.field import PictureField
from counter.domain.proposed import Proposal
from counter.gui.canvas_marks import mark_label
from counter.gui.marks_model import STATE
from counter.gui.window import Window
from tests.gui.hands import PLACES, press, settle

KEY, SHIFT = Qt.Key, Qt.KeyboardModifier.ShiftModifier
PROPOSALS = (
    Proposal("live", 0.98),
    Proposal("dead", 0.92),
    Proposal("dead", 0.66),
    Proposal(reason="blurred"),
    Proposal("live", 0.99, "", False, 0.9),
)


@pytest.fixture
def proposed(window: Window, counted_once: tuple[Path, PictureField], qtbot: QtBot) -> Window:
    """Five larvae: live, dead, doubtfully dead, out of focus, and live without an eye spot."""
    field = counted_once[1]
    marks = {
        key: replace(mark, proposal=proposal)
        for (key, mark), proposal in zip(field.marks.items(), PROPOSALS, strict=True)
    }
    (field_id,) = window.bench.session.add_picture_fields([replace(field, marks=marks, found=None)])
    window.bench.show(field_id)
    settle(window, qtbot)
    return window


def states(window: Window) -> list[str | None]:
    return [mark.state for mark in window.bench.marks.values()]


def shown(window: Window, row: int, role: Qt.ItemDataRole = Qt.ItemDataRole.DisplayRole) -> object:
    model = window.results.marks.model
    return model.data(model.index(row, STATE), role)


def test_a_proposal_is_a_slanted_question_and_a_persons_word_is_not(proposed: Window) -> None:
    """So that nobody takes one for the other, nor by colour alone."""
    proposed.show_panel("marks")
    assert [shown(proposed, row) for row in range(4)] == [
        "live? 98 %", "dead? 92 %", "dead? 66 %", ""
    ]  # fmt: skip
    font = shown(proposed, 1, Qt.ItemDataRole.FontRole)
    assert font.italic()  # type: ignore[attr-defined]
    assert "out of focus" in str(shown(proposed, 3, Qt.ItemDataRole.ToolTipRole))
    proposed.bench.pick([2])
    press(proposed.canvas, KEY.Key_V)
    assert shown(proposed, 1) == "live"
    assert shown(proposed, 1, Qt.ItemDataRole.FontRole) is None


def test_one_key_accepts_what_is_proposed_of_the_marks_picked(proposed: Window) -> None:
    """Others stay open; undo takes it back."""
    proposed.bench.pick([2, 3])
    press(proposed.canvas, KEY.Key_Y)
    assert states(proposed) == [None, "dead", "dead", None, None]
    assert "2 accepted" in proposed.statusBar().currentMessage()
    proposed.desk.undo()
    assert states(proposed) == [None] * 5


def test_what_has_no_proposal_is_told(proposed: Window) -> None:
    """And how to say it oneself; with nothing picked, that too."""
    proposed.bench.pick([4])
    press(proposed.canvas, KEY.Key_Y)
    assert "Nothing is proposed" in proposed.statusBar().currentMessage()
    proposed.bench.pick([])
    press(proposed.canvas, KEY.Key_Y)
    assert "No mark is picked" in proposed.messages.text
    assert states(proposed) == [None] * 5


@pytest.mark.parametrize(
    "accept",
    [
        lambda window: press(window.canvas, KEY.Key_Y, held=SHIFT),
        lambda window: window.results.stages.accept.click(),
    ],
    ids=["key", "button"],
)
def test_the_sure_ones_of_a_field_are_accepted_and_the_doubtful_left(
    proposed: Window, accept: Callable[[Window], None]
) -> None:
    """By key and by button; the message says what is left, and N goes there first."""
    accept(proposed)
    assert states(proposed) == ["live", "dead", None, None, "live"]
    assert "3 accepted; 1 doubtful" in proposed.statusBar().currentMessage()
    press(proposed.canvas, KEY.Key_N)
    assert proposed.bench.picked == {3}


def test_pressing_a_proposal_twice_in_the_table_accepts_it(proposed: Window) -> None:
    """The mouse's way; pressing another column twice does nothing."""
    proposed.show_panel("marks")
    table = proposed.results.marks.table
    view = table.viewport()
    for column, wanted in ((1, None), (STATE, "dead")):
        place = table.visualRect(table.model().index(1, column)).center()
        QTest.mouseClick(view, Qt.MouseButton.LeftButton, pos=place)
        QTest.mouseDClick(view, Qt.MouseButton.LeftButton, pos=place)
        assert states(proposed)[1] == wanted


def test_the_share_of_the_dead_says_who_says_so(proposed: Window) -> None:
    """Proposed, then partly said, then said; the button goes when nothing is left to accept."""
    panel = proposed.results.stages
    assert panel.share.text().startswith("Dead: 2 of 4, 50 %")
    assert "Only proposed by the machine" in panel.share.text()
    proposed.corrections.accept_sure()
    assert "Said by a person of 3, only proposed of 1" in panel.share.text()
    assert panel.accept.isVisibleTo(panel)
    proposed.bench.pick([3])
    press(proposed.canvas, KEY.Key_V)
    assert panel.share.text().startswith("Dead: 1 of 4, 25 %")
    assert "Said by a person." in panel.share.text()
    assert not panel.accept.isVisibleTo(panel)


def test_what_is_placed_or_moved_by_hand_is_looked_at_too(proposed: Window, qtbot: QtBot) -> None:
    """As long as the picture is at hand; a mark drawn by hand is not left without a proposal."""
    settle(proposed, qtbot)
    proposed.bench.pick([1])
    proposed.corrections.move(1.0, 0.0)
    moved = proposed.bench.marks[1].proposal
    assert moved is not None
    assert moved != PROPOSALS[0]
    proposed.corrections.remove()
    proposed.corrections.place(*PLACES[0])
    placed = proposed.bench.marks[max(proposed.bench.marks)]
    assert placed.origin == "placed"
    assert placed.proposal is not None
    assert placed.proposal.state in {"live", "dead"} or placed.proposal.reason


def test_signs_on_the_picture_tell_proposed_from_said(proposed: Window) -> None:
    """† is dead, †? only proposed; a live larva has no sign."""
    looks = proposed.bench.looks
    marks = list(proposed.bench.marks.values())
    look = looks[marks[0].stage]
    assert mark_label(marks[0], look, True) == look.letter
    assert mark_label(marks[1], look, True) == f"{look.letter} †?"
    assert mark_label(replace(marks[1], state="dead"), look, True) == f"{look.letter}†"
    egg = replace(marks[0], proposal=Proposal("fertilised", 0.9))
    assert mark_label(egg, look, True) == f"{look.letter} +?"


def test_a_missing_eye_spot_is_a_remark(proposed: Window) -> None:
    """The stage itself is left alone."""
    model = proposed.results.marks.model
    proposed.show_panel("marks")
    assert model.data(model.index(4, 6)) == "no eye spot? 90 %"
