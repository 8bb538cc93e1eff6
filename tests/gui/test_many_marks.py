"""A thousand marks at once, and words that belong to the sample before."""

from __future__ import annotations

from dataclasses import replace

from pytestqt.qtbot import QtBot

from counter.domain.field import PictureField
from counter.gui.canvas_shapes import AT_ONCE
from counter.gui.window import Window


def crowded(field: PictureField, number: int) -> PictureField:
    """The field with its first mark repeated all over the picture."""
    first = next(iter(field.marks.values()))
    marks = {}
    for mark_id in range(1, number + 1):
        dx, dy = (mark_id * 37) % 300 - first.x_px + 60, (mark_id * 53) % 200 - first.y_px + 40
        outline = tuple((x + dx, y + dy) for x, y in first.outline_px)
        marks[mark_id] = replace(
            first, mark_id=mark_id, x_px=first.x_px + dx, y_px=first.y_px + dy, outline_px=outline
        )
    return replace(field, marks=marks)


def test_many_marks_arrive_in_bands_from_the_top(
    window: Window, counted_once: tuple[object, PictureField], qtbot: QtBot
) -> None:
    """The first band is there at once, the others follow in turns; then all are drawn and said."""
    number = 2 * AT_ONCE + 50
    window.bench.session.add_picture_fields([crowded(counted_once[1], number)])
    canvas = window.canvas
    assert len(canvas.shapes) == AT_ONCE
    highest_left = min(
        mark.y_px for mark_id, mark in window.bench.marks.items() if mark_id not in canvas.shapes
    )
    assert max(shape.mark.y_px for shape in canvas.shapes.values()) <= highest_left
    qtbot.waitUntil(lambda: len(canvas.shapes) == number)
    assert set(canvas.shapes) == set(window.bench.marks)
    assert f"{number} marks" in canvas.accessibleDescription()


def test_the_words_of_one_sample_go_with_it(window: Window) -> None:
    """A problem of the sample before does not stay over the next one."""
    window.bench.tell_problem("slide-01.png was not counted: it is empty.")
    assert window.messages.text
    window.desk.new_sample()
    assert window.messages.text == ""
    assert "A new sample" in window.statusBar().currentMessage()
