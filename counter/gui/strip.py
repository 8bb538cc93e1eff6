"""The strip of fields: a thumbnail with its count for each picture, a tile for each tally."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QColor, QIcon, QPainter, QPixmap
from PySide6.QtWidgets import QListView, QListWidget, QListWidgetItem, QWidget

from counter.domain.field import Field, PictureField
from counter.domain.naming import picture_names
from counter.gui.bench import Bench
from counter.gui.shelf import Shelf
from counter.gui.style import named

_ID = Qt.ItemDataRole.UserRole
_ICON = QSize(96, 60)


def field_words(entry: Field, name: str, sample_rule_count: int, filling: int) -> str:
    """Return the words beneath a tile: its name, its count, its filling."""
    if isinstance(entry, PictureField):
        seen = "✓ " if entry.reviewed else ""
    else:
        seen = "✓ " if entry.finished else "… "
    short = name if len(name) <= 20 else f"{name[:9]}…{name[-9:]}"
    return f"{seen}{sample_rule_count} · filling {filling}\n{short}"


class FieldStrip(QListWidget):
    """Shows every field of the sample in one row; the one that is shown is selected."""

    def __init__(self, bench: Bench, shelf: Shelf, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bench, self._shelf = bench, shelf
        self.setFlow(QListView.Flow.LeftToRight)
        self.setViewMode(QListView.ViewMode.IconMode)
        self.setMovement(QListView.Movement.Static)
        self.setWrapping(False)
        self.setIconSize(_ICON)
        self.setGridSize(QSize(146, 102))
        self.setFixedHeight(122)
        self.setVerticalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        named(self, "Fields", "The pictures and tallies of this sample.")
        self.currentItemChanged.connect(self._on_current)
        bench.sample_changed.connect(self.refresh)
        bench.field_shown.connect(self._show_current)
        shelf.thumbnail_ready.connect(self._on_thumbnail)
        self.refresh()

    def refresh(self) -> None:
        """Show every field with its count as it stands."""
        sample = self._bench.sample
        tiles = [
            (entry, place)
            for place, filling in enumerate(sample.fillings, start=1)
            for entry in filling.fields
        ]
        if [entry.field_id for entry, _ in tiles] != [
            self.item(row).data(_ID) for row in range(self.count())
        ]:
            self._start_over([entry for entry, _ in tiles])
        called = picture_names(sample.picture_fields())
        for row, (entry, place) in enumerate(tiles):
            name = called.get(entry.field_id, f"Tally {row + 1}")
            count = sum(entry.count_by_stage(sample.edges).values())
            words = field_words(entry, name, count, place)
            item = self.item(row)
            if item.text() != words:
                item.setText(words)
                item.setData(
                    Qt.ItemDataRole.AccessibleTextRole, f"{words.replace(chr(10), ', ')}, counted"
                )
        self.setVisible(bool(tiles))
        self._show_current()

    def _start_over(self, entries: list[Field]) -> None:
        self.blockSignals(True)
        self.clear()
        for entry in entries:
            item = QListWidgetItem()
            item.setData(_ID, entry.field_id)
            item.setIcon(self._icon(entry))
            if isinstance(entry, PictureField):
                item.setToolTip(entry.picture.file)
            self.addItem(item)
        self.blockSignals(False)

    def _icon(self, entry: Field) -> QIcon:
        if isinstance(entry, PictureField):
            image = self._shelf.thumbnail((entry.picture.file, entry.picture.page))
            if image is not None:
                return _untinted(QPixmap.fromImage(image))
        return _untinted(_blank("…" if isinstance(entry, PictureField) else "||||"))

    def _on_thumbnail(self, file: str, page: int) -> None:
        for row, entry in enumerate(self._bench.fields):
            if isinstance(entry, PictureField) and row < self.count():
                picture = entry.picture
                if (picture.file, picture.page) == (file, page):
                    self.item(row).setIcon(self._icon(entry))
                    self.viewport().update()  # the tile before it was wider

    def _on_current(self, item: QListWidgetItem | None) -> None:
        if item is not None:
            self._bench.show(int(item.data(_ID)))

    def _show_current(self) -> None:
        shown = self._bench.field
        for row in range(self.count()):
            if shown is not None and self.item(row).data(_ID) == shown.field_id:
                self.blockSignals(True)
                self.setCurrentRow(row)
                self.blockSignals(False)
                self.scrollToItem(self.item(row))


def _untinted(pixmap: QPixmap) -> QIcon:
    """An icon that keeps its colours where it is selected: the water is not blue."""
    icon = QIcon(pixmap)
    icon.addPixmap(pixmap, QIcon.Mode.Selected)
    return icon


def _blank(sign: str) -> QPixmap:
    """Return a tile without a picture."""
    pixmap = QPixmap(_ICON)
    pixmap.fill(QColor("#39434a"))
    painter = QPainter(pixmap)
    painter.setPen(QColor("#e6eaed"))
    font = painter.font()
    font.setPixelSize(24)
    font.setBold(True)
    painter.setFont(font)
    painter.drawText(pixmap.rect(), Qt.AlignmentFlag.AlignCenter, sign)
    painter.end()
    return pixmap
