"""The squares of a tally, one in each row, the one being counted at the bottom."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractItemView, QTableWidget, QTableWidgetItem, QWidget

from counter.gui.bench import Bench
from counter.gui.style import TARGET_PX, named
from counter.gui.tally_keys import class_words, classes_of


class SquaresTable(QTableWidget):
    """Shows how many were tallied in each square: the sum first, then each class."""

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bench = bench
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.verticalHeader().setDefaultSectionSize(TARGET_PX)
        named(self, "Squares", "How many of each class in each square.")
        bench.sample_changed.connect(self.refresh)
        bench.field_shown.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Show every square as it stands."""
        tally = self._bench.tally
        if tally is None:
            self.setRowCount(0)
            return
        seen = {name for square in tally.squares for name in square.counts}
        own = classes_of(self._bench.sample)
        classes = [*own, *sorted(seen - set(own))]
        heads = ["Sum", *(class_words(name) for name in classes)]
        self.setColumnCount(len(heads))
        self.setHorizontalHeaderLabels(heads)
        self.setRowCount(len(tally.squares))
        numbers = [str(number + 1) for number in range(len(tally.squares))]
        if not tally.finished:
            numbers[-1] += " open"
        self.setVerticalHeaderLabels(numbers)
        for row, square in enumerate(tally.squares):
            counts = [square.counts.get(name, 0) for name in classes]
            for column, count in enumerate([sum(counts), *counts]):
                self._put(row, column, str(count))
        self.scrollToBottom()

    def _put(self, row: int, column: int, text: str) -> None:
        item = self.item(row, column)
        if item is None:
            item = QTableWidgetItem()
            item.setTextAlignment(Qt.AlignmentFlag.AlignCenter)
            self.setItem(row, column, item)
        if item.text() != text:
            item.setText(text)
