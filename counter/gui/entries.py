"""Lines and choices that are read together, when the whole of them is asked for."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QLineEdit

from counter.gui.card_field import CardField


class LineEntry(CardField):
    """A line that is read together with the others beside it."""

    def __init__(self, title: str, placeholder: str, hint: str) -> None:
        self.line = QLineEdit()
        self.line.setPlaceholderText(placeholder)
        super().__init__(title, self.line, hint)

    @property
    def text(self) -> str:
        """What is typed, without spaces around it."""
        return self.line.text().strip()


class ChoiceEntry(CardField):
    """A choice that is read together with the other lines beside it."""

    def __init__(self, title: str, hint: str, choices: Sequence[tuple[str, str]] = ()) -> None:
        self.box = QComboBox()
        self.box.setSizeAdjustPolicy(
            QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        self.box.setMinimumContentsLength(8)
        self.box.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.box.wheelEvent = lambda event: event.ignore()  # type: ignore[method-assign]
        super().__init__(title, self.box, hint)
        self.offer(choices)

    def offer(self, choices: Sequence[tuple[str, str]]) -> None:
        """Offer these (key, words)."""
        self.box.clear()
        for key, words in choices:
            self.box.addItem(words, key)

    @property
    def key(self) -> str:
        """The key of what is chosen; empty where nothing is offered."""
        return str(self.box.currentData() or "")

    def choose(self, key: str) -> None:
        """Choose an entry; one that is not offered changes nothing."""
        index = self.box.findData(key)
        if index >= 0:
            self.box.setCurrentIndex(index)
