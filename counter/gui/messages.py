"""The strip that says what happened and what is wrong, without getting in the way."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QFrame, QHBoxLayout, QLabel, QPushButton, QWidget

from counter.gui.style import easy_to_hit, is_dark, named

_SHOWN = 4


class MessageStrip(QFrame):
    """Shows the latest sentences, problems with a sign and on a ground of their own.

    Problems stay until they are put away; a plain sentence is replaced by the next one.
    """

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
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

    def say(self, sentence: str, is_problem: bool) -> None:
        """Show a sentence; a problem is added to those that have not been put away."""
        if is_problem:
            self._problems = [old for old in self._problems if old != sentence] + [sentence]
        elif self._problems:
            return
        self._show(sentence)

    def clear(self) -> None:
        """Put everything away."""
        self._problems = []
        self.hide()

    def _show(self, sentence: str) -> None:
        lines = [f"⚠ {problem}" for problem in self._problems[-_SHOWN:]] or [sentence]
        earlier = len(self._problems) - _SHOWN
        if earlier > 0:
            lines.insert(0, f"⚠ {earlier} more before these:")
        self._label.setText("\n".join(lines))
        self._label.setToolTip("\n".join(self._problems))
        palette = self.palette()
        dark = is_dark(palette)
        if self._problems:
            ground, ink = ("#4a2a1c", "#ffe3d6") if dark else ("#ffe9dd", "#4a1a00")
        else:
            ground, ink = ("#1f3a33", "#d9f5ea") if dark else ("#e2f3ec", "#0c3a2a")
        palette.setColor(palette.ColorRole.Window, QColor(ground))
        palette.setColor(palette.ColorRole.WindowText, QColor(ink))
        self.setPalette(palette)
        self._label.setPalette(palette)
        self.show()
