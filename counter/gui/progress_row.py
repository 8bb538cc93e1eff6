"""How far the counting in the background has come, and the way to stop it."""

from __future__ import annotations

from PySide6.QtWidgets import QHBoxLayout, QLabel, QProgressBar, QPushButton, QWidget

from counter.gui.counting_queue import CountingQueue
from counter.gui.style import easy_to_hit, named

_STEPS = 1000


class ProgressRow(QWidget):
    """Is there while pictures are being counted."""

    def __init__(self, queue: CountingQueue, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.words = QLabel()
        named(self.words, "What is being counted")
        self.bar = QProgressBar()
        self.bar.setRange(0, _STEPS)
        self.bar.setTextVisible(False)
        named(self.bar, "Progress of the counting")
        self.stop = QPushButton("Stop counting")
        easy_to_hit(self.stop)
        named(self.stop, "Stop counting")
        self.stop.clicked.connect(queue.stop)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(10, 2, 6, 2)
        layout.addWidget(self.words)
        layout.addWidget(self.bar, 1)
        layout.addWidget(self.stop)
        queue.advanced.connect(self._on_advanced)
        queue.idle.connect(self.hide)
        self.hide()

    def _on_advanced(self, done: int, total: int, fraction: float, what: str) -> None:
        share = (done + fraction) / max(total, 1)
        self.bar.setValue(int(share * _STEPS))
        number = min(done + 1, total)
        self.words.setText(f"Picture {number} of {total}: {what}" if total > 1 else what)
        self.show()
