"""The scale bar on the picture: a round length, whatever the zoom."""

from __future__ import annotations

import math

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPen

from counter.gui.canvas_view import CanvasView


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
