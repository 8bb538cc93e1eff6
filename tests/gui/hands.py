"""What a person's hands do to the window in a test."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path

import cv2
import numpy as np
from PySide6.QtCore import QEvent, QPoint, QPointF, Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget
from pytestqt.qtbot import QtBot

from counter.gui.canvas import Canvas
from counter.gui.window import Window

UM_PER_PX = 2.0
PLACES = [(70, 60), (200, 90), (330, 70), (120, 210), (280, 220)]
_LEFT = Qt.MouseButton.LeftButton
_PLAIN = Qt.KeyboardModifier.NoModifier


def draw_slide(
    file: Path, places: list[tuple[int, int]], width: int = 420, height: int = 300
) -> Path:
    """Draw dark shells of about 72 by 56 µm at ``places`` (x, y) on a bright slide."""
    rng = np.random.default_rng(7)
    slide = np.full((height, width), 205.0)
    for x, y in places:
        cv2.ellipse(slide, (x, y), (18, 14), 20.0, 0, 360, 95.0, -1, cv2.LINE_AA)
        cv2.ellipse(slide, (x, y), (18, 14), 20.0, 0, 360, 60.0, 2, cv2.LINE_AA)
    slide = cv2.GaussianBlur(slide, (0, 0), 1.0) + rng.normal(0.0, 2.0, slide.shape)
    cv2.imwrite(str(file), np.clip(slide, 0, 255).astype(np.uint8))
    return file


def settle(window: Window, qtbot: QtBot) -> None:
    """Wait until nothing is counted or read in the background."""
    qtbot.waitUntil(lambda: not window.queue.is_busy, timeout=20_000)
    qtbot.waitUntil(lambda: window.jobs.under_way == 0, timeout=20_000)


def count(window: Window, qtbot: QtBot, *files: Path) -> None:
    """Open pictures, type the scale when it is asked for, and wait until all are counted."""
    window.desk.open_paths([str(file) for file in files])
    settle(window, qtbot)
    if window.queue.without_scale:
        window.scale_panel.typed.setText(str(UM_PER_PX))
        window.scale_panel.use_typed.click()
        settle(window, qtbot)


def press(widget: QWidget, *keys: Qt.Key, held: Qt.KeyboardModifier = _PLAIN) -> None:
    """Press keys one after another on ``widget``."""
    for key in keys:
        QTest.keyClick(widget, key, held)


def write(widget: QWidget, text: str) -> None:
    """Type a text."""
    QTest.keyClicks(widget, text)


def at(canvas: Canvas, x_px: float, y_px: float) -> QPoint:
    """Return where a place of the picture lies on the canvas."""
    return canvas.view.to_screen(x_px, y_px).toPoint()


def click(canvas: Canvas, x_px: float, y_px: float, held: Qt.KeyboardModifier = _PLAIN) -> None:
    """Press and let go at a place of the picture."""
    QTest.mouseClick(canvas, _LEFT, held, at(canvas, x_px, y_px))


def drag(canvas: Canvas, *places: tuple[float, float], held: Qt.KeyboardModifier = _PLAIN) -> None:
    """Press at the first place, go over the others, let go at the last."""
    points = [at(canvas, *place) for place in places]
    QTest.mousePress(canvas, _LEFT, held, points[0])
    for start, end in pairwise(points):
        for share in (0.34, 0.67, 1.0):
            step = QPoint(
                round(start.x() + share * (end.x() - start.x())),
                round(start.y() + share * (end.y() - start.y())),
            )
            _move(canvas, step, held)
    QTest.mouseRelease(canvas, _LEFT, held, points[-1])


def _move(canvas: Canvas, point: QPoint, held: Qt.KeyboardModifier) -> None:
    """Send a move with the left button down (QTest.mouseMove sends none while dragging)."""
    event = QMouseEvent(
        QEvent.Type.MouseMove,
        QPointF(point),
        QPointF(canvas.mapToGlobal(point)),
        Qt.MouseButton.NoButton,
        _LEFT,
        held,
    )
    QApplication.sendEvent(canvas, event)
