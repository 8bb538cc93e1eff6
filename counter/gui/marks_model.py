"""The marks of the field that is shown, as a table model."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QAbstractTableModel, QModelIndex, QObject, QPersistentModelIndex, Qt
from PySide6.QtGui import QFont, QGuiApplication

from counter.domain import flags
from counter.domain.mark import FOUND, Mark
from counter.domain.ruled import RuledSquare, square_words
from counter.gui.bench import Bench
from counter.gui.style import stage_name

Index = QModelIndex | QPersistentModelIndex

SORTED = Qt.ItemDataRole.UserRole
"""The role under which a cell's value is asked for when rows are sorted."""

_MOST_ONE_BY_ONE = 20
_MOST_COLUMNS = 10_000

COLUMNS = ("Nr", "Stage", "Length µm", "Width µm", "State", "Counts", "Remarks", "Sure %", "Square")


STATE, REMARKS, SQUARE = (COLUMNS.index(name) for name in ("State", "Remarks", "Square"))

Row = tuple[Mark, bool, RuledSquare | None]
"""A mark, whether it counts, and its square on the chamber's rulings."""


def cell(row: Row, column: int) -> str | float | int:
    """Return what one cell shows: numbers as numbers, so that they sort as numbers."""
    mark, is_counted, square = row
    if column == 0:
        return mark.mark_id
    if column in (2, 3):
        return round(mark.length_um if column == 2 else mark.width_um, 1)
    if column == 7:
        return round(mark.score * 100)
    words = {
        1: stage_name(mark.stage),
        4: state_words(mark),
        5: "yes" if is_counted else "left out",
        6: remarks(mark),
        8: square_words(square),
    }
    return words[column]


def sorted_by(row: Row, column: int) -> str | float | int:
    """Return what a cell is sorted by: what it shows, but squares row by row."""
    square = row[2]
    if column == SQUARE:
        return 0 if square is None else square[0] * _MOST_COLUMNS + square[1]
    return cell(row, column)


def state_words(mark: Mark) -> str:
    """Return what a person said of a mark, else what is proposed, as a question: dead? 92 %."""
    if mark.state is not None:
        return mark.state
    return mark.proposal.words if mark.proposal is not None else ""


def remarks(mark: Mark) -> str:
    """Return the flags of a mark in words, whether an eye spot is seen, that a person placed it."""
    words = [flag.name for flag in flags.known(mark.flags)]
    if mark.proposal is not None and mark.proposal.eye_words:
        words.append(mark.proposal.eye_words)
    if mark.origin != FOUND:
        words.insert(0, "by hand")
    return ", ".join(words)


class MarksModel(QAbstractTableModel):
    """One row for each mark of the picture that is shown; rows keep the order of the ids."""

    def __init__(self, bench: Bench, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._bench = bench
        self._rows: list[Row] = []
        self.refresh()

    def refresh(self) -> None:
        """Take over what has changed; rows whose mark is the same are left alone."""
        picture, sample = self._bench.picture, self._bench.sample
        marks = picture.marks.values() if picture is not None else ()
        rows: list[Row] = [
            (mark, picture.is_counted(mark, sample.edges), sample.square_of(picture, mark))
            for mark in sorted(marks, key=lambda mark: mark.mark_id)
            if picture is not None
        ]
        ids = [row[0].mark_id for row in rows]
        present = set(ids)
        gone = [row for row, each in enumerate(self._rows) if each[0].mark_id not in present]
        known = {each[0].mark_id for each in self._rows}
        new = [row for row, mark_id in enumerate(ids) if mark_id not in known]
        if len(gone) + len(new) > _MOST_ONE_BY_ONE:
            self.beginResetModel()
            self._rows = rows
            self.endResetModel()
            return
        for row in reversed(gone):
            self.beginRemoveRows(QModelIndex(), row, row)
            del self._rows[row]
            self.endRemoveRows()
        for row in new:
            self.beginInsertRows(QModelIndex(), row, row)
            self._rows.insert(row, rows[row])
            self.endInsertRows()
        self._take_over(rows)

    def _take_over(self, rows: list[Row]) -> None:
        """Take over rows that stand for the same marks; tell those that have changed."""
        before, self._rows = self._rows, rows
        for row, (old, new) in enumerate(zip(before, rows, strict=True)):
            if old[0] is not new[0] or old[1:] != new[1:]:
                self.dataChanged.emit(self.index(row, 0), self.index(row, len(COLUMNS) - 1))

    def mark_id_at(self, row: int) -> int:
        """Return the mark_id in this row."""
        return self._rows[row][0].mark_id

    def row_of(self, mark_id: int) -> int | None:
        """Return the row of a mark, None if it is not on this field."""
        for row, each in enumerate(self._rows):
            if each[0].mark_id == mark_id:
                return row
        return None

    @property
    def has_squares(self) -> bool:
        """Whether any mark lies in a square of the rulings."""
        return any(square is not None for _, _, square in self._rows)

    def rowCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's signature
        return 0 if parent.isValid() else len(self._rows)

    def columnCount(self, parent: Index = QModelIndex()) -> int:  # noqa: B008 - Qt's signature
        return 0 if parent.isValid() else len(COLUMNS)

    def data(self, index: Index, role: int = Qt.ItemDataRole.DisplayRole) -> Any:
        row = self._rows[index.row()]
        mark = row[0]
        if role == Qt.ItemDataRole.DisplayRole:
            value = cell(row, index.column())
            return f"{value:.1f}" if isinstance(value, float) else value
        if role == SORTED:
            return sorted_by(row, index.column())
        if index.column() == STATE and (shown := _proposal_shown(mark, role)) is not None:
            return shown
        if role == Qt.ItemDataRole.ToolTipRole:
            return "\n".join(f"{flag.name}: {flag.explanation}" for flag in flags.known(mark.flags))
        if role == Qt.ItemDataRole.TextAlignmentRole and index.column() in (0, 2, 3, 7, 8):
            return Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
        return None

    def headerData(
        self, section: int, orientation: Qt.Orientation, role: int = Qt.ItemDataRole.DisplayRole
    ) -> Any:
        if role == Qt.ItemDataRole.DisplayRole and orientation is Qt.Orientation.Horizontal:
            return COLUMNS[section]
        return None


def _proposal_shown(mark: Mark, role: int) -> Any:
    """Return how a state that is only proposed differs from one that was said: slanted, a tip."""
    if mark.state is not None or mark.proposal is None:
        return None
    if role == Qt.ItemDataRole.FontRole:
        slanted = QFont(QGuiApplication.font())
        slanted.setItalic(True)
        return slanted
    if role == Qt.ItemDataRole.ToolTipRole:
        press = " Press twice to accept it." if mark.proposal.state is not None else ""
        return f"{mark.proposal.explanation}{press}"
    return None
