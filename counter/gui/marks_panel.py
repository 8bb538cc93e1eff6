"""The table beside the picture: everything drawn there, for the keyboard and the screen reader."""

from __future__ import annotations

from PySide6.QtCore import (
    QItemSelection,
    QItemSelectionModel,
    QModelIndex,
    QSortFilterProxyModel,
    Qt,
    Signal,
)
from PySide6.QtGui import QShowEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableView, QVBoxLayout, QWidget

from counter.gui.bench import Bench
from counter.gui.marks_model import COLUMNS, REMARKS, SORTED, SQUARE, STATE, MarksModel
from counter.gui.style import TARGET_PX, named


class MarksPanel(QWidget):
    """Shows the marks of the field; what is picked here is picked on the picture too."""

    accept_wanted = Signal()
    """The state proposed for the marks picked is to be accepted."""

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bench = bench
        self._syncing = False
        self.model = MarksModel(bench, self)
        self._sorted = QSortFilterProxyModel(self)
        self._sorted.setSourceModel(self.model)
        self._sorted.setSortRole(SORTED)
        self.table = QTableView()
        self.table.setModel(self._sorted)
        self.table.setSortingEnabled(True)
        self.table.sortByColumn(0, Qt.SortOrder.AscendingOrder)
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.table.setTabKeyNavigation(False)
        self.table.verticalHeader().hide()
        self.table.verticalHeader().setDefaultSectionSize(TARGET_PX)
        header = self.table.horizontalHeader()
        header.setDefaultSectionSize(84)
        header.setMinimumHeight(TARGET_PX)
        for column, width in ((0, 46), (1, 78), (STATE, 122), (SQUARE, 58)):
            header.resizeSection(column, width)
        header.moveSection(STATE, 2)
        header.setSectionResizeMode(REMARKS, QHeaderView.ResizeMode.Stretch)
        named(self.table, "Marks of this field", "Every mark of the picture, one in each row.")
        self.table.doubleClicked.connect(self._on_twice)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.table)
        self.table.selectionModel().selectionChanged.connect(self._on_rows)
        for signal in (bench.sample_changed, bench.field_shown, bench.picked_changed):
            signal.connect(self.refresh)

    def refresh(self) -> None:
        """Show the marks and which are picked; left for later while nobody sees the table."""
        if self.isVisible():
            self.model.refresh()
            self.table.setColumnHidden(SQUARE, not self.model.has_squares)
            self._show_picked()

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.refresh()

    def _on_twice(self, index: QModelIndex) -> None:
        """A double press on a proposed state accepts it, for all rows that are picked."""
        if index.column() == STATE:
            self.accept_wanted.emit()

    def _on_rows(self) -> None:
        if self._syncing:
            return
        rows = self.table.selectionModel().selectedRows()
        source = [self._sorted.mapToSource(index).row() for index in rows]
        self._syncing = True
        self._bench.pick(self.model.mark_id_at(row) for row in source)
        self._syncing = False

    def _show_picked(self) -> None:
        """Select the rows of the marks that are picked on the picture."""
        if self._syncing:
            return
        self._syncing = True
        selection, current = QItemSelection(), None
        for mark_id in sorted(self._bench.picked):
            row = self.model.row_of(mark_id)
            if row is not None:
                left = self._sorted.mapFromSource(self.model.index(row, 0))
                right = self._sorted.mapFromSource(self.model.index(row, len(COLUMNS) - 1))
                selection.select(left, right)
                current = left
        chosen = self.table.selectionModel()
        chosen.select(selection, QItemSelectionModel.SelectionFlag.ClearAndSelect)
        if current is not None:
            chosen.setCurrentIndex(current, QItemSelectionModel.SelectionFlag.NoUpdate)
            self.table.scrollTo(current)
        self._syncing = False
