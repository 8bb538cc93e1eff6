"""A small table to type into: two columns, with an empty row always at its end."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt, QTimer, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import (
    QAbstractItemDelegate,
    QAbstractItemView,
    QHeaderView,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from counter.gui.style import TARGET_PX, named

LEAST_ROWS = 5
MOST_ROWS = 500
_EDIT = (
    QAbstractItemView.EditTrigger.AnyKeyPressed
    | QAbstractItemView.EditTrigger.DoubleClicked
    | QAbstractItemView.EditTrigger.EditKeyPressed
    | QAbstractItemView.EditTrigger.SelectedClicked
)

Rows = list[tuple[str, str]]


class MethodTable(QTableWidget):
    """Takes what is typed as it is; reading it is the sheet's.

    Enter goes down, Tab to the next cell while one is typed into; Delete empties what is selected.
    """

    typed = Signal()

    def __init__(self, name: str, heads: tuple[str, str]) -> None:
        super().__init__(LEAST_ROWS, 2)
        self.setHorizontalHeaderLabels(list(heads))
        self.horizontalHeader().setSectionResizeMode(QHeaderView.ResizeMode.Stretch)
        self.horizontalHeader().setMinimumHeight(TARGET_PX)
        self.verticalHeader().setDefaultSectionSize(TARGET_PX)
        self.setTabKeyNavigation(False)
        self.setEditTriggers(_EDIT)
        named(self, name, "Type into the cells; a new row follows by itself.")
        self._soon_down = QTimer(self)  # the editor must be gone before the next cell is current
        self._soon_down.setSingleShot(True)
        self._soon_down.timeout.connect(self._go_down)
        self.itemDelegate().closeEditor.connect(self._on_closed)
        self.itemChanged.connect(lambda _item: self._on_typed())

    def rows(self) -> Rows:
        """Return what stands in the rows, up to the last that holds anything."""
        found = [(self._text(row, 0), self._text(row, 1)) for row in range(self.rowCount())]
        while found and not any(found[-1]):
            found.pop()
        return found

    def set_rows(self, rows: Sequence[Sequence[str]]) -> None:
        """Put these rows in the place of those that stand there."""
        self.blockSignals(True)
        self.clearContents()
        self.setRowCount(min(MOST_ROWS, max(LEAST_ROWS, len(rows) + 1)))
        for row, cells in enumerate(rows[:MOST_ROWS]):
            for column, text in enumerate(cells[:2]):
                self.setItem(row, column, QTableWidgetItem(text))
        self.blockSignals(False)
        self._on_typed()

    def _on_typed(self) -> None:
        last = self.rowCount() - 1
        if any((self._text(last, 0), self._text(last, 1))) and last + 1 < MOST_ROWS:
            self.insertRow(last + 1)
        self.typed.emit()

    def _text(self, row: int, column: int) -> str:
        item = self.item(row, column)
        return "" if item is None else item.text().strip()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        key = event.key()
        if key in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            for item in self.selectedItems():
                item.setText("")
        elif key in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if self.state() is not QAbstractItemView.State.EditingState:  # its Enter comes here too
                self._go_down()
        elif key == Qt.Key.Key_Escape:
            event.ignore()
        else:
            super().keyPressEvent(event)

    def _on_closed(self, _editor: QWidget, hint: QAbstractItemDelegate.EndEditHint) -> None:
        """Go down after Enter in a cell, ready for the next number."""
        if hint is QAbstractItemDelegate.EndEditHint.SubmitModelCache:
            self._soon_down.start()

    def focusInEvent(self, event: QFocusEvent) -> None:
        if self.currentRow() < 0:
            self.setCurrentCell(0, 0)
        super().focusInEvent(event)

    def _go_down(self) -> None:
        row = min(self.currentRow() + 1, self.rowCount() - 1)
        self.setCurrentCell(row, self.currentColumn())
