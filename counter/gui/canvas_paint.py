"""Painting the canvas: ground, picture, borders, marks, and what the pointer is drawing."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from PySide6.QtCore import QMargins, QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPen, QPolygonF, QRegion

from counter.domain.edges import EdgeRule
from counter.domain.field import PictureField
from counter.domain.mark import Point
from counter.gui.canvas_frame import draw_borders, draw_rim, draw_squares
from counter.gui.canvas_marks import (
    FEW,
    MANY,
    PICKED,
    draw_dots,
    draw_shape,
)
from counter.gui.canvas_scale_bar import draw_scale_bar
from counter.gui.canvas_shapes import MarkShape, Whereabouts
from counter.gui.canvas_view import CanvasView, picture_rect
from counter.gui.pixels import Closeup, Pyramid
from counter.gui.style import StageLook

REACH = QMargins(6, 18, 60, 6)
"""How far a mark's pens and its signs reach out of its box, in screen pixels."""

_FEW = 150
_MOST_OUTLINES = 1000
_LEAST_OUTLINE_PX = 24.0
_CLOSE = 1.0
_GROUND = QColor("#20272b")
_PEN = QColor("#ffffff")
WELCOME = (
    "No field yet.\n\nDrop pictures or a folder here, or press Ctrl+O.\n"
    "Counting at the eyepiece? Ctrl+T opens the tally pad."
)


@dataclass(frozen=True, slots=True)
class Overlay:
    """What lies above the marks; all in picture coordinates.

    ``pen_end`` is where the line that is being drawn ends now; ``shift`` how far the picked marks
    have been dragged; ``box_from`` the corner at which a box was begun. ``distance`` is
    one whose length is being typed; ``numbered``: the squares of the rulings carry their numbers.
    """

    crosshair: Point | None
    pen: tuple[Point, ...]
    pen_end: Point
    box_from: Point | None
    shift: Point
    distance: tuple[Point, Point] | None = None
    numbered: bool = False


def paint(
    painter: QPainter,
    dirty: QRegion,
    view: CanvasView,
    pyramid: Pyramid | None,
    closeup: Closeup | None,
    field: PictureField | None,
    rule: EdgeRule,
    shapes: Mapping[int, MarkShape],
    where: Whereabouts,
    looks: Mapping[str, StageLook],
    selected: frozenset[int],
    overlay: Overlay,
) -> None:
    """Paint everything that lies in ``dirty``, the part of the canvas that must be painted."""
    painter.fillRect(dirty.boundingRect(), _GROUND)
    if pyramid is not None:
        _paint_picture(painter, view, pyramid)
    if closeup is not None and pyramid is not None and view.zoom * pyramid.factor > 1.0:
        _paint_closeup(painter, view, closeup)
    if field is None:
        if pyramid is not None:
            _paint_overlay(painter, view, overlay)
        else:
            _paint_welcome(painter, view)
        return
    if pyramid is None:
        _paint_waiting(painter, view, field.picture.name)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    _paint_frame(painter, view, field, rule, overlay.numbered)
    _paint_marks(painter, dirty, view, shapes, where, looks, selected, overlay.shift)
    draw_scale_bar(painter, view, field.picture.scale.um_per_px)
    _paint_overlay(painter, view, overlay)


def _paint_frame(
    painter: QPainter, view: CanvasView, field: PictureField, rule: EdgeRule, numbered: bool
) -> None:
    """Paint the borders that count, or the rim of a round view, and the numbers of squares."""
    picture = field.picture
    if picture.rim is None:
        draw_borders(painter, view, picture.frame, rule)
    else:
        draw_rim(painter, view, picture.rim, picture.frame, rule)
    if numbered and field.picture.grid is not None:
        draw_squares(painter, view, field.picture.grid)


def _paint_marks(
    painter: QPainter,
    dirty: QRegion,
    view: CanvasView,
    shapes: Mapping[int, MarkShape],
    where: Whereabouts,
    looks: Mapping[str, StageLook],
    selected: frozenset[int],
    shift: Point,
) -> None:
    """Paint the marks that reach into ``dirty``, the picked ones above the others.

    Where thousands are in sight and none of them is more than a few pixels large, dots are drawn.
    """
    transform = view.transform
    place = transform.inverted()[0].mapRect(QRectF(dirty.boundingRect()))
    near = where.within(place, REACH.right() / view.zoom)
    plain = [shapes[mark_id] for mark_id in near if mark_id not in selected]
    if len(plain) > _MOST_OUTLINES and where.longest_px() * view.zoom < _LEAST_OUTLINE_PX:
        draw_dots(painter, view, plain, looks)
    else:
        style = FEW if len(shapes) <= _FEW or view.zoom > _CLOSE else MANY
        for shape in plain:
            box = transform.mapRect(shape.box).toAlignedRect().marginsAdded(REACH)
            if dirty.intersects(box):
                draw_shape(painter, view, shape, looks.get(shape.mark.stage), style)
    for mark_id in selected & shapes.keys():
        shape = shapes[mark_id]
        draw_shape(painter, view, shape, looks.get(shape.mark.stage), PICKED, shift)


def _paint_picture(painter: QPainter, view: CanvasView, pyramid: Pyramid) -> None:
    frame = picture_rect(view.picture_width_px, view.picture_height_px)
    level = pyramid.level_for(view.zoom)
    seen = frame.intersected(view.seen)
    across = level.width() / frame.width()
    down = level.height() / frame.height()
    part = QRectF(
        (seen.left() - frame.left()) * across,
        (seen.top() - frame.top()) * down,
        seen.width() * across,
        seen.height() * down,
    )
    target = view.transform.mapRect(seen)
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform, view.zoom < 4.0)
    painter.drawImage(target, level, part)


def _paint_closeup(painter: QPainter, view: CanvasView, closeup: Closeup) -> None:
    left, top, right, bottom = closeup.box
    place = QRectF(left - 0.5, top - 0.5, right - left, bottom - top)
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform, view.zoom < 4.0)
    painter.drawImage(view.transform.mapRect(place), closeup.image)


def _paint_welcome(painter: QPainter, view: CanvasView) -> None:
    font = painter.font()
    font.setPixelSize(19)
    painter.setFont(font)
    painter.setPen(QColor("#e6eaed"))
    room = QRectF(30.0, 20.0, view.width - 60.0, view.height - 40.0)
    flags = Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextWordWrap
    painter.drawText(room, int(flags), WELCOME)


def _paint_waiting(painter: QPainter, view: CanvasView, name: str) -> None:
    frame = view.transform.mapRect(picture_rect(view.picture_width_px, view.picture_height_px))
    painter.fillRect(frame, QColor("#39434a"))
    painter.setPen(QColor("#e6eaed"))
    words = f"{name} is not on the screen; its marks are kept"
    painter.drawText(frame, Qt.AlignmentFlag.AlignCenter, words)


def _paint_overlay(painter: QPainter, view: CanvasView, overlay: Overlay) -> None:
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    if overlay.pen:
        _paint_line(painter, view, (*overlay.pen, overlay.pen_end), with_end=False)
    if overlay.distance is not None:
        _paint_line(painter, view, overlay.distance, with_end=True)
    if overlay.box_from is not None:
        corner = view.to_screen(*overlay.box_from)
        box = QRectF(corner, view.to_screen(*overlay.pen_end)).normalized()
        pen = QPen(_PEN, 1.5)
        pen.setDashPattern([4.0, 3.0])
        painter.setPen(pen)
        painter.setBrush(QColor(255, 255, 255, 30))
        painter.drawRect(box)
        painter.setBrush(Qt.BrushStyle.NoBrush)
    if overlay.crosshair is not None:
        _paint_crosshair(painter, view.to_screen(*overlay.crosshair))


def _paint_line(
    painter: QPainter, view: CanvasView, line: tuple[Point, ...], with_end: bool
) -> None:
    points = [view.to_screen(*point) for point in line]
    for pen in (QPen(QColor(0, 0, 0, 170), 4.5), QPen(_PEN, 2.0)):
        painter.setPen(pen)
        painter.drawPolyline(QPolygonF(points))
    for point in points if with_end else points[:-1]:
        painter.drawEllipse(point, 4.0, 4.0)


def _paint_crosshair(painter: QPainter, at: QPointF) -> None:
    for pen in (QPen(QColor(0, 0, 0, 190), 4.0), QPen(QColor("#ffe36b"), 1.8)):
        painter.setPen(pen)
        for dx, dy in ((1, 0), (-1, 0), (0, 1), (0, -1)):
            step = QPointF(dx, dy)
            painter.drawLine(at + step * 5.0, at + step * 22.0)
