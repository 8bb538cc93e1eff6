"""A sheet over the picture: something is asked, typed or chosen, and answered in sentences.

The answer follows what is typed a moment later; it can be read, marked and copied. What is typed
is kept with the habits of this bench, so that closing the window loses none of it.
"""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QGuiApplication, QHideEvent, QKeyEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import (
    QFrame,
    QGridLayout,
    QHBoxLayout,
    QPlainTextEdit,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QVBoxLayout,
    QWidget,
)

from counter.errors import CounterError
from counter.gui.bench import Bench
from counter.gui.entries import ChoiceEntry, LineEntry
from counter.gui.settings_file import Draft, Habits
from counter.gui.style import (
    TonedLabel,
    easy_to_hit,
    enlarged,
    named,
    plain_colour,
    problem_colour,
    quiet_colour,
)

_SOON_MS = 150
_WIDEST_PX = 860
_LEAST_ANSWER_PX = 112


class Sheet(QScrollArea):
    """Lays out what is asked above the answer. A sheet says in :meth:`answer` what it finds.

    ``key`` is what its draft is kept under; ``title`` and ``words`` stand at its head.
    """

    left = Signal()

    def __init__(self, bench: Bench, habits: Habits, key: str, title: str, words: str) -> None:
        super().__init__()
        self._bench, self._habits, self._key = bench, habits, key
        self._lines: tuple[str, ...] = ()
        self._inside = inside = QWidget()
        inside.setMaximumWidth(_WIDEST_PX)
        self.column = QVBoxLayout(inside)
        self.column.setContentsMargins(20, 12, 20, 12)
        self.column.setSpacing(6)
        self._lay_out_head(title, words)
        self.fields = QGridLayout()
        self.fields.setHorizontalSpacing(16)
        self.column.addLayout(self.fields)
        self._make_answer(title)
        self.setWidget(inside)
        self.setWidgetResizable(True)
        self.setFrameShape(QFrame.Shape.NoFrame)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        named(inside, title)
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(_SOON_MS)
        self._soon.timeout.connect(self.refresh)
        bench.sample_changed.connect(self._on_sample_changed)

    # --- lay-out

    def _lay_out_head(self, title: str, words: str) -> None:
        head = TonedLabel(plain_colour, title)
        enlarged(head, 1.6, bold=True)
        self.leave = self.button("Back (Esc)", self.left.emit)
        named(self.leave, "Back to the count")
        row = QHBoxLayout()
        row.addWidget(head, 1)
        row.addWidget(self.leave)
        self.column.addLayout(row)
        self.column.addWidget(TonedLabel(quiet_colour, words))

    def _make_answer(self, title: str) -> None:
        self.problem = TonedLabel(problem_colour)
        named(self.problem, "What is wrong with the entries")
        self.problem.hide()
        self.headline = TonedLabel(plain_colour)
        self.headline.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
        enlarged(self.headline, 1.25, bold=True)
        named(self.headline, f"{title}: the answer")
        self.text = QPlainTextEdit()
        self.text.setReadOnly(True)
        self.text.setTabChangesFocus(True)
        self.text.setTextInteractionFlags(
            Qt.TextInteractionFlag.TextSelectableByMouse
            | Qt.TextInteractionFlag.TextSelectableByKeyboard
        )
        self.text.setMinimumHeight(_LEAST_ANSWER_PX)
        self.text.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Ignored)
        named(self.text, f"{title}: behind the answer")
        self.copy = self.button("Copy the answer", self._copy)

    def lay_out_answer(self, *beside: QPushButton) -> None:
        """Put the answer beneath all that is asked; buttons ``beside`` stand by the copying one."""
        for widget in (self.problem, self.headline):
            self.column.addWidget(widget)
        self.column.addWidget(self.text, 1)
        beneath = QHBoxLayout()
        for button in (self.copy, *beside):
            beneath.addWidget(button)
        beneath.addStretch(1)
        self.column.addLayout(beneath)

    def button(self, words: str, run: Callable[[], object]) -> QPushButton:
        """Return a button that is easy to hit."""
        button = QPushButton(words)
        easy_to_hit(button)
        named(button, words)
        button.clicked.connect(lambda: run())
        return button

    def follow(self, *entries: LineEntry | ChoiceEntry) -> None:
        """Answer anew, a moment later, whenever one of these changes."""
        for entry in entries:
            if isinstance(entry, LineEntry):
                entry.line.textChanged.connect(lambda _text: self._soon.start())
            else:
                entry.box.currentIndexChanged.connect(lambda _index: self._soon.start())

    # --- what a sheet says

    def answer(self) -> tuple[str, ...]:
        """Return the answer, a line each; CounterError for what cannot be read."""
        return ()

    def draft(self) -> Draft:
        """Return what is typed, to be kept."""
        return {}

    def copied(self) -> tuple[str, ...]:
        """Return what goes to the clipboard: the answer, and what else belongs to it."""
        return self._lines

    def ready(self) -> None:
        """Make the sheet ready for the sample that is open, before it is shown."""

    # --- following

    def refresh(self) -> None:
        """Keep what is typed and answer it."""
        self.keep()
        try:
            lines, problem = self.answer(), ""
        except CounterError as error:
            lines, problem = (), f"⚠ {error}"
        self.problem.setText(problem)
        self.problem.setVisible(bool(problem))
        self.copy.setEnabled(bool(lines))
        if lines != self._lines:
            self._lines = lines
            self.headline.setText(lines[0] if lines else "")
            self.headline.setVisible(bool(lines))
            self.text.setPlainText("\n".join(lines[1:]))
        self._keep_whole()

    def keep(self) -> None:
        """Keep what is typed."""
        self._soon.stop()
        self._habits.keep_draft(self._key, self.draft())

    def kept(self) -> Draft:
        """Return what was typed last; empty at first."""
        return self._habits.draft(self._key)

    def _on_sample_changed(self) -> None:
        if self.isVisible():
            self._soon.start()

    def _copy(self) -> None:
        self.refresh()
        QGuiApplication.clipboard().setText("\n".join(self.copied()))
        self._bench.tell("The answer is on the clipboard.")

    # --- coming and going

    def _keep_whole(self) -> None:
        """Take the height that wrapped words need at this width; what is beyond is scrolled to."""
        width = min(self.viewport().width(), _WIDEST_PX)
        self._inside.setMinimumHeight(self.column.totalMinimumHeightForWidth(width))

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._keep_whole()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.ready()
        self.refresh()

    def hideEvent(self, event: QHideEvent) -> None:
        self.keep()
        super().hideEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        else:
            super().keyPressEvent(event)
