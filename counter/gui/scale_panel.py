"""What a pixel is: typed, from a stored lens, or measured on the picture."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QPushButton, QWidget

from counter.domain.mark import Point
from counter.domain.numerals import number, plainly
from counter.domain.scale import Scale
from counter.domain.scale_checks import beside_earlier
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
from counter.gui.scale_form import ScaleForm
from counter.gui.shelf import PageKey, Shelf
from counter.gui.viewer import Viewer
from counter.records.store import Store


class ScalePanel(ScaleForm):
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
        self._aside = False
        self._connect()
        queue.scale_wanted.connect(self.ask)
        viewer.distance_drawn.connect(self._on_distance)

    def _connect(self) -> None:
        """Let each button do what it says."""
        for button, run in (
            (self.points_button, self._draw_points),
            (self.work_out, self._work_out),
            (self.find_rulings, self._find_rulings),
            (self.find_micrometer, self.micrometer_wanted.emit),
            (self.use_typed, self._use_typed),
            (self.use_lens, self._use_lens),
            (self.use_measured, self._use_measured),
            (self.keep, self._keep_lens),
            (self.later, self.put_away),
        ):
            self._let(button, run)

    def _let(self, button: QPushButton, run: Callable[[], None]) -> None:
        button.clicked.connect(lambda: self._try(run))

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
        self.later.setText("Later" if waiting else "Close")
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

    def make_room(self, picture_shown: bool) -> None:
        """Step aside for a sheet or a tally, which need the height; come back with the picture."""
        if picture_shown and self._aside:
            self._aside = False
            self.ask()
        elif not picture_shown and not self.isHidden():
            self._aside = True
            self.hide()

    def put_away(self) -> None:
        """Hide the panel; the pictures go on waiting, Ctrl+L brings it back."""
        self.hide()
        self._forget_points()
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

    def _forget_points(self) -> None:
        self._points = None
        self._viewer.canvas.show_distance(None)

    def _draw_points(self) -> None:
        self._forget_points()
        if self._queue.without_scale:
            self._viewer.preview(self._queue.without_scale[0].key)
        self._viewer.take_up(Tool.RULER)
        self._viewer.canvas.setFocus()

    def _on_distance(self, points: tuple[Point, Point]) -> None:
        self._points = points
        self._viewer.take_up(Tool.PICK)
        self._viewer.canvas.show_distance(points)
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
        lens = measured.as_lens(name, datetime.now(UTC).astimezone().date())
        earlier = self._store.lens_history(name)
        self._store.save_lens(lens)
        self.lenses_changed.emit()
        self._offer()
        self._bench.tell(f"The lens “{name}” is kept. {beside_earlier(lens, earlier)}".strip())
        self.use(measured.scale, name)


def _positive(text: str, what: str) -> float:
    """Return a number above 0; UsageError, naming it, for anything else."""
    plain = plainly(text).removesuffix("um").strip()
    value = number(plain, what) if plain else 0.0
    if not 0 < value < float("inf"):
        raise UsageError(f"The {what} is missing; type it in µm, above 0.")
    return value
