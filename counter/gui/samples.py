"""A short list of the samples that were counted before, to open one of them."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import (
    QDialog,
    QDialogButtonBox,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QVBoxLayout,
    QWidget,
)

from counter.domain.logbook import SampleEntry
from counter.gui.style import TARGET_PX, easy_to_hit, named
from counter.records.store import Store

_ID = Qt.ItemDataRole.UserRole


def entry_words(entry: SampleEntry, tanks: dict[int, str]) -> str:
    """Return one sample in one line: its name, its tank, when its water was taken."""
    taken = f"{entry.taken_at.astimezone():%Y-%m-%d %H:%M}"
    tank = tanks.get(entry.tank_id, "") if entry.tank_id is not None else ""
    parts = [entry.name, tank, "" if entry.name == taken else f"taken {taken}"]
    return "  ·  ".join(part for part in parts if part)


def tank_names(store: Store) -> dict[int, str]:
    """Return each tank's name with its batch's, by tank_id."""
    batches = {batch.batch_id: batch.name for batch in store.batches()}
    return {tank.tank_id: f"{tank.name} ({batches[tank.batch_id]})" for tank in store.tanks()}


class SampleChooser(QDialog):
    """Lists samples, the latest first; typing narrows the list, Enter opens."""

    chosen = Signal(int)

    def __init__(
        self,
        store: Store,
        current: int,
        parent: QWidget | None = None,
        title: str = "Earlier samples",
        choose: str = "Open",
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(title)
        self.resize(560, 480)
        self.filter = QLineEdit()
        self.filter.setPlaceholderText("type a part of a name, a tank or a date")
        self.filter.setClearButtonEnabled(True)
        named(self.filter, "Part of a name")
        self.list = QListWidget()
        named(self.list, "Samples")
        buttons = QDialogButtonBox()
        self.open_button = buttons.addButton(choose, QDialogButtonBox.ButtonRole.AcceptRole)
        close = buttons.addButton("Close", QDialogButtonBox.ButtonRole.RejectRole)
        for widget in (self.filter, self.open_button, close):
            easy_to_hit(widget)
        layout = QVBoxLayout(self)
        for part in (self.filter, self.list, buttons):
            layout.addWidget(part)
        self._fill(store, current)
        self.filter.textChanged.connect(self._narrow)
        self.list.itemActivated.connect(self.accept)
        buttons.accepted.connect(self.accept)
        buttons.rejected.connect(self.reject)
        self.accepted.connect(self._on_accepted)

    def _fill(self, store: Store, current: int) -> None:
        tanks = tank_names(store)
        for entry in store.samples():
            item = QListWidgetItem(entry_words(entry, tanks))
            item.setData(_ID, entry.sample_id)
            item.setSizeHint(QSize(0, TARGET_PX))
            self.list.addItem(item)
            if entry.sample_id == current:
                self.list.setCurrentItem(item)

    def _narrow(self, part: str) -> None:
        wanted = part.strip().casefold()
        first = None
        for row in range(self.list.count()):
            item = self.list.item(row)
            item.setHidden(wanted not in item.text().casefold())
            if first is None and not item.isHidden():
                first = item
        if first is not None:
            self.list.setCurrentItem(first)

    def _on_accepted(self) -> None:
        item = self.list.currentItem()
        if item is not None and not item.isHidden():
            self.chosen.emit(int(item.data(_ID)))
