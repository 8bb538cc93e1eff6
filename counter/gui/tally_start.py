"""Before a tally: which square of the chamber is looked through, and how large it is."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QComboBox, QLabel, QLineEdit, QPushButton, QVBoxLayout, QWidget

from counter.domain.chamber import Square
from counter.domain.numerals import number, plainly
from counter.domain.units import quantity_for_people
from counter.errors import UsageError
from counter.gui.bench import Bench
from counter.gui.card_field import CardField
from counter.gui.style import easy_to_hit, enlarged, named

_OWN = "another area"


class TallyStart(QWidget):
    """Asks for the square and starts the tally; by keyboard: Up, Down, Enter."""

    started = Signal(int)
    left = Signal()

    def __init__(self, bench: Bench, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bench = bench
        title = QLabel("Tally by eye")
        enlarged(title, 1.8, bold=True)
        words = QLabel(
            "Each square that is done adds its area to the count. The pad counts what lies in a "
            "square; apply the border rule of the sample card by eye."
        )
        words.setWordWrap(True)
        self.squares = QComboBox()
        self.square = CardField("Square looked through", self.squares, "Which ruled square.")
        self.area_line = QLineEdit()
        self.area_line.setPlaceholderText("2.54")
        self.area = CardField("Its area, mm²", self.area_line, "The area seen, in mm².")
        self.new_filling = QPushButton("The chamber was loaded anew")
        self.new_filling.setCheckable(True)
        named(
            self.new_filling,
            "The chamber was loaded anew",
            "The squares that follow are a filling of their own.",
        )
        self.start = QPushButton("Start (Enter)")
        self.leave = QPushButton("Back to the pictures (Esc)")
        for button in (self.new_filling, self.start, self.leave):
            easy_to_hit(button)
        named(self.start, "Start the tally")
        named(self.leave, "Back to the pictures")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(24, 18, 24, 18)
        for widget in (
            title, words, self.square, self.area, self.new_filling, self.start, self.leave
        ):  # fmt: skip
            layout.addWidget(widget)
        layout.addStretch(1)
        self.squares.currentIndexChanged.connect(self._show_area)
        self.area_line.returnPressed.connect(self.begin)
        self.start.clicked.connect(self.begin)
        self.leave.clicked.connect(self.left)
        bench.sample_changed.connect(self.refresh)
        self.refresh()

    def refresh(self) -> None:
        """Offer the squares of the sample's chamber."""
        chamber = self._bench.sample.chamber
        squares = list(chamber.squares)
        if chamber.area_mm2 is not None:
            squares.append(Square("whole chamber", chamber.area_mm2))
        elif chamber.is_whole_volume:
            squares = [Square("whole well", 1.0)]
        wanted = [(f"{s.name}, {quantity_for_people(s.area_mm2)} mm²", s) for s in squares]
        if chamber.is_whole_volume:
            wanted = [("whole well or tray", squares[0])]
        else:
            wanted.append((_OWN, Square("field of view", 0.0)))
        now = [self.squares.itemData(i) for i in range(self.squares.count())]
        if now != [square for _, square in wanted]:
            self.squares.clear()
            for text, square in wanted:
                self.squares.addItem(text, square)
        self.new_filling.setVisible(bool(self._bench.sample.fillings))
        self._show_area()

    def _show_area(self) -> None:
        self.area.setVisible(self.squares.currentText() == _OWN)

    def begin(self) -> None:
        """Start the tally; an area that makes no sense is refused beneath its line."""
        self.area.take(self._begin)

    def _begin(self) -> None:
        square: Square = self.squares.currentData()
        area_mm2 = square.area_mm2
        if self.squares.currentText() == _OWN:
            typed = plainly(self.area_line.text())
            if not typed:
                raise UsageError("The area is empty; type the area that is seen, in mm².")
            area_mm2 = number(typed.removesuffix("mm²").removesuffix("mm2"), "area")
        session = self._bench.session
        filling_id = None
        if self.new_filling.isChecked() and self._bench.sample.fillings:
            filling_id = session.add_filling()
        field_id = session.start_tally(square.name, area_mm2, filling_id)
        self.new_filling.setChecked(False)
        self.started.emit(field_id)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        if event.key() == Qt.Key.Key_Escape:
            self.left.emit()
        elif event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            self.begin()
        else:
            super().keyPressEvent(event)

    def focus_first(self) -> None:
        """Put the keyboard on the choice of the square: Up and Down change it, Enter starts."""
        self.squares.setFocus()
