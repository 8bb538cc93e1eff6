"""Drawing the marks and the scale bar on the picture."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
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


class MarkShape:
    """A mark, ready to be drawn: its polygon and its box in picture coordinates.

    Both are made when they are first needed: of tens of thousands of marks few are in sight.
    """

    __slots__ = ("_box", "_polygon", "is_counted", "mark")

    def __init__(self, mark: Mark, is_counted: bool) -> None:
        self.mark = mark
        self.is_counted = is_counted
        self._polygon: QPolygonF | None = None
        self._box: QRectF | None = None

    @property
    def polygon(self) -> QPolygonF:
        """The outline."""
        if self._polygon is None:
            self._polygon = QPolygonF([QPointF(x, y) for x, y in self.mark.outline_px])
        return self._polygon

    @property
    def box(self) -> QRectF:
        """The box round the outline."""
        if self._box is None:
            self._box = self.polygon.boundingRect()
        return self._box

    def contains(self, x_px: float, y_px: float) -> bool:
        """Whether the point lies inside the outline."""
        point = QPointF(x_px, y_px)
        return self.box.contains(point) and self.polygon.containsPoint(
            point, Qt.FillRule.OddEvenFill
        )


AT_ONCE = 200
"""How many new shapes are made in one turn: more would hold the window up."""

BANDS = 10
"""In at most so many turns."""


def shapes_of(
    field: PictureField, rule: EdgeRule, known: Mapping[int, MarkShape]
) -> dict[int, MarkShape]:
    """Return a shape for each mark of ``field``; those in ``known`` whose mark is the same stay.

    Of more than :data:`AT_ONCE` new ones only the uppermost are made, in a band that is painted for
    itself: call again with what is known then. Of thousands all are made, as they are drawn as dots
    where many of them are in sight.
    """
    counted = {mark_id: field.is_counted(mark, rule) for mark_id, mark in field.marks.items()}
    old = {
        mark_id: shape
        for mark_id, shape in known.items()
        if field.marks.get(mark_id) is shape.mark and counted[mark_id] == shape.is_counted
    }
    new = [mark for mark_id, mark in field.marks.items() if mark_id not in old]
    if AT_ONCE < len(new) <= BANDS * AT_ONCE:
        new = sorted(new, key=lambda mark: mark.y_px)[:AT_ONCE]
    made = {mark.mark_id: MarkShape(mark, counted[mark.mark_id]) for mark in new}
    return {**old, **made}


class Whereabouts:
    """Where the marks lie, so that those in sight are found at once among tens of thousands.

    Each is taken to reach from its centre as far as it is long: that holds all of its outline.
    """

    def __init__(self, shapes: Mapping[int, MarkShape], um_per_px: float) -> None:
        self._ids = np.fromiter(shapes.keys(), np.int64, len(shapes))
        marks = [shape.mark for shape in shapes.values()]
        rows = [(mark.x_px, mark.y_px, mark.length_um / um_per_px) for mark in marks]
        self._places = np.array(rows, np.float64).reshape(-1, 3)

    def within(self, box: QRectF, reach_px: float = 0.0) -> list[int]:
        """Return the ids of the marks that may reach into ``box``, or to ``reach_px`` of it."""
        x, y, length = self._places.T
        far = length + reach_px
        across = (x + far >= box.left()) & (x - far <= box.right())
        down = (y + far >= box.top()) & (y - far <= box.bottom())
        found: list[int] = self._ids[across & down].tolist()
        return found

    def longest_px(self) -> float:
        """How long the longest mark is, in pixels of the picture."""
        return float(self._places[:, 2].max(initial=0.0))


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
