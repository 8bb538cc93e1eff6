"""Two lists of lines: the working as on paper, and what was done to the sample."""

from __future__ import annotations

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QGuiApplication, QShowEvent
from PySide6.QtWidgets import (
    QListWidget,
    QListWidgetItem,
    QPlainTextEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from counter.gui.bench import Bench
from counter.gui.style import easy_to_hit, named

_SOON_MS = 120


class LinesPanel(QWidget):
    """A panel that follows the sample a moment later, and only while it is seen."""

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bench = bench
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(_SOON_MS)
        self._soon.timeout.connect(self._refresh_if_seen)
        bench.sample_changed.connect(self._soon.start)

    def refresh(self) -> None:
        """Show the lines as they stand."""

    def _refresh_if_seen(self) -> None:
        if self.isVisible():
            self.refresh()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()


class WorkingPanel(LinesPanel):
    """The sum line by line, as a person would check it on paper; it can be copied."""

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(bench, parent)
        self.text = QPlainTextEdit()
        self.text.setReadOnly(True)
        self.text.setTabChangesFocus(True)
        named(self.text, "Working", "The sum line by line.")
        self.copy = QPushButton("Copy the working")
        easy_to_hit(self.copy)
        named(self.copy, "Copy the working")
        self.copy.clicked.connect(self._copy)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.text)
        layout.addWidget(self.copy)

    def refresh(self) -> None:
        """Show the working as it stands, a blank line above each head."""
        words = "\n".join(
            f"\n{line}" if line.endswith(":") else line for line in self._bench.session.working
        )
        if words != self.text.toPlainText():
            self.text.setPlainText(words)

    def _copy(self) -> None:
        self.refresh()
        QGuiApplication.clipboard().setText(self.text.toPlainText())
        self._bench.tell("The working is on the clipboard.")


class HistoryPanel(LinesPanel):
    """What was done to this sample, the latest first; what was taken back is struck out."""

    MOST_LINES = 500

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(bench, parent)
        self.list = QListWidget()
        self.list.setWordWrap(True)
        named(self.list, "History", "What was done to this sample, the latest first.")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.list)

    def refresh(self) -> None:
        """Show the latest lines."""
        lines = list(self._bench.session.history())
        self.list.clear()
        for line in reversed(lines[-self.MOST_LINES :]):
            words = line.description[:1].upper() + line.description[1:]
            when = line.at.astimezone()
            taken_back = " (taken back)" if line.undone else ""
            item = QListWidgetItem(f"{when:%H:%M}  {words}{taken_back}")
            item.setToolTip(f"{when:%Y-%m-%d %H:%M:%S}  {line.who}".rstrip())
            font = item.font()
            font.setStrikeOut(line.undone)
            item.setFont(font)
            item.setFlags(item.flags() & ~Qt.ItemFlag.ItemIsEditable)
            self.list.addItem(item)
