"""The count of each stage, with its total and limits, and the key that gives a mark this stage."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QColor, QIcon, QPainter, QPen, QPixmap
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHeaderView,
    QPushButton,
    QTableWidget,
    QTableWidgetItem,
    QVBoxLayout,
    QWidget,
)

from counter.domain.units import limits_for_people
from counter.gui.bench import Bench
from counter.gui.style import (
    TARGET_PX,
    StageLook,
    TonedLabel,
    easy_to_hit,
    named,
    plain_colour,
    stage_name,
)
from counter.statistics.method import uneven_for_people
from counter.statistics.result import StageEstimate

_HEADS = ("Key", "Stage", "Counted", "Total with limits")


def amount_words(entry: StageEstimate | None) -> str:
    """Return how many of a stage there are, with limits: in the vessel, else per mL.

    A dash stands where none was counted or nothing was looked at.
    """
    if entry is None:
        return "–"
    if entry.total is not None and entry.low is not None and entry.high is not None:
        return limits_for_people(entry.total, entry.low, entry.high)
    density, low, high = entry.density_per_ml, entry.density_low_per_ml, entry.density_high_per_ml
    if density is None or low is None or high is None:
        return "–"
    return limits_for_people(density, low, high)


def swatch(look: StageLook, size: int = 22) -> QIcon:
    """Return a small picture of a stage's outline with its letter, as it is on the canvas."""
    pixmap = QPixmap(size, size)
    pixmap.fill(QColor("#20272b"))
    painter = QPainter(pixmap)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    pen = QPen(QColor(look.colour), 2.0)
    if look.dashes:
        pen.setDashPattern([dash / 2 for dash in look.dashes])
    painter.setPen(pen)
    painter.drawEllipse(2, 2, size - 4, size - 4)
    font = painter.font()
    font.setPixelSize(size // 2)
    font.setBold(True)
    painter.setFont(font)
    painter.setPen(QColor("#ffffff"))
    painter.drawText(pixmap.rect(), Qt.AlignmentFlag.AlignCenter, look.letter)
    painter.end()
    return QIcon(pixmap)


class StagesPanel(QWidget):
    """One row for each stage of the species, also those of which none was seen.

    Under the table stands the share of the dead or of the fertilised, and who says so.
    """

    accept_wanted = Signal()
    """What is proposed surely on this field is to be accepted."""

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bench = bench
        self.table = QTableWidget(0, len(_HEADS))
        self.table.setHorizontalHeaderLabels(list(_HEADS))
        self.table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.table.setTabKeyNavigation(False)
        self.table.verticalHeader().hide()
        self.table.verticalHeader().setDefaultSectionSize(TARGET_PX)
        header = self.table.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setStretchLastSection(True)
        named(self.table, "Stages", "The count of each stage with its total and limits.")
        self.share = TonedLabel(plain_colour)
        named(self.share, "Dead or fertilised")
        self.accept = QPushButton("Accept the sure proposals of this field")
        easy_to_hit(self.accept)
        named(
            self.accept,
            "Accept the sure proposals of this field",
            "Says of each mark what the machine proposes, where it is at least 80 % sure (Shift+Y "
            "on the picture). The doubtful ones are left to you.",
        )
        self.accept.clicked.connect(self.accept_wanted)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self.table, 1)
        below = QVBoxLayout()
        below.setContentsMargins(8, 0, 8, 4)
        below.addWidget(self.share)
        below.addWidget(self.accept, 0, Qt.AlignmentFlag.AlignLeft)
        layout.addLayout(below)
        bench.sample_changed.connect(self.refresh)
        bench.field_shown.connect(self._show_share)
        self.refresh()

    def refresh(self) -> None:
        """Show every stage as it stands."""
        looks = self._bench.looks
        found = {entry.stage: entry for entry in self._bench.session.stages}
        stages = list(dict.fromkeys([*self._bench.stages, *found]))
        has_vessel = self._bench.sample.vessel_ml is not None
        head = self.table.horizontalHeaderItem(len(_HEADS) - 1)
        assert head is not None
        head.setText(_HEADS[-1] if has_vessel else "Per mL with limits")
        self.table.setRowCount(len(stages))
        for row, stage in enumerate(stages):
            entry = found.get(stage)
            key = str(row + 1) if row < 8 and stage in looks else ""
            counted = str(entry.counted if entry else 0)
            words = (key, stage_name(stage), counted, amount_words(entry))
            for column, word in enumerate(words):
                self._put(row, column, word)
            self._explain(row, uneven_for_people(entry) if entry else "")
            item = self.table.item(row, 1)
            if item is not None and stage in looks and item.icon().isNull():
                item.setIcon(swatch(looks[stage]))

        self._show_share()

    def _explain(self, row: int, uneven: str) -> None:
        """Let the limits for uneven mixing be seen, and heard, behind those that are shown."""
        item = self.table.item(row, len(_HEADS) - 1)
        if item is not None and item.toolTip() != uneven:
            item.setToolTip(uneven)
            item.setData(Qt.ItemDataRole.AccessibleDescriptionRole, uneven)

    def _show_share(self) -> None:
        shares = self._bench.session.state_shares
        self.share.setText("\n".join(entry.words for entry in shares))
        self.share.setVisible(bool(shares))
        self.accept.setVisible(any(m.proposed_state for m in self._bench.marks.values()))

    def _put(self, row: int, column: int, word: str) -> None:
        item = self.table.item(row, column)
        if item is None:
            item = QTableWidgetItem()
            if column in (0, 2):
                item.setTextAlignment(Qt.AlignmentFlag.AlignCenter)
            self.table.setItem(row, column, item)
        if item.text() != word:
            item.setText(word)
            if column == 1:
                item.setIcon(QIcon())
