"""Drawing the marks on the picture."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import (
    QColor,
    QFont,
    QFontMetrics,
    QGuiApplication,
    QPainter,
    QPen,
    QPixmap,
    QPolygonF,
)

from counter.domain import flags
from counter.domain.classes import DEAD
from counter.domain.mark import Mark
from counter.domain.proposed import FERTILISED, UNFERTILISED
from counter.gui.canvas_shapes import MarkShape
from counter.gui.canvas_view import CanvasView
from counter.gui.style import LEFT_OUT_COLOUR, StageLook

_PLAIN = StageLook("", "*", "#ffffff", ())
_PROPOSED_SIGNS = {DEAD: " †?", FERTILISED: " +?", UNFERTILISED: " −?"}
_SMALLEST_DASHED_PX = 14.0
_SMALLEST_LETTERED_PX = 11.0
_MANY_DOTS = 3000
"""So many dots cased would hide the picture."""
_PICKED_GROUND = QColor(255, 255, 255, 70)


@dataclass(frozen=True, slots=True)
class Style:
    """Pen widths of a mark's dark casing and of its line, in screen pixels."""

    casing: float
    line: float


PICKED = Style(4.5, 2.6)
FEW = Style(3.2, 1.6)
MANY = Style(1.0, 1.0)
"""Lines one pixel wide are drawn several times as fast: for hundreds of marks in sight."""


def draw_dots(
    painter: QPainter,
    view: CanvasView,
    shapes: Iterable[MarkShape],
    looks: Mapping[str, StageLook],
) -> None:
    """Draw marks that are too small on the screen for outlines: a dot each, in their colours."""
    by_colour: dict[str, list[QPointF]] = defaultdict(list)
    for shape in shapes:
        mark = shape.mark
        look = looks.get(mark.stage, _PLAIN)
        colour = look.colour if shape.is_counted else LEFT_OUT_COLOUR
        by_colour[colour].append(view.to_screen(mark.x_px, mark.y_px))
    many = sum(map(len, by_colour.values())) > _MANY_DOTS
    for colour, places in by_colour.items():
        casing, dot = QPen(QColor(0, 0, 0, 150), 5.0), QPen(QColor(colour), 2.0 if many else 3.0)
        for pen in (dot,) if many else (casing, dot):
            pen.setCapStyle(Qt.PenCapStyle.SquareCap)
            painter.setPen(pen)
            painter.drawPoints(QPolygonF(places))


def mark_label(mark: Mark, look: StageLook, is_counted: bool) -> str:
    """Return the few signs beside a mark: stage letter, † dead, ? doubtful, × left out.

    What is only proposed has a sign with its own question mark: †? dead, +? fertilised,
    −? not fertilised; a live larva has none.
    """
    label = look.letter
    if mark.state is not None:
        label += "†" if mark.state == DEAD else f" {mark.state}"
    elif mark.proposed_state is not None:
        label += _PROPOSED_SIGNS.get(mark.proposed_state, "")
    if flags.DOUBTFUL.key in mark.flags or flags.CLUMP.key in mark.flags:
        label += "?"
    return label if is_counted else f"{label}×"


def draw_shape(
    painter: QPainter,
    view: CanvasView,
    shape: MarkShape,
    look: StageLook | None,
    style: Style,
    shift: tuple[float, float] = (0.0, 0.0),
) -> None:
    """Draw one mark in screen coordinates, moved by ``shift`` picture pixels."""
    look = look or _PLAIN
    transform = view.transform
    transform.translate(*shift)
    polygon = transform.map(shape.polygon)
    size = max(shape.box.width(), shape.box.height()) * view.zoom
    painter.setPen(QPen(QColor(0, 0, 0, 150), style.casing))
    painter.setBrush(_PICKED_GROUND if style is PICKED else Qt.BrushStyle.NoBrush)
    painter.drawPolygon(polygon.translated(1.0, 1.0) if style is MANY else polygon)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(_pen(shape, look, style, size))
    painter.drawPolygon(polygon)
    if not shape.is_counted:
        _strike_out(painter, polygon.boundingRect())
    if style is PICKED or size >= _SMALLEST_LETTERED_PX:
        corner = polygon.boundingRect().topRight()
        label = mark_label(shape.mark, look, shape.is_counted)
        painter.drawPixmap(corner - QPointF(2.0, 13.0), _tab(label))


def _pen(shape: MarkShape, look: StageLook, style: Style, size: float) -> QPen:
    colour = QColor(look.colour if shape.is_counted else LEFT_OUT_COLOUR)
    pen = QPen(colour, style.line)
    if not shape.is_counted:
        pen.setDashPattern([1.0, 2.5])
    elif look.dashes and size >= _SMALLEST_DASHED_PX:
        pen.setDashPattern(list(look.dashes))
    return pen


def _strike_out(painter: QPainter, box: QRectF) -> None:
    """Two strokes across a mark that the edge rule leaves out."""
    painter.setPen(QPen(QColor(LEFT_OUT_COLOUR), 1.0))
    painter.drawLine(box.topLeft(), box.bottomRight())
    painter.drawLine(box.topRight(), box.bottomLeft())


@lru_cache(maxsize=256)
def _tab(label: str) -> QPixmap:
    """Return the mark's signs on a dark tab, drawn once for all marks that have the same."""
    font = QFont(QGuiApplication.font())
    font.setPixelSize(13)
    font.setBold(True)
    width = QFontMetrics(font).horizontalAdvance(label) + 6
    ratio = max((screen.devicePixelRatio() for screen in QGuiApplication.screens()), default=1.0)
    tab = QPixmap(round(width * ratio), round(16 * ratio))
    tab.setDevicePixelRatio(ratio)
    tab.fill(QColor(16, 22, 26, 190))
    painter = QPainter(tab)
    painter.setFont(font)
    painter.setPen(QColor("#ffffff"))
    painter.drawText(QRectF(0, 0, width, 16), Qt.AlignmentFlag.AlignCenter, label)
    painter.end()
    return tab
