"""The middle of the window: the picture, the tally, or a sheet that is asked instead."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtWidgets import QSizePolicy, QStackedWidget, QWidget

from counter.gui.bench import Bench
from counter.gui.canvas import Canvas
from counter.gui.sheet import Sheet
from counter.gui.tally_pad import TallyPad
from counter.gui.tally_start import TallyStart


class Pages(QStackedWidget):
    """Shows the field that is shown, until a tally is begun or a sheet asked for."""

    picture_shown = Signal(bool)
    """Another page is shown; whether it is the picture."""

    def __init__(
        self,
        bench: Bench,
        canvas: Canvas,
        tally_start: TallyStart,
        tally_pad: TallyPad,
        sheets: Mapping[str, Sheet],
        strip: QWidget,
    ) -> None:
        super().__init__()
        self._bench, self._strip = bench, strip
        self.canvas, self.tally_start, self.tally_pad = canvas, tally_start, tally_pad
        self.sheets = dict(sheets)
        for page in (canvas, tally_start, tally_pad, *self.sheets.values()):
            self.addWidget(page)
        tally_pad.setSizePolicy(  # may be cut off; the total may not
            QSizePolicy.Policy.Ignored, tally_pad.sizePolicy().verticalPolicy()
        )
        bench.field_shown.connect(self._on_field_shown)
        bench.sample_opened.connect(self.show_field)
        tally_start.started.connect(self._on_tally_started)
        tally_start.left.connect(self.show_field)
        for sheet in self.sheets.values():
            sheet.left.connect(self.show_field)
        self.currentChanged.connect(self._on_page_changed)
        self.setCurrentWidget(self.field_page)

    def minimumSizeHint(self) -> QSize:
        """The page that is shown says how low the window may be, not the highest of all."""
        return self.shown.minimumSizeHint().expandedTo(self.shown.minimumSize())

    def _on_page_changed(self) -> None:
        self.updateGeometry()
        self.picture_shown.emit(self.currentWidget() is self.canvas)

    @property
    def field_page(self) -> QWidget:
        """The page of the field that is shown: a picture or a tally."""
        return self.tally_pad if self._bench.tally is not None else self.canvas

    @property
    def shown(self) -> QWidget:
        """The page that is shown."""
        page = self.currentWidget()
        assert page is not None
        return page

    def show_field(self) -> None:
        """Show the picture or the tally that is the field now, and give it the keyboard.

        The strip of fields keeps the keyboard, to go on from field to field.
        """
        page = self.field_page
        self.setCurrentWidget(page)
        if self.isActiveWindow() and not self._strip.hasFocus():
            page.setFocus(Qt.FocusReason.OtherFocusReason)

    def _on_field_shown(self) -> None:
        """Follow, unless somebody is typing in a sheet: letters must not land on the picture."""
        if not self._is_typed_in:
            self.show_field()

    @property
    def _is_typed_in(self) -> bool:
        sheet, focus = self.currentWidget(), self.focusWidget()
        has_focus = focus is not None and focus.hasFocus()
        return isinstance(sheet, Sheet) and has_focus

    def show_sheet(self, name: str) -> None:
        """Show a sheet and give it the keyboard."""
        sheet = self.sheets[name]
        self.setCurrentWidget(sheet)
        sheet.ensureVisible(0, 0)
        sheet.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def start_tally(self) -> None:
        """Ask which square is looked through."""
        self.setCurrentWidget(self.tally_start)
        self.tally_start.focus_first()

    def finish(self) -> None:
        """Keep what is typed in the sheets."""
        for sheet in self.sheets.values():
            sheet.keep()

    def _on_tally_started(self, field_id: int) -> None:
        self._bench.show(field_id)
        self.show_field()
        self.tally_pad.setFocus()
