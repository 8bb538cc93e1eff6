"""One line of the sample card: a label, an editor, and beneath it what is wrong with the entry."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QComboBox, QLineEdit, QVBoxLayout, QWidget

from counter.errors import CounterError
from counter.gui.style import TARGET_PX, TonedLabel, enlarged, named, problem_colour, quiet_colour


class CardField(QWidget):
    """A labelled editor whose entry is committed when it is left, or refused with the reason.

    A refused entry stays as it was typed; what was committed before stands meanwhile.
    """

    def __init__(self, title: str, editor: QWidget, hint: str = "") -> None:
        super().__init__()
        self.editor = editor
        self.label = TonedLabel(quiet_colour, title)
        self.label.setBuddy(editor)
        self.error = TonedLabel(problem_colour)
        self.error.hide()
        enlarged(self.label, 0.92)
        named(editor, title, hint)
        named(self.error, f"What is wrong with {title.lower()}")
        editor.setMinimumHeight(TARGET_PX)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 2)
        layout.setSpacing(1)
        for widget in (self.label, editor, self.error):
            layout.addWidget(widget)

    def take(self, commit: Callable[[], None]) -> bool:
        """Commit the entry; show the reason if it is refused. Return whether it was taken."""
        try:
            commit()
        except CounterError as error:
            self.complain(str(error))
            return False
        self.complain("")
        return True

    def complain(self, reason: str) -> None:
        """Show why the entry is refused; nothing for a good one."""
        self.error.setText(f"⚠ {reason}" if reason else "")
        self.error.setVisible(bool(reason))

    @property
    def is_refused(self) -> bool:
        """Whether the entry was refused and not yet put right."""
        return bool(self.error.text())


class TextField(CardField):
    """A line of text; ``commit`` parses it and raises a CounterError for what makes no sense."""

    def __init__(
        self, title: str, placeholder: str, hint: str, commit: Callable[[str], None]
    ) -> None:
        self.line = QLineEdit()
        self.line.setPlaceholderText(placeholder)
        super().__init__(title, self.line, hint)
        self._commit = commit
        self._shown = ""
        self._reason = ""
        self.line.editingFinished.connect(self.finish)

    def finish(self) -> bool:
        """Commit what was typed, if it is anything new; return False if it is refused."""
        typed = self.line.text().strip()
        if typed == self._shown:
            self.complain("")
            return True
        return self.take(lambda: self._commit(typed))

    def complain(self, reason: str) -> None:
        """Show why the entry is refused, and which one is reckoned with meanwhile."""
        self._reason = reason
        meanwhile = f" Until then {self._shown} stands." if reason and self._shown else ""
        super().complain(f"{reason}{meanwhile}")

    def show_value(self, text: str) -> None:
        """Show what stands in the sample, unless something is being typed or was refused."""
        self._shown = text
        if self._reason:
            self.complain(self._reason)
        typing = self.line.hasFocus() and self.line.isModified()
        if not typing and not self.is_refused and self.line.text() != text:
            self.line.setText(text)

    def start_again(self) -> None:
        """Forget what was typed and refused: another sample is shown."""
        self.complain("")
        self.line.setText(self._shown)


class ChoiceField(CardField):
    """A choice of one of several; ``commit`` gets the key of the one chosen."""

    def __init__(self, title: str, hint: str, commit: Callable[[str], None]) -> None:
        self.box = QComboBox()
        self.box.setSizeAdjustPolicy(
            QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon
        )
        self.box.setMinimumContentsLength(12)
        self.box.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.box.wheelEvent = lambda event: event.ignore()  # type: ignore[method-assign]
        super().__init__(title, self.box, hint)
        self._commit = commit
        self._shown = ""
        self.box.activated.connect(self._choose)

    def offer(self, choices: Sequence[tuple[str, str]]) -> None:
        """Offer these (key, words), keeping what is chosen."""
        now = [(self.box.itemData(i), self.box.itemText(i)) for i in range(self.box.count())]
        if now != list(choices):
            self.box.clear()
            for key, words in choices:
                self.box.addItem(words, key)
            self.show_value(self._shown)

    @property
    def shown(self) -> str:
        """The key of what stands in the sample."""
        return self._shown

    def _choose(self, index: int) -> None:
        key = str(self.box.itemData(index))
        if key != self._shown and not self.take(lambda: self._commit(key)):
            self.show_value(self._shown)

    def show_value(self, key: str) -> None:
        """Show what stands in the sample."""
        self._shown = key
        self.box.setCurrentIndex(self.box.findData(key))
