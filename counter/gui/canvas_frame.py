"""Drawing what surrounds the marks: the borders and the rim that count, the numbers of squares."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPen

from counter.domain.edges import EdgeRule, Frame
from counter.domain.rim import Rim, towards
from counter.domain.ruled import RuledGrid, RuledSquare, square_words
from counter.gui.canvas_view import CanvasView
from counter.gui.style import COUNTS_COLOUR, FORBIDDEN_COLOUR

_LEAST_SQUARE_PX = 70.0
_MOST_SQUARES = 80
_INSET = 0.07
_TAG = QColor(16, 22, 26, 170)
_COUNTS_WORDS, _OTHER_WORDS = QColor("#7ff0cb"), QColor("#ffb48a")
_SIXTEENTHS = 16


def draw_borders(painter: QPainter, view: CanvasView, frame: Frame, rule: EdgeRule) -> None:
    """Draw the two borders that count, the two that don't, and the lines that prolong these.

    After Gundersen (1977): what touches a forbidden line or its prolongation is left out.
    """
    box = QRectF(view.to_screen(frame.left, frame.top), view.to_screen(frame.right, frame.bottom))
    top = rule.value.startswith("top")
    left = rule.value.endswith("left")
    in_y, out_y = (box.top(), box.bottom()) if top else (box.bottom(), box.top())
    in_x, out_x = (box.left(), box.right()) if left else (box.right(), box.left())
    far = max(view.width, view.height) + box.width() + box.height()
    up = -far if top else far
    painter.setPen(QPen(QColor(COUNTS_COLOUR), 4.0))
    painter.drawLine(QPointF(in_x, in_y), QPointF(out_x, in_y))
    painter.drawLine(QPointF(in_x, in_y), QPointF(in_x, out_y))
    forbidden = QPen(QColor(FORBIDDEN_COLOUR), 3.0)
    forbidden.setDashPattern([5.0, 3.0])
    painter.setPen(forbidden)
    painter.drawLine(QPointF(in_x, out_y), QPointF(out_x, out_y))
    painter.drawLine(QPointF(out_x, out_y), QPointF(out_x, in_y + up))
    painter.drawLine(QPointF(in_x, out_y), QPointF(in_x, out_y - up))
    _border_words(painter, view, box, top, left)


def _border_words(painter: QPainter, view: CanvasView, box: QRectF, top: bool, left: bool) -> None:
    """Say in words, outside the picture, which border counts."""
    _small(painter)
    middle = (max(box.left(), 0.0) + min(box.right(), view.width)) / 2
    height = (max(box.top(), 0.0) + min(box.bottom(), view.height)) / 2
    for counts, x, y, turn in (
        (top, middle, box.top() - 12.0, 0.0),
        (not top, middle, box.bottom() + 12.0, 0.0),
        (left, box.left() - 12.0, height, -90.0),
        (not left, box.right() + 12.0, height, -90.0),
    ):
        painter.save()
        painter.translate(x, y)
        painter.rotate(turn)
        _tag(painter, counts)
        painter.restore()


def _tag(painter: QPainter, counts: bool) -> None:
    """Write about the painter's origin whether a border counts."""
    tag = QRectF(-46.0, -8.0, 92.0, 16.0)
    painter.fillRect(tag, _TAG)
    painter.setPen(_COUNTS_WORDS if counts else _OTHER_WORDS)
    painter.drawText(tag, Qt.AlignmentFlag.AlignCenter, "counts" if counts else "not counted")


def _small(painter: QPainter) -> None:
    font = QFont(painter.font())
    font.setPixelSize(12)
    font.setBold(True)
    painter.setFont(font)


def draw_rim(painter: QPainter, view: CanvasView, rim: Rim, shown: Frame, rule: EdgeRule) -> None:
    """Draw the half of a round view's rim that counts, and the half that doesn't.

    Where the picture's border cuts the circle, it follows the same rule.
    """
    frame = QRectF(shown.left, shown.top, shown.width, shown.height)
    middle, radius = view.to_screen(rim.x_px, rim.y_px), rim.radius_px * view.zoom
    circle = QRectF(middle.x() - radius, middle.y() - radius, 2 * radius, 2 * radius)
    over, down = towards(rule)
    opposite = math.degrees(math.atan2(down, -over))  # Qt counts turns from x towards -y
    counts, other = QPen(QColor(COUNTS_COLOUR), 4.0), QPen(QColor(FORBIDDEN_COLOUR), 3.0)
    other.setDashPattern([5.0, 3.0])
    painter.save()
    painter.setClipRect(view.transform.mapRect(frame), Qt.ClipOperation.IntersectClip)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    for pen, start in ((counts, opposite - 90.0), (other, opposite + 90.0)):
        painter.setPen(pen)
        painter.drawArc(circle, round(start * _SIXTEENTHS), 180 * _SIXTEENTHS)
    painter.restore()
    for points, is_counting in _chords(rim, frame, over, down):
        painter.setPen(counts if is_counting else other)
        painter.drawLine(*(view.to_screen(*point) for point in points))
    _small(painter)
    for sign, is_counting in ((-1.0, True), (1.0, False)):
        painter.save()
        step = sign * (radius + 14.0) / math.sqrt(2)
        painter.translate(middle + QPointF(over * step, down * step))
        painter.rotate(-45.0 if over * down > 0 else 45.0)
        _tag(painter, is_counting)
        painter.restore()


def _chords(
    rim: Rim, frame: QRectF, over: float, down: float
) -> list[tuple[tuple[tuple[float, float], tuple[float, float]], bool]]:
    """The parts of the picture's border inside the circle, and whether each counts."""
    found = []
    for x, counts in ((frame.left(), over > 0), (frame.right(), over < 0)):
        half = _half_chord(rim.radius_px, x - rim.x_px)
        top, foot = max(frame.top(), rim.y_px - half), min(frame.bottom(), rim.y_px + half)
        if half and top < foot:
            found.append((((x, top), (x, foot)), counts))
    for y, counts in ((frame.top(), down > 0), (frame.bottom(), down < 0)):
        half = _half_chord(rim.radius_px, y - rim.y_px)
        left, right = max(frame.left(), rim.x_px - half), min(frame.right(), rim.x_px + half)
        if half and left < right:
            found.append((((left, y), (right, y)), counts))
    return found


def _half_chord(radius: float, away: float) -> float:
    return math.sqrt(max(0.0, radius**2 - away**2))


def draw_squares(painter: QPainter, view: CanvasView, grid: RuledGrid) -> None:
    """Write its row and column, as in the table, into each square seen to its middle."""
    squares = list(grid.squares())
    if grid.period_px * view.zoom < _LEAST_SQUARE_PX or len(squares) > _MOST_SQUARES:
        return
    _small(painter)
    for square in squares:
        place = _corner_on_picture(grid, square)
        if place is None:
            continue
        at = view.to_screen(*place)
        tag = QRectF(at.x() - 17.0, at.y() - 8.0, 34.0, 16.0)
        painter.fillRect(tag, _TAG)
        painter.setPen(QColor("#ffffff"))
        painter.drawText(tag, Qt.AlignmentFlag.AlignCenter, square_words(square))


def _corner_on_picture(grid: RuledGrid, square: RuledSquare) -> tuple[float, float] | None:
    """The first place near a corner of a square that is on the picture, if its middle is."""
    middle = grid.middle_of(square)
    if not grid.shows(*middle):
        return None
    inner = [
        (x + 2 * _INSET * (middle[0] - x), y + 2 * _INSET * (middle[1] - y))
        for x, y in grid.corners_of(square)
    ]
    return next((place for place in (*inner, middle) if grid.shows(*place)), None)
