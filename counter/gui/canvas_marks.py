"""Drawing the marks and the scale bar on the picture."""

from __future__ import annotations

import math
from collections.abc import Mapping
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
from counter.domain.edges import EdgeRule
from counter.domain.field import PictureField
from counter.domain.mark import Mark
from counter.domain.proposed import FERTILISED, UNFERTILISED
from counter.gui.canvas_view import CanvasView
from counter.gui.style import LEFT_OUT_COLOUR, StageLook

_PLAIN = StageLook("", "*", "#ffffff", ())
_PROPOSED_SIGNS = {DEAD: " †?", FERTILISED: " +?", UNFERTILISED: " −?"}
_SMALLEST_DASHED_PX = 14.0
_SMALLEST_LETTERED_PX = 11.0
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


@dataclass(frozen=True, slots=True)
class MarkShape:
    """A mark, ready to be drawn: its polygon and its box in picture coordinates."""

    mark: Mark
    polygon: QPolygonF
    box: QRectF
    is_counted: bool

    def contains(self, x_px: float, y_px: float) -> bool:
        """Whether the point lies inside the outline."""
        point = QPointF(x_px, y_px)
        return self.box.contains(point) and self.polygon.containsPoint(
            point, Qt.FillRule.OddEvenFill
        )


AT_ONCE = 200
"""How many new shapes are made in one turn: more would hold the window up."""


def shapes_of(
    field: PictureField, rule: EdgeRule, known: Mapping[int, MarkShape]
) -> dict[int, MarkShape]:
    """Return a shape for each mark of ``field``; those in ``known`` whose mark is the same stay.

    Of more than :data:`AT_ONCE` new ones only the uppermost are made, in a band that is painted for
    itself: call again with what is known then.
    """
    counted = {mark_id: field.is_counted(mark, rule) for mark_id, mark in field.marks.items()}
    old = {
        mark_id: shape
        for mark_id, shape in known.items()
        if field.marks.get(mark_id) is shape.mark and counted[mark_id] == shape.is_counted
    }
    new = [mark for mark_id, mark in field.marks.items() if mark_id not in old]
    if len(new) > AT_ONCE:
        new = sorted(new, key=lambda mark: mark.y_px)[:AT_ONCE]
    made = {mark.mark_id: _shape_of(mark, counted[mark.mark_id]) for mark in new}
    return {**old, **made}


def _shape_of(mark: Mark, is_counted: bool) -> MarkShape:
    polygon = QPolygonF([QPointF(x, y) for x, y in mark.outline_px])
    return MarkShape(mark, polygon, polygon.boundingRect(), is_counted)


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


def nice_length_um(at_most_um: float) -> float:
    """Return the largest of 1, 2, 5 × 10ⁿ µm that is not above ``at_most_um`` (above 0)."""
    power = 10.0 ** math.floor(math.log10(at_most_um))
    return max(step * power for step in (1.0, 2.0, 5.0) if step * power <= at_most_um)


def draw_scale_bar(painter: QPainter, view: CanvasView, um_per_px: float) -> None:
    """Draw a bar of a round length at the lower left of the canvas."""
    length_um = nice_length_um(max(view.width / 4 / view.zoom * um_per_px, 1e-6))
    width = length_um / um_per_px * view.zoom
    words = f"{length_um:g} µm" if length_um < 1000 else f"{length_um / 1000:g} mm"
    ground = QRectF(10.0, view.height - 40.0, max(width, 60.0) + 16.0, 32.0)
    painter.fillRect(ground, QColor(16, 22, 26, 180))
    painter.setPen(QPen(QColor("#ffffff"), 3.0))
    at = view.height - 15.0
    painter.drawLine(QPointF(18.0, at), QPointF(18.0 + width, at))
    font = QFont(painter.font())
    font.setPixelSize(13)
    font.setBold(True)
    painter.setFont(font)
    painter.drawText(
        QRectF(18.0, view.height - 39.0, max(width, 60.0), 20.0),
        Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter,
        words,
    )
