"""One large key of the tally pad: what to press, what it counts, how many in this square."""

from __future__ import annotations

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QPainter, QPaintEvent, QPalette
from PySide6.QtWidgets import QAbstractButton, QSizePolicy, QWidget

from counter.gui.style import easy_to_hit, named


class KeyCap(QAbstractButton):
    """A key cap. Pressing it with the pointer does what pressing its key does."""

    def __init__(self, key: str, digit: str, words: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.key, self.digit, self.words = key, digit, words
        self._count = self._dead = 0
        easy_to_hit(self)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setMinimumSize(104, 96)
        self.show_count(0, 0)

    def sizeHint(self) -> QSize:
        return QSize(150, 130)

    def show_count(self, count: int, dead: int) -> None:
        """Show how many were tallied in this square, and how many of them dead."""
        self._count, self._dead = count, dead
        said = f"{self.words}, key {self.key or self.digit}: {count}"
        named(self, f"{said}, of them dead {dead}" if dead else said)
        self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        del event
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        colours = self.palette()
        role = QPalette.ColorRole
        ground = colours.color(role.Highlight if self.isDown() else role.Button)
        ink = colours.color(role.HighlightedText if self.isDown() else role.ButtonText)
        painter.setPen(QColor(ink.red(), ink.green(), ink.blue(), 110))
        painter.setBrush(ground)
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(2, 2, -2, -2), 9, 9)
        painter.setPen(ink)
        self._write(painter, 0.05, 0.24, 0.20, self.key or self.digit, True)
        self._write(painter, 0.28, 0.42, 0.38, str(self._count), True)
        self._write(painter, 0.70, 0.16, 0.13, self._low_words(), False)
        if self.key:
            self._write(painter, 0.85, 0.11, 0.09, f"or {self.digit}", False)

    def _low_words(self) -> str:
        return f"{self.words} · {self._dead} dead" if self._dead else self.words

    def _write(
        self, painter: QPainter, top: float, height: float, size: float, text: str, bold: bool
    ) -> None:
        """Write ``text`` in a band of the cap; sizes are shares of its height."""
        font = QFont(self.font())
        font.setBold(bold)
        font.setPixelSize(max(11, int(self.height() * size)))
        while font.pixelSize() > 9:
            painter.setFont(font)
            if painter.fontMetrics().horizontalAdvance(text) <= self.width() - 12:
                break
            font.setPixelSize(font.pixelSize() - 1)
        band = QRectF(0, self.height() * top, self.width(), self.height() * height)
        painter.drawText(band, Qt.AlignmentFlag.AlignCenter, text)
