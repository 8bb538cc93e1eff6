"""Choosing the keys of the tally pad."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtWidgets import QDialog, QDialogButtonBox, QLabel, QLineEdit, QVBoxLayout, QWidget

from counter.errors import UsageError
from counter.gui.card_field import CardField
from counter.gui.settings_file import Habits
from counter.gui.style import TonedLabel, easy_to_hit, named, problem_colour
from counter.gui.tally_keys import checked_keys, class_words


class TallyKeysDialog(QDialog):
    """One line for each class; a key that cannot be used is refused with the reason."""

    def __init__(
        self, keys: Mapping[str, str], habits: Habits, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self._habits = habits
        self.setWindowTitle("Keys of the tally")
        layout = QVBoxLayout(self)
        words = QLabel("One letter or sign for each class. Its digit works as well.")
        words.setWordWrap(True)
        layout.addWidget(words)
        self.lines: dict[str, QLineEdit] = {}
        for name, key in keys.items():
            line = QLineEdit(key)
            line.setMaxLength(1)
            layout.addWidget(CardField(class_words(name), line, "The key of this class."))
            self.lines[name] = line
        self.problem = TonedLabel(problem_colour)
        named(self.problem, "What is wrong with the keys")
        layout.addWidget(self.problem)
        buttons = QDialogButtonBox()
        self.keep = buttons.addButton("Keep", QDialogButtonBox.ButtonRole.AcceptRole)
        cancel = buttons.addButton("Cancel", QDialogButtonBox.ButtonRole.RejectRole)
        for button in (self.keep, cancel):
            easy_to_hit(button)
        layout.addWidget(buttons)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)

    def accept(self) -> None:
        """Keep the keys, or say what is wrong with them."""
        try:
            chosen = checked_keys({name: line.text() for name, line in self.lines.items()})
        except UsageError as error:
            self.problem.setText(f"⚠ {error}")
            return
        self._habits.tally_keys = {**self._habits.tally_keys, **chosen}
        super().accept()
