"""A label whose text may be longer than its room: it is scrolled, never cut off."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QFrame, QLabel, QScrollArea, QWidget

from counter.gui.style import named


class ScrolledLabel(QScrollArea):
    """Shows ``label`` as high as its text, up to ``most_px``; beyond that it can be scrolled.

    It takes the keyboard only while there is something to scroll.
    """

    def __init__(self, label: QLabel, most_px: int, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.label = label
        self._most_px = most_px
        label.setWordWrap(True)
        label.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setWidgetResizable(True)
        self.setWidget(label)
        self.viewport().setAutoFillBackground(False)
        label.setAutoFillBackground(False)
        named(self, label.accessibleName())

    def set_text(self, text: str) -> None:
        """Show ``text``; nothing is shown, and no room taken, for an empty one."""
        if text != self.label.text():
            self.label.setText(text)
            self.verticalScrollBar().setValue(0)
        self.setVisible(bool(text))
        self._fit()

    def _fit(self) -> None:
        needed = self.label.heightForWidth(max(1, self.viewport().width()))
        self.setFixedHeight(max(1, min(needed, self._most_px)))
        is_long = needed > self._most_px
        self.setFocusPolicy(Qt.FocusPolicy.TabFocus if is_long else Qt.FocusPolicy.NoFocus)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()
