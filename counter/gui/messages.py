"""The strip that says what is wrong and what to do, without getting in the way."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QMainWindow, QPushButton

from counter.gui.style import easy_to_hit, is_dark, named

_SHOWN = 4


class MessageStrip(QFrame):
    """Shows the latest problems, with a sign and on a ground of their own, until put away.

    It lies over what is above the status bar, so that the picture does not move under the pointer
    and the progress of counting stays in sight.
    """

    def __init__(self, parent: QMainWindow) -> None:
        super().__init__(parent)
        self._window = parent
        self._problems: list[str] = []
        self._label = QLabel()
        self._label.setWordWrap(True)
        self._label.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse
            | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        named(self._label, "Message")
        self._away = QPushButton("Put away")
        easy_to_hit(self._away)
        named(self._away, "Put the message away")
        self._away.clicked.connect(self.clear)
        layout = QHBoxLayout(self)
        layout.setContentsMargins(12, 4, 6, 4)
        layout.addWidget(self._label, 1)
        layout.addWidget(self._away)
        self.setAutoFillBackground(True)
        self.hide()

    @property
    def text(self) -> str:
        """What the strip says now; empty when it is put away."""
        return self._label.text() if not self.isHidden() else ""

    def say(self, problem: str) -> None:
        """Show a problem beside those that have not been put away."""
        self._problems = [old for old in self._problems if old != problem] + [problem]
        self._show()

    def clear(self) -> None:
        """Put everything away."""
        self._problems = []
        self.hide()

    def _show(self) -> None:
        lines = [f"⚠ {problem}" for problem in self._problems[-_SHOWN:]]
        earlier = len(self._problems) - _SHOWN
        if earlier > 0:
            lines.insert(0, f"⚠ {earlier} more before these:")
        self._label.setText("\n".join(lines))
        self._label.setToolTip("\n".join(self._problems))
        palette = self.palette()
        dark = is_dark(palette)
        ground, ink = ("#4a2a1c", "#ffe3d6") if dark else ("#ffe9dd", "#4a1a00")
        palette.setColor(palette.ColorRole.Window, QColor(ground))
        palette.setColor(palette.ColorRole.WindowText, QColor(ink))
        self.setPalette(palette)
        self._label.setPalette(palette)
        self.show()
        self.settle()

    def settle(self) -> None:
        """Lie right above the status bar, as high as the words need."""
        layout = self.layout()
        if self.isHidden() or layout is None:
            return
        width = self._window.width()
        height = max(layout.heightForWidth(width), layout.minimumSize().height())
        foot = self._window.height() - self._window.statusBar().height()
        self.setGeometry(0, foot - height, width, height)
        self.raise_()
