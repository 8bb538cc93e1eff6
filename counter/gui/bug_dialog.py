"""The dialog that shows what should not have happened, word for word."""

from __future__ import annotations

from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QLabel,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from counter.gui.style import easy_to_hit, named


class BugDialog(QDialog):
    """Shows a text that can be copied; the counts are kept, whatever happened."""

    def __init__(
        self, title: str, text: str, parent: QWidget | None = None, leave: str = "Go on"
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.resize(720, 380)
        words = QLabel(
            f"{title}. Everything that was counted is kept. "
            "Copy the text below into a message to whoever looks after this program."
        )
        words.setWordWrap(True)
        self.text = QPlainTextEdit(text)
        self.text.setReadOnly(True)
        named(self.text, "What happened")
        buttons = QDialogButtonBox()
        copy = buttons.addButton("Copy", QDialogButtonBox.ButtonRole.ActionRole)
        close = buttons.addButton(leave, QDialogButtonBox.ButtonRole.AcceptRole)
        for button in (copy, close):
            easy_to_hit(button)
        copy.clicked.connect(lambda: QGuiApplication.clipboard().setText(text))
        buttons.accepted.connect(self.accept)
        layout = QVBoxLayout(self)
        for part in (words, self.text, buttons):
            layout.addWidget(part)
        close.setFocus()

    def add(self, text: str) -> None:
        """Show one more bug beneath those shown already."""
        self.text.appendPlainText(f"\n{text}")
