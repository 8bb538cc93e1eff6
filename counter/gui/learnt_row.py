"""What the lens has learnt from corrections: a sentence, a switch, and the way to forget it."""

from __future__ import annotations

from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QCheckBox, QHBoxLayout, QMessageBox, QPushButton, QWidget

from counter.gui.bench import Bench
from counter.gui.learner import Learner
from counter.gui.style import TonedLabel, easy_to_hit, named, plain_colour


class LearntRow(QWidget):
    """One row of the panel of the scale and the lens."""

    def __init__(self, bench: Bench, learner: Learner, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bench, self._learner = bench, learner
        self.words = TonedLabel(plain_colour)
        named(self.words, "What this lens has learnt")
        self.switch = QCheckBox("use it")
        named(
            self.switch,
            "Use what this lens has learnt",
            "Adjusts the scores of what is counted from now on, by no more than is certain.",
        )
        self.forget = QPushButton("Forget it…")
        named(
            self.forget,
            "Forget what this lens has learnt",
            "Counts and corrections stay; the finder is again as it came.",
        )
        self.question: QMessageBox | None = None
        layout = QHBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.words, 1)
        for widget in (self.switch, self.forget):
            easy_to_hit(widget)
            layout.addWidget(widget)
        self.switch.clicked.connect(learner.use)
        self.forget.clicked.connect(self._ask)
        learner.changed.connect(self.refresh)
        bench.sample_opened.connect(self.refresh)

    def showEvent(self, event: QShowEvent) -> None:
        """Say what holds now; while it is hidden nothing is looked up."""
        super().showEvent(event)
        self.refresh()

    def refresh(self) -> None:
        """Say what holds now."""
        if not self.isVisible():
            return
        told = self._learner.told()
        if told is None:
            return
        self.words.setText(told.words)
        has_lens = self._bench.sample.lens is not None
        self.switch.setVisible(has_lens)
        self.switch.setChecked(told.is_on)
        self.forget.setVisible(has_lens)
        self.forget.setEnabled(told.can_forget)

    def _ask(self) -> None:
        """Ask once more: forgetting cannot be undone."""
        lens = self._bench.sample.lens
        self.question = QMessageBox(
            QMessageBox.Icon.Question,
            "Forget what this lens has learnt",
            f"Forget everything that corrections taught about the lens “{lens}”? Counts and "
            "corrections stay as they are. This cannot be undone.",
            QMessageBox.StandardButton.Cancel,
            self,
        )
        yes = self.question.addButton("Forget it", QMessageBox.ButtonRole.AcceptRole)
        yes.clicked.connect(self._learner.forget)
        self.question.setDefaultButton(QMessageBox.StandardButton.Cancel)
        self.question.open()
