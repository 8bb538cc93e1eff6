"""The points that a tool collects."""

from __future__ import annotations

from counter.gui.canvas_tools import HINTS, Pen, Tool


def test_two_presses_make_a_line() -> None:
    """The second point finishes it; the pen is empty again."""
    pen = Pen()
    assert pen.click(Tool.CUT, (1.0, 2.0)) is None
    assert pen.click(Tool.CUT, (3.0, 4.0)) == ((1.0, 2.0), (3.0, 4.0))
    assert pen.points == []


def test_a_stroke_makes_a_line_from_its_first_to_its_last_point() -> None:
    """What lies between does not count."""
    pen = Pen()
    pen.points.append((0.0, 0.0))
    for point in ((1.0, 5.0), (2.0, 9.0), (8.0, 3.0)):
        pen.stroke(Tool.RULER, point)
    assert pen.lift(Tool.RULER) == ((0.0, 0.0), (8.0, 3.0))


def test_an_outline_needs_three_corners() -> None:
    """With two it goes on waiting; the points are kept."""
    pen = Pen()
    for point in ((0.0, 0.0), (5.0, 0.0)):
        assert pen.click(Tool.OUTLINE, point) is None
    assert pen.close() is None
    pen.click(Tool.OUTLINE, (5.0, 5.0))
    assert pen.close() == ((0.0, 0.0), (5.0, 0.0), (5.0, 5.0))


def test_a_stroke_of_an_outline_keeps_every_point_once() -> None:
    """A hand that rests does not double a point."""
    pen = Pen()
    for point in ((0.0, 0.0), (0.0, 0.0), (4.0, 0.0), (4.0, 4.0)):
        pen.stroke(Tool.OUTLINE, point)
    assert pen.lift(Tool.OUTLINE) == ((0.0, 0.0), (4.0, 0.0), (4.0, 4.0))


def test_a_line_that_was_only_begun_is_nothing() -> None:
    """Lifting the pen after one point gives nothing; clearing says whether there was anything."""
    pen = Pen()
    pen.points.append((0.0, 0.0))
    assert pen.lift(Tool.CUT) is None
    assert pen.clear()
    assert not pen.clear()


def test_every_tool_says_what_to_do() -> None:
    """A hint for each tool."""
    assert set(HINTS) == set(Tool)
