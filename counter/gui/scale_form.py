"""The lines and buttons of the panel that asks for the scale; what they do is in the panel."""

from __future__ import annotations

from PySide6.QtWidgets import (
    QCheckBox,
    QComboBox,
    QFrame,
    QHBoxLayout,
    QLabel,
    QLineEdit,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from counter.gui.style import TonedLabel, easy_to_hit, enlarged, named, problem_colour


class ScaleForm(QFrame):
    """Ways to say what a pixel is: typed, a stored lens, or measured on the picture."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.title = QLabel()
        self.title.setWordWrap(True)
        enlarged(self.title, 1.1, bold=True)
        self.problem = TonedLabel(problem_colour)
        named(self.problem, "What is wrong with the scale")
        self.typed = _line("µm per pixel", "1.24")
        self.lenses = QComboBox()
        named(self.lenses, "Stored lens")
        easy_to_hit(self.lenses)
        self.distance = _line("Length of the distance drawn, µm", "1000")
        self.period = _line("Distance of the rulings, µm", "1000")
        self.division = _line("One division of the micrometer, µm", "10")
        self.division.setText("10")
        self.lens_name = _line("Name of the lens", "10x, camera 1")
        self.lens_name.setMaximumWidth(200)
        self.everywhere = QCheckBox("for every picture of this sample")
        easy_to_hit(self.everywhere)
        named(self.everywhere, "For every picture of this sample")
        self.result = QLabel()
        named(self.result, "Scale measured")
        enlarged(self.result, 1.15, bold=True)
        self.use_measured = _button("Use it")
        self.keep = _button("Keep as a lens")
        self._lay_out()
        self.hide()

    def _lay_out(self) -> None:
        self.later = _button("Later")
        self.points_button = _button("Draw two points")
        self.work_out = _button("Work it out")
        self.find_rulings = _button("Find the rulings")
        self.find_micrometer = _button("Choose its picture…")
        self.use_typed = _button("Use")
        self.use_lens = _button("Use the lens")
        ways = QVBoxLayout()
        ways.addLayout(
            _row(
                "Typed, µm per pixel",
                self.typed,
                self.use_typed,
                "Stored lens",
                self.lenses,
                self.use_lens,
            )
        )
        ways.addLayout(
            _row("Known distance", self.points_button, "µm long", self.distance, self.work_out)
        )
        ways.addLayout(
            _row(
                "Rulings, µm apart",
                self.period,
                self.find_rulings,
                "Micrometer, µm a division",
                self.division,
                self.find_micrometer,
            )
        )
        found = QHBoxLayout()
        for widget in (self.result, self.use_measured, self.lens_name, self.keep):
            found.addWidget(widget)
        self._found = [self.result, self.use_measured, self.lens_name, self.keep]
        head = QHBoxLayout()
        head.addWidget(self.title, 1)
        head.addWidget(self.everywhere)
        head.addWidget(self.later)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(12, 6, 8, 6)
        layout.addLayout(head)
        layout.addLayout(ways)
        layout.addLayout(found)
        layout.addWidget(self.problem)
        self.setFrameShape(QFrame.Shape.StyledPanel)
        named(self, "Scale of the pictures")
        self.typed.returnPressed.connect(self.use_typed.click)
        self.period.returnPressed.connect(self.find_rulings.click)
        self.distance.returnPressed.connect(self.work_out.click)

    def add_row(self, row: QWidget) -> None:
        """Add a row of its own at the foot of the panel."""
        layout = self.layout()
        assert layout is not None
        layout.addWidget(row)


def _line(name: str, placeholder: str) -> QLineEdit:
    line = QLineEdit()
    line.setPlaceholderText(placeholder)
    line.setMaximumWidth(96)
    easy_to_hit(line)
    named(line, name)
    return line


def _button(words: str) -> QPushButton:
    button = QPushButton(words)
    easy_to_hit(button)
    named(button, words)
    return button


def _row(*parts: str | QWidget) -> QHBoxLayout:
    """Return words and widgets in one row, as close together as they are read."""
    row = QHBoxLayout()
    for part in parts:
        row.addWidget(QLabel(part) if isinstance(part, str) else part)
    row.addStretch(1)
    return row
