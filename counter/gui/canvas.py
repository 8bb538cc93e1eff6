"""The picture with its marks: pan, zoom, and the tools that correct what was found."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import QPointF, QRectF, Qt, Signal
from PySide6.QtGui import QContextMenuEvent, QKeyEvent, QMouseEvent, QWheelEvent
from PySide6.QtWidgets import QApplication, QWidget

from counter.domain.mark import Point
from counter.gui.canvas_paint import Overlay
from counter.gui.canvas_surface import Surface
from counter.gui.canvas_tools import Tool

_WHEEL_STEP = 1.0015


class Canvas(Surface):
    """Shows one field and says what a person did on it; it changes nothing itself.

    All signals carry picture coordinates.
    """

    picked = Signal(int, bool)
    """(mark_id, or 0 for the ground; whether it is added to what is picked already)"""
    boxed = Signal(object)
    """frozenset of mark_ids inside a box that was drawn with Shift"""
    placed = Signal(float, float)
    shifted = Signal(float, float)
    line_drawn = Signal(object, object)
    """(the tool, the two points)"""
    outline_drawn = Signal(object)
    menu_wanted = Signal(object)

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.tool = Tool.PICK
        self._pressed: QPointF | None = None
        self._drag: str | None = None
        self._box_from: Point | None = None

    # --- the tool

    def press_crosshair(self) -> None:
        """Do at the crosshair what a press of the pointer would do there."""
        if self.crosshair is None:
            self.move_crosshair(0.0, 0.0)
        elif self._field is not None or self.tool is Tool.RULER:
            self._click(self.crosshair, toggle=False)

    def close_outline(self) -> None:
        """Close the outline that is being drawn."""
        points = self.pen.close() if self.tool is Tool.OUTLINE else None
        if points is not None:
            self.outline_drawn.emit(points)
        self.update()

    def set_tool(self, tool: Tool) -> None:
        """Take up a tool; what was half drawn is dropped."""
        self.tool = tool
        self.pen.clear()
        shape = Qt.CursorShape.ArrowCursor if tool is Tool.PICK else Qt.CursorShape.CrossCursor
        self.setCursor(shape)
        self.update()

    def drop_pen(self) -> bool:
        """Drop what is half drawn; return whether there was anything."""
        self.update()
        return self.pen.clear()

    # --- what the pointer does

    def _click(self, point: Point, toggle: bool) -> None:
        if self.tool is Tool.PICK:
            self.picked.emit(self.mark_under(*point), toggle)
        elif self.tool is Tool.PLACE:
            self.placed.emit(*point)
        else:
            self._finish(self.pen.click(self.tool, point))
        self.update()

    def _finish(self, points: tuple[Point, ...] | None) -> None:
        if points is None:
            return
        if self.tool is Tool.OUTLINE:
            self.outline_drawn.emit(points)
        else:
            self.line_drawn.emit(self.tool, points)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        self.setFocus(Qt.FocusReason.MouseFocusReason)
        self.crosshair = None
        self._pressed = self._last = event.position()
        self._drag = None
        if event.button() is Qt.MouseButton.MiddleButton:
            self._drag = "pan"

    def mouseMoveEvent(self, event: QMouseEvent) -> None:
        position = event.position()
        if self._pressed is not None and event.buttons() != Qt.MouseButton.NoButton:
            if self._drag is None and self._is_dragged(position):
                self._start_drag(event)
            self._go_on(position)
        if self._pressed is None and self.pen.points:
            self.update()
        self._last = position

    def _is_dragged(self, position: QPointF) -> bool:
        assert self._pressed is not None
        away = position - self._pressed
        return away.manhattanLength() >= QApplication.startDragDistance()

    def _start_drag(self, event: QMouseEvent) -> None:
        """Decide what this drag is: of the picture, of marks, of a box or of the pen."""
        assert self._pressed is not None
        start = self.view.to_picture(self._pressed)
        shift = bool(event.modifiers() & Qt.KeyboardModifier.ShiftModifier)
        if self.tool is Tool.PICK and shift:
            self._drag, self._box_from = "box", start
        elif self.tool is Tool.PICK:
            mark_id = self.mark_under(*start)
            self._drag = "marks" if mark_id else "pan"
            if mark_id and mark_id not in self._selected:
                self.picked.emit(mark_id, False)
        elif self.tool is Tool.PLACE:
            self._drag = "pan"
        else:
            self._drag = "pen"
            if not self.pen.points or self.tool is Tool.OUTLINE:
                self.pen.points.append(start)

    def _go_on(self, position: QPointF) -> None:
        if self._drag == "pan":
            step = position - self._last
            self._set_view(self.view.panned(step.x(), step.y()))
        elif self._drag == "pen":
            self.pen.stroke(self.tool, self.view.to_picture(position))
        if self._drag is not None:
            self.update()

    def mouseReleaseEvent(self, event: QMouseEvent) -> None:
        if self._pressed is None:
            return
        start, self._pressed, drag, self._drag = self._pressed, None, self._drag, None
        point = self.view.to_picture(event.position())
        self._last = event.position()
        if drag is None and event.button() is Qt.MouseButton.LeftButton:
            toggle = bool(event.modifiers() & Qt.KeyboardModifier.ControlModifier)
            self._click(point, toggle)
        elif drag == "marks":
            begin = self.view.to_picture(start)
            self.shifted.emit(point[0] - begin[0], point[1] - begin[1])
        elif drag == "box":
            self.boxed.emit(self._inside_box(point))
        elif drag == "pen":
            self._finish(self.pen.lift(self.tool))
        self._box_from = None
        self.update()

    def _inside_box(self, corner: Point) -> frozenset[int]:
        assert self._box_from is not None
        box = QRectF(QPointF(*self._box_from), QPointF(*corner)).normalized()
        near = ((i, self._shapes[i]) for i in self._where.within(box))
        return frozenset(i for i, shape in near if box.contains(shape.box.center()))

    def mouseDoubleClickEvent(self, event: QMouseEvent) -> None:
        self.mousePressEvent(event)
        if self.tool is Tool.OUTLINE:
            self._pressed = None
            self.close_outline()

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        mark_id = self.mark_under(*self.view.to_picture(QPointF(event.pos())))
        if mark_id and mark_id not in self._selected:
            self.picked.emit(mark_id, False)
        self._pressed = None
        self.menu_wanted.emit(event.globalPos())

    def wheelEvent(self, event: QWheelEvent) -> None:
        turn = event.angleDelta().y()
        if turn:
            self.zoom_by(_WHEEL_STEP**turn, event.position())
        event.accept()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        event.ignore()

    def overlay(self) -> Overlay:
        """Return what lies above the marks now: also a box, and how far marks were dragged."""
        return replace(
            super().overlay(),
            box_from=self._box_from if self._drag == "box" else None,
            shift=self._shift(),
        )

    def _shift(self) -> Point:
        """How far the picked marks have been dragged, in picture pixels."""
        if self._drag != "marks" or self._pressed is None:
            return 0.0, 0.0
        away = (self._last - self._pressed) / self.view.zoom
        return away.x(), away.y()
