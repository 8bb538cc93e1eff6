"""Ties the canvas to the sample: what is shown on it, and what is done when it is touched."""

from __future__ import annotations

from collections.abc import Mapping

from PySide6.QtCore import QObject, QPoint, Signal
from PySide6.QtGui import QAction
from PySide6.QtWidgets import QMenu

from counter.domain.mark import Point
from counter.gui.bench import Bench
from counter.gui.canvas import Canvas
from counter.gui.canvas_tools import HINTS, Tool
from counter.gui.closeups import Closeups
from counter.gui.corrections import Corrections
from counter.gui.jobs import Jobs
from counter.gui.shelf import PageKey, Shelf, Shelved
from counter.gui.style import stage_name

_CROSSHAIR_STEP = 12.0
_CROSSHAIR_FAR = 96.0
_WAYS = {"left": (-1.0, 0.0), "right": (1.0, 0.0), "up": (0.0, -1.0), "down": (0.0, 1.0)}
_MENU = (
    "remove", "join", "tool-cut", "tool-outline", "",
    "state-accept", "state-accept-sure", "",
    "state-live", "state-dead", "state-fertilised", "state-unfertilised", "state-none",
)  # fmt: skip


class Viewer(QObject):
    """Shows the bench's picture on the canvas and turns what is done there into corrections."""

    tool_changed = Signal(object)
    distance_drawn = Signal(object)
    """the two ends of a known distance"""

    def __init__(
        self, bench: Bench, shelf: Shelf, jobs: Jobs, canvas: Canvas, corrections: Corrections
    ) -> None:
        super().__init__(canvas)
        self._bench, self._shelf = bench, shelf
        self.canvas, self._corrections = canvas, corrections
        self._preview: PageKey | None = None
        self._shelved: Shelved | None = None
        canvas.picked.connect(corrections.pick)
        canvas.boxed.connect(bench.pick)
        canvas.placed.connect(corrections.place)
        canvas.shifted.connect(corrections.move)
        canvas.line_drawn.connect(self._on_line)
        canvas.outline_drawn.connect(self._on_outline)
        bench.sample_changed.connect(self.refresh)
        bench.picked_changed.connect(self.refresh)
        bench.field_shown.connect(self._on_field)
        shelf.ready.connect(self._on_ready)
        shelf.missing.connect(self._on_missing)
        self._closeups = Closeups(jobs, self)
        self._closeups.ready.connect(lambda: canvas.show_closeup(self._closeups.shown))
        canvas.view_changed.connect(self._follow)
        self._on_field()

    # --- what is shown

    def preview(self, key: PageKey | None) -> None:
        """Show a picture that has no field yet; None goes back to the field."""
        if key != self._preview:
            self._preview = key
            self._on_field()

    @property
    def previewed(self) -> PageKey | None:
        """The picture that is shown without a field."""
        return self._preview

    def refresh(self) -> None:
        """Show the marks as they stand."""
        field = self._bench.picture if self._preview is None else None
        self.canvas.number_squares(self._bench.sample.chamber.ruling_um is not None)
        self.canvas.show_field(
            field, self._bench.sample.edges, self._bench.looks, self._bench.picked
        )

    def _on_field(self) -> None:
        self.canvas.show_distance(None)
        self.refresh()
        key = self._key()
        self._show(self._shelf.picture(key) if key is not None else None)

    def _show(self, shelved: Shelved | None) -> None:
        self._shelved = shelved
        self.canvas.show_pixels(shelved.pyramid if shelved is not None else None)
        self._follow()

    def _follow(self) -> None:
        self._closeups.follow(self._shelved, self.canvas.view)

    def _key(self) -> PageKey | None:
        if self._preview is not None:
            return self._preview
        field = self._bench.picture
        return (field.picture.file, field.picture.page) if field is not None else None

    def _on_ready(self, file: str, page: int) -> None:
        if (file, page) == self._key():
            self._show(self._shelf.kept((file, page)))

    def _on_missing(self, file: str, page: int, reason: str) -> None:
        if (file, page) == self._key():
            self._bench.tell_problem(f"The picture cannot be shown; its marks are kept. {reason}")

    # --- tools and keys

    def take_up(self, tool: Tool) -> None:
        """Take up a tool and say what to do with it."""
        self.canvas.set_tool(tool)
        self.tool_changed.emit(tool)
        if tool is not Tool.PICK:
            self._bench.tell(HINTS[tool])

    def let_go(self) -> None:
        """Drop what is half drawn; else let go of the marks; else of the tool."""
        if self.canvas.drop_pen():
            return
        if self._bench.picked:
            self._bench.pick(())
        elif self.canvas.tool is not Tool.PICK:
            self.take_up(Tool.PICK)

    def pick_next(self, step: int) -> None:
        """Pick the next mark and bring it into sight, the crosshair on it."""
        mark = self._corrections.pick_next(step)
        if mark is not None:
            self.canvas.set_crosshair(mark.x_px, mark.y_px)

    def place_here(self) -> None:
        """Add a mark at the crosshair."""
        if self.canvas.crosshair is None:
            self.canvas.move_crosshair(0.0, 0.0)
        elif self._bench.picture is not None:
            self._corrections.place(*self.canvas.crosshair)

    def move_crosshair(self, way: str, far: bool) -> None:
        """Move the crosshair ``left``, ``right``, ``up`` or ``down``."""
        step = _CROSSHAIR_FAR if far else _CROSSHAIR_STEP
        dx, dy = _WAYS[way]
        self.canvas.move_crosshair(dx * step, dy * step)

    def shift_picked(self, way: str) -> None:
        """Move the picked marks by one pixel of the screen, at least one of the picture."""
        dx, dy = _WAYS[way]
        step = max(1.0, 1.0 / self.canvas.view.zoom)
        self._corrections.move(dx * step, dy * step)

    def _on_line(self, tool: Tool, points: tuple[Point, Point]) -> None:
        if tool is Tool.CUT:
            self._corrections.cut(*points)
        else:
            self.distance_drawn.emit(points)

    def _on_outline(self, points: tuple[Point, ...]) -> None:
        self._corrections.outline(points)

    def menu(self, actions: Mapping[str, QAction], at: QPoint) -> QMenu:
        """Open the menu of the picked marks at a place of the screen."""
        menu = QMenu(self.canvas)
        stages = menu.addMenu("Stage")
        for number, stage in enumerate(self._bench.stages, start=1):
            action = stages.addAction(f"{number}  {stage_name(stage)}")
            action.triggered.connect(
                lambda _checked=False, number=number: self._corrections.stage(number)
            )
        stages.setEnabled(bool(self._bench.picked))
        for name in _MENU:
            if name:
                menu.addAction(actions[name])
            else:
                menu.addSeparator()
        menu.popup(at)
        return menu
