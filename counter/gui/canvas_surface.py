"""The ground of the canvas: the picture, its marks, the view of them, and the crosshair."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QPointF, QRectF, QSize, Qt, QTimer, Signal
from PySide6.QtGui import QPainter, QPaintEvent, QRegion, QResizeEvent
from PySide6.QtWidgets import QWidget

from counter.domain.edges import EdgeRule
from counter.domain.field import PictureField
from counter.domain.mark import Point
from counter.gui.canvas_paint import REACH, Overlay, paint
from counter.gui.canvas_shapes import MarkShape, Whereabouts, shapes_of
from counter.gui.canvas_tools import Pen
from counter.gui.canvas_view import CanvasView
from counter.gui.pixels import Closeup, Pyramid
from counter.gui.style import StageLook, named

_NEAR_PX = 9.0
_MOST_PARTS = 500
"""Where more marks than this have changed, all is painted: a region of so many parts costs more."""


class Surface(QWidget):
    """Shows one field; what is done on it is in :class:`counter.gui.canvas.Canvas`."""

    view_changed = Signal()
    """Another part of the picture is in sight, or at another zoom."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.view = CanvasView()
        self.pen = Pen()
        self.crosshair: Point | None = None
        self.distance: tuple[Point, Point] | None = None
        self.numbered = False
        self._pyramid: Pyramid | None = None
        self._closeup: Closeup | None = None
        self._field: PictureField | None = None
        self._shapes: dict[int, MarkShape] = {}
        self._where = Whereabouts({}, 1.0)
        self._looks: Mapping[str, StageLook] = {}
        self._rule = EdgeRule.TOP_LEFT
        self._selected: frozenset[int] = frozenset()
        self._last: QPointF = QPointF()
        self._more = QTimer(self)
        self._more.setSingleShot(True)
        self._more.timeout.connect(self._make_more)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setMouseTracking(True)
        self.setMinimumSize(320, 180)
        self.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
        named(self, "Picture")

    # --- what is shown

    def sizeHint(self) -> QSize:
        return QSize(900, 640)

    @property
    def closeup(self) -> Closeup | None:
        """The part of a slide that is shown closer than its overview."""
        return self._closeup

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
        is_same = field is before and rule == self._rule
        self._field, self._rule, self._looks, self._selected = field, rule, looks, selected
        if not is_same:
            self._take_shapes({} if is_other else old_shapes)
            self._make_more_soon()
        if field is not None and is_other:
            self.pen.clear()
            self.crosshair = None
            self._show_size(field.picture.width_px, field.picture.height_px)
        self.setAccessibleDescription(self._in_words())
        if is_other or is_restyled:
            self.update()
        else:
            self.update(self._changed(old_shapes, old_selected))

    def _make_more_soon(self) -> None:
        """Leave the shapes of many marks to the next turns, so that the window answers between."""
        if self._field is not None and len(self._shapes) < len(self._field.marks):
            self._more.start()

    def _make_more(self) -> None:
        if self._field is None:
            return
        old = self._shapes
        self._take_shapes(old)
        self.update(self._changed(old, self._selected))
        self.setAccessibleDescription(self._in_words())
        self._make_more_soon()

    def _take_shapes(self, known: Mapping[int, MarkShape]) -> None:
        """Make the shapes of the field that is shown, as far as they are not ``known``."""
        field = self._field
        self._shapes = shapes_of(field, self._rule, known) if field is not None else {}
        um_per_px = field.picture.scale.um_per_px if field is not None else 1.0
        self._where = Whereabouts(self._shapes, um_per_px)

    def _changed(self, old: Mapping[int, MarkShape], old_selected: frozenset[int]) -> QRegion:
        """Return the part of the canvas on which marks differ from those before."""
        now, region = self._shapes, QRegion()
        touched = set(old_selected ^ self._selected)
        touched |= {i for i in old.keys() | now.keys() if old.get(i) is not now.get(i)}
        if len(touched) > _MOST_PARTS:
            return QRegion(self.rect())
        transform = self.view.transform
        for mark_id in touched:
            for shapes in (old, now):
                if mark_id in shapes:
                    box = transform.mapRect(shapes[mark_id].box).toAlignedRect()
                    region += box.marginsAdded(REACH)
        return region

    def show_distance(self, points: tuple[Point, Point] | None) -> None:
        """Keep the distance that was drawn in sight while its length is typed; None: no longer."""
        self.distance = points
        self.update()

    def number_squares(self, numbered: bool) -> None:
        """Write their numbers into the squares of the rulings, or don't."""
        if numbered != self.numbered:
            self.numbered = numbered
            self.update()

    def show_pixels(self, pyramid: Pyramid | None) -> None:
        """Show this picture under the marks, or plain ground while it is being read."""
        if pyramid is not self._pyramid:
            self._closeup = None
        self._pyramid = pyramid
        if pyramid is not None and self._field is None:
            self._show_size(pyramid.width_px, pyramid.height_px)
        self.update()

    def show_closeup(self, closeup: Closeup | None) -> None:
        """Show a part of the slide closer than its overview, or only the overview."""
        self._closeup = closeup
        self.update()

    def _show_size(self, width_px: int, height_px: int) -> None:
        size = CanvasView(self.width(), self.height(), width_px, height_px)
        self.view = size.fitted()
        self.view_changed.emit()

    def _in_words(self) -> str:
        if self._field is None:
            return "No field is shown."
        counted = sum(shape.is_counted for shape in self._shapes.values())
        return (
            f"{self._field.picture.name}: {len(self._field.marks)} marks, {counted} counted, "
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
        self.view_changed.emit()

    def mark_under(self, x_px: float, y_px: float) -> int:
        """Return the mark at this place: the smallest around it, else the nearest close by, or 0"""
        here = QRectF(x_px, y_px, 0.0, 0.0)
        near = [self._shapes[i] for i in self._where.within(here, _NEAR_PX / self.view.zoom)]
        inside = [s for s in near if s.contains(x_px, y_px)]
        if inside:
            return min(inside, key=lambda s: s.box.width() * s.box.height()).mark.mark_id
        reach = _NEAR_PX / self.view.zoom
        beside = [
            (abs(s.box.center().x() - x_px) + abs(s.box.center().y() - y_px), s.mark.mark_id)
            for s in near
            if s.box.adjusted(-reach, -reach, reach, reach).contains(QPointF(x_px, y_px))
        ]
        return min(beside)[1] if beside else 0

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
        if self.pen.points:
            self._last = self.view.to_screen(x, y)
        self.show_place(x, y)

    def set_crosshair(self, x_px: float, y_px: float) -> None:
        """Put the crosshair on this place and bring it into sight."""
        self.crosshair = (x_px, y_px)
        self.show_place(x_px, y_px)

    # --- painting

    def overlay(self) -> Overlay:
        """Return what lies above the marks now."""
        return Overlay(
            crosshair=self.crosshair if self.hasFocus() else None,
            pen=tuple(self.pen.points),
            pen_end=self.crosshair or self.view.to_picture(self._last),
            box_from=None,
            shift=(0.0, 0.0),
            distance=self.distance,
            numbered=self.numbered,
        )

    def paintEvent(self, event: QPaintEvent) -> None:
        painter = QPainter(self)
        paint(
            painter,
            event.region(),
            self.view,
            self._pyramid,
            self._closeup,
            self._field,
            self._rule,
            self._shapes,
            self._where,
            self._looks,
            self._selected,
            self.overlay(),
        )
        painter.end()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self.view = self.view.resized(event.size().width(), event.size().height())
        self.view_changed.emit()
