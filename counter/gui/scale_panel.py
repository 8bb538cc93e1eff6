"""What a pixel is: typed, from a stored lens, or measured on the picture."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime

from PySide6.QtCore import Signal
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

from counter.domain.mark import Point
from counter.domain.numerals import number, plainly
from counter.domain.scale import Scale
from counter.domain.units import parse_um_per_px
from counter.errors import CounterError, UsageError
from counter.gui.bench import Bench
from counter.gui.canvas_tools import Tool
from counter.gui.counting_queue import CountingQueue
from counter.gui.jobs import Jobs
from counter.gui.measured_scale import (
    Measured,
    from_micrometer,
    from_rulings,
    from_two_points,
)
from counter.gui.shelf import PageKey, Shelf
from counter.gui.style import TonedLabel, easy_to_hit, enlarged, named, problem_colour
from counter.gui.viewer import Viewer
from counter.records.store import Store


class ScalePanel(QFrame):
    """Asks for the scale above the picture; the pictures that wait for it are kept meanwhile."""

    lenses_changed = Signal()
    micrometer_wanted = Signal()

    def __init__(
        self,
        bench: Bench,
        store: Store,
        queue: CountingQueue,
        viewer: Viewer,
        shelf: Shelf,
        jobs: Jobs,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self._bench, self._store, self._queue = bench, store, queue
        self._viewer, self._shelf, self._jobs = viewer, shelf, jobs
        self._points: tuple[Point, Point] | None = None
        self._measured: Measured | None = None
        self.title = QLabel()
        self.title.setWordWrap(True)
        enlarged(self.title, 1.1, bold=True)
        self.problem = TonedLabel(problem_colour)
        named(self.problem, "What is wrong with the scale")
        self.typed = self._line("µm per pixel", "1.24")
        self.lenses = QComboBox()
        named(self.lenses, "Stored lens")
        easy_to_hit(self.lenses)
        self.distance = self._line("Length of the distance drawn, µm", "1000")
        self.period = self._line("Distance of the rulings, µm", "1000")
        self.division = self._line("One division of the micrometer, µm", "10")
        self.division.setText("10")
        self.lens_name = self._line("Name of the lens", "10x, camera 1")
        self.lens_name.setMaximumWidth(200)
        self.everywhere = QCheckBox("for every picture of this sample")
        easy_to_hit(self.everywhere)
        named(self.everywhere, "For every picture of this sample")
        self.result = QLabel()
        named(self.result, "Scale measured")
        enlarged(self.result, 1.15, bold=True)
        self.use_measured = self._button("Use it", self._use_measured)
        self.keep = self._button("Keep as a lens", self._keep_lens)
        self._lay_out()
        queue.scale_wanted.connect(self.ask)
        viewer.distance_drawn.connect(self._on_distance)
        self.hide()

    # --- lay-out

    def _line(self, name: str, placeholder: str) -> QLineEdit:
        line = QLineEdit()
        line.setPlaceholderText(placeholder)
        line.setMaximumWidth(96)
        easy_to_hit(line)
        named(line, name)
        return line

    def _button(self, words: str, run: Callable[[], None]) -> QPushButton:
        button = QPushButton(words)
        easy_to_hit(button)
        named(button, words)
        button.clicked.connect(lambda: self._try(run))
        return button

    def _lay_out(self) -> None:
        self.points_button = self._button("Draw two points", self._draw_points)
        self.work_out = self._button("Work it out", self._work_out)
        self.find_rulings = self._button("Find the rulings", self._find_rulings)
        self.find_micrometer = self._button("Choose its picture…", self.micrometer_wanted.emit)
        self.use_typed = self._button("Use", self._use_typed)
        self.use_lens = self._button("Use the lens", self._use_lens)
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
        head.addWidget(self._button("Later", self.put_away))
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

    # --- asking

    def ask(self) -> None:
        """Show the panel: for the pictures that wait, else for the picture that is shown."""
        waiting = self._queue.without_scale
        picture = self._bench.picture
        if not waiting and picture is None:
            self._bench.tell("Open a picture first; its scale is asked for when it has none.")
            return
        was_hidden = self.isHidden()
        if waiting:
            others = f" and {len(waiting) - 1} more" if len(waiting) > 1 else ""
            verb = "have" if others else "has"
            self.title.setText(
                f"{waiting[0].name}{others} {verb} no scale and wait{'' if others else 's'} here. "
                "How many µm is a pixel?"
            )
            self._viewer.preview(waiting[0].key)
        elif picture is not None:
            scale = picture.picture.scale
            self.title.setText(
                f"{picture.picture.name}: {scale.um_per_px:.5g} µm per pixel ({scale.source})"
            )
        self.everywhere.setVisible(not waiting)
        self._offer()
        self._show_measured(self._measured)
        self.show()
        if was_hidden:
            self.problem.clear()
            self.typed.setFocus()

    def _offer(self) -> None:
        names = [lens.name for lens in self._store.lenses()]
        if names != [self.lenses.itemText(i) for i in range(self.lenses.count())]:
            self.lenses.clear()
            self.lenses.addItems(names)
        self.use_lens.setEnabled(bool(names))
        period = self._bench.sample.chamber.ruling_um
        if period is not None and not self.period.text():
            self.period.setText(f"{period:g}")

    def put_away(self) -> None:
        """Hide the panel; the pictures go on waiting, Ctrl+L brings it back."""
        self.hide()
        self._viewer.preview(None)
        if self._viewer.canvas.tool is Tool.RULER:
            self._viewer.take_up(Tool.PICK)
        waiting = len(self._queue.without_scale)
        if waiting:
            are = "picture waits" if waiting == 1 else "pictures wait"
            self._bench.tell(f"{waiting} {are} for a scale; Ctrl+L asks again.")

    def _try(self, run: Callable[[], None]) -> None:
        try:
            run()
        except CounterError as error:
            self.problem.setText(f"⚠ {error}")

    # --- using a scale

    def use(self, scale: Scale, lens: str | None = None) -> None:
        """Count the waiting pictures with this scale, or give it to the picture(s) shown."""
        session = self._bench.session
        if lens is not None:
            session.set_lens(lens)
        if self._queue.without_scale:
            self._queue.give_scale(scale)
        else:
            fields = list(self._bench.sample.picture_fields())
            shown = self._bench.picture
            for field in fields:
                if self.everywhere.isChecked() or field == shown:
                    session.set_scale(field.field_id, scale)
        self.problem.clear()
        self._measured = None
        self.put_away()
        self._viewer.canvas.setFocus()

    def _use_typed(self) -> None:
        self.use(Scale(parse_um_per_px(self.typed.text(), "scale"), "given"))

    def _use_lens(self) -> None:
        lens = self._store.lens(self.lenses.currentText())
        self.use(lens.scale(), lens.name)

    # --- measuring one

    def _key(self) -> PageKey | None:
        if self._queue.without_scale:
            return self._queue.without_scale[0].key
        picture = self._bench.picture
        return (picture.picture.file, picture.picture.page) if picture is not None else None

    def _draw_points(self) -> None:
        if self._queue.without_scale:
            self._viewer.preview(self._queue.without_scale[0].key)
        self._viewer.take_up(Tool.RULER)
        self._viewer.canvas.setFocus()

    def _on_distance(self, points: tuple[Point, Point]) -> None:
        self._points = points
        self._viewer.take_up(Tool.PICK)
        self.distance.setFocus()
        self._bench.tell("Two points are drawn; type how long the distance between them is, in µm.")

    def _work_out(self) -> None:
        if self._points is None:
            raise UsageError("No distance is drawn yet; press “Draw two points” and mark its ends.")
        length_um = _positive(self.distance.text(), "length of the distance")
        view = self._viewer.canvas.view
        size = view.picture_width_px, view.picture_height_px
        self._show_measured(from_two_points(*self._points, length_um, size))

    def _find_rulings(self) -> None:
        period_um = _positive(self.period.text(), "distance of the rulings")
        key = self._key()
        if key is None:
            raise UsageError("No picture is shown; open one that shows the chamber's rulings.")
        shelved = self._shelf.kept(key)
        photo = shelved.photo if shelved is not None else None
        self._measure(lambda: from_rulings(key, photo, period_um))

    def find_in_micrometer(self, file: str) -> None:
        """Measure the scale on a picture of a stage micrometer."""

        def start() -> None:
            division_um = _positive(self.division.text(), "division of the micrometer")
            self._measure(lambda: from_micrometer(file, division_um))

        self._try(start)

    def _measure(self, work: Callable[[], Measured]) -> None:
        self.problem.clear()
        self.result.setText("Looking for the lines …")
        self.result.show()
        self._jobs.start(
            lambda progress: work(),  # noqa: ARG005 - too short to be stopped
            self._show_measured,
            self._on_unmeasured,
            name="scale",
        )

    def _on_unmeasured(self, error: CounterError) -> None:
        self._show_measured(None)
        self.problem.setText(f"⚠ {error}")

    def _show_measured(self, measured: Measured | None) -> None:
        self._measured = measured
        self.result.setText(measured.words if measured is not None else "")
        for widget in self._found:
            widget.setVisible(measured is not None)
        if measured is not None:
            self.problem.setText(
                "\n".join(f"⚠ {warning}" for warning in measured.calibration.warnings)
            )

    def _use_measured(self) -> None:
        if self._measured is not None:
            self.use(self._measured.scale)

    def _keep_lens(self) -> None:
        measured = self._measured
        assert measured is not None
        name = self.lens_name.text().strip()
        if not name:
            raise UsageError("The lens has no name; type one, like “10x, camera 1”.")
        self._store.save_lens(measured.as_lens(name, datetime.now(UTC).astimezone().date()))
        self.lenses_changed.emit()
        self._offer()
        self._bench.tell(f"The lens “{name}” is kept.")
        self.use(measured.scale, name)


def _positive(text: str, what: str) -> float:
    """Return a number above 0; UsageError, naming it, for anything else."""
    plain = plainly(text).removesuffix("um").strip()
    value = number(plain, what) if plain else 0.0
    if not 0 < value < float("inf"):
        raise UsageError(f"The {what} is missing; type it in µm, above 0.")
    return value


def _row(*parts: str | QWidget) -> QHBoxLayout:
    """Return words and widgets in one row, as close together as they are read."""
    row = QHBoxLayout()
    for part in parts:
        row.addWidget(QLabel(part) if isinstance(part, str) else part)
    row.addStretch(1)
    return row
