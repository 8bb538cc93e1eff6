"""The picture with its marks: pan, zoom, and the tools that correct what was found."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QEvent, QPointF, QRectF, QSize, Qt, Signal
from PySide6.QtGui import (
    QContextMenuEvent,
    QKeyEvent,
    QMouseEvent,
    QPainter,
    QPaintEvent,
    QRegion,
    QResizeEvent,
    QWheelEvent,
)
from PySide6.QtWidgets import QApplication, QWidget

from counter.domain.edges import EdgeRule
from counter.domain.field import PictureField
from counter.domain.mark import Point
from counter.gui.canvas_marks import MarkShape, shapes_of
from counter.gui.canvas_paint import REACH, Overlay, paint
from counter.gui.canvas_tools import Pen, Tool
from counter.gui.canvas_view import CanvasView
from counter.gui.pixels import Pyramid
from counter.gui.style import StageLook, named

_NEAR_PX = 9.0
_WHEEL_STEP = 1.0015


class Canvas(QWidget):
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
        self.view = CanvasView()
        self.tool = Tool.PICK
        self.pen = Pen()
        self.crosshair: Point | None = None
        self._pyramid: Pyramid | None = None
        self._field: PictureField | None = None
        self._shapes: dict[int, MarkShape] = {}
        self._looks: Mapping[str, StageLook] = {}
        self._rule = EdgeRule.TOP_LEFT
        self._selected: frozenset[int] = frozenset()
        self._pressed: QPointF | None = None
        self._last: QPointF = QPointF()
        self._drag: str | None = None
        self._box_from: Point | None = None
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setMinimumSize(320, 240)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        named(self, "Picture")

    # --- what is shown

    def sizeHint(self) -> QSize:
        return QSize(900, 640)

    @property
    def shapes(self) -> Mapping[int, MarkShape]:
        """The marks as they are drawn, by mark_id."""
        return self._shapes

    def show_field(
        self,
        field: PictureField | None,
        rule: EdgeRule,
        looks: Mapping[str, StageLook],
        selected: frozenset[int],
    ) -> None:
        """Show ``field`` with its marks; another picture is fitted into the canvas."""
        before, old_shapes, old_selected = self._field, self._shapes, self._selected
        is_other = field is None or before is None or before.field_id != field.field_id
        is_restyled = rule != self._rule or looks != self._looks
        self._field, self._rule, self._looks, self._selected = field, rule, looks, selected
        self._shapes = shapes_of(field, rule, {} if is_other else old_shapes) if field else {}
        if field is not None and is_other:
            self.pen.clear()
            self.crosshair = None
            self._show_size(field.picture.width_px, field.picture.height_px)
        self.setAccessibleDescription(self._in_words())
        if is_other or is_restyled:
            self.update()
        else:
            self.update(self._changed(old_shapes, old_selected))

    def _changed(self, old: Mapping[int, MarkShape], old_selected: frozenset[int]) -> QRegion:
        """Return the part of the canvas on which marks differ from those before."""
        now, region = self._shapes, QRegion()
        touched = set(old_selected ^ self._selected)
        touched |= {i for i in old.keys() | now.keys() if old.get(i) is not now.get(i)}
        transform = self.view.transform
        for mark_id in touched:
            for shapes in (old, now):
                if mark_id in shapes:
                    box = transform.mapRect(shapes[mark_id].box).toAlignedRect()
                    region += box.marginsAdded(REACH)
        return region

    def show_pixels(self, pyramid: Pyramid | None) -> None:
        """Show this picture under the marks, or plain ground while it is being read."""
        self._pyramid = pyramid
        if pyramid is not None and self._field is None:
            level = pyramid.levels[0]
            self._show_size(level.width(), level.height())
        self.update()

    def _show_size(self, width_px: int, height_px: int) -> None:
        size = CanvasView(self.width(), self.height(), width_px, height_px)
        self.view = size.fitted()

    def _in_words(self) -> str:
        if self._field is None:
            return "No field is shown."
        counted = sum(shape.is_counted for shape in self._shapes.values())
        return (
            f"{self._field.picture.name}: {len(self._shapes)} marks, {counted} counted, "
            f"{len(self._selected)} picked."
        )

    # --- pan and zoom

    def fit(self) -> None:
        """Show the whole picture."""
        self._set_view(self.view.fitted())

    def zoom_by(self, factor: float, about: QPointF | None = None) -> None:
        """Zoom about a point of the canvas (the crosshair or the middle, if none is given)."""
        if about is None and self.crosshair is not None:
            about = self.view.to_screen(*self.crosshair)
        middle = QPointF(self.width() / 2, self.height() / 2)
        self._set_view(self.view.zoomed(factor, about or middle))

    def show_place(self, x_px: float, y_px: float) -> None:
        """Pan just so far that this place is in sight."""
        self._set_view(self.view.showing(x_px, y_px))

    def _set_view(self, view: CanvasView) -> None:
        self.view = view
        self.update()

    # --- the crosshair: the pointer of the keyboard

    def move_crosshair(self, dx: float, dy: float) -> None:
        """Move the crosshair by screen pixels; it starts in the middle of what is seen."""
        if self.crosshair is None:
            self.crosshair = self.view.to_picture(QPointF(self.width() / 2, self.height() / 2))
        x = self.crosshair[0] + dx / self.view.zoom
        y = self.crosshair[1] + dy / self.view.zoom
        x = min(max(x, 0.0), self.view.picture_width_px - 1.0)
        y = min(max(y, 0.0), self.view.picture_height_px - 1.0)
        self.crosshair = (x, y)
        if self.pen.points and self._drag is None:
            self._last = self.view.to_screen(x, y)
        self.show_place(x, y)

    def set_crosshair(self, x_px: float, y_px: float) -> None:
        """Put the crosshair on this place and bring it into sight."""
        self.crosshair = (x_px, y_px)
        self.show_place(x_px, y_px)

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

    def mark_under(self, x_px: float, y_px: float) -> int:
        """Return the mark at this place: the smallest around it, else the nearest close by, or 0"""
        inside = [s for s in self._shapes.values() if s.contains(x_px, y_px)]
        if inside:
            return min(inside, key=lambda s: s.box.width() * s.box.height()).mark.mark_id
        reach = _NEAR_PX / self.view.zoom
        near = [
            (abs(s.box.center().x() - x_px) + abs(s.box.center().y() - y_px), mark_id)
            for mark_id, s in self._shapes.items()
            if s.box.adjusted(-reach, -reach, reach, reach).contains(QPointF(x_px, y_px))
        ]
        return min(near)[1] if near else 0

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
        return frozenset(i for i, s in self._shapes.items() if box.contains(s.box.center()))

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

    def leaveEvent(self, event: QEvent) -> None:
        super().leaveEvent(event)
        self.update()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.view = self.view.resized(event.size().width(), event.size().height())

    def paintEvent(self, event: QPaintEvent) -> None:
        overlay = Overlay(
            crosshair=self.crosshair if self.hasFocus() else None,
            pen=tuple(self.pen.points),
            pen_end=self.crosshair or self.view.to_picture(self._last),
            box_from=self._box_from if self._drag == "box" else None,
            shift=self._shift(),
        )
        painter = QPainter(self)
        paint(painter, event.region(), self.view, self._pyramid, self._field, self._rule,
              self._shapes, self._looks, self._selected, overlay)  # fmt: skip
        painter.end()

    def _shift(self) -> Point:
        """How far the picked marks have been dragged, in picture pixels."""
        if self._drag != "marks" or self._pressed is None:
            return 0.0, 0.0
        away = (self._last - self._pressed) / self.view.zoom
        return away.x(), away.y()
