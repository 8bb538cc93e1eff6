"""The size histogram: the same figure as in the files, drawn off the window's thread."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from PySide6.QtCore import QSize, Qt, QTimer, Signal
from PySide6.QtGui import QImage, QPixmap, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QVBoxLayout, QWidget

from counter.domain.sample import Sample
from counter.errors import CounterError
from counter.gui.bench import Bench
from counter.gui.jobs import Jobs
from counter.gui.scrolled_label import ScrolledLabel
from counter.gui.style import named
from counter.statistics.sizes import Sizes

_SOON_MS = 250
_MOST_OF_WORDS_PX = 96
_DOTS_PER_INCH = 82.0
_LEAST_PX = 160
_LEAST_HEIGHT_PX = 100


@dataclass(frozen=True, slots=True)
class Room:
    """How large the figure is to be, in screen pixels, and how many dots each of them has."""

    width: int
    height: int
    ratio: float


def sizes_words(found: Sizes | None) -> str:
    """Return the sizes in a line or two, as a person reads them."""
    if found is None:
        return "Nothing has been measured yet; what a border cuts is not measured."
    words = (
        f"{found.measured} measured: median {found.median:.1f} µm, mean {found.mean:.1f} µm, "
        f"a tenth below {found.p10:.1f}, a tenth above {found.p90:.1f}"
    )
    return words if found.sd is None else f"{words}, standard deviation {found.sd:.1f}"


def drawn_histogram(sample: Sample, room: Room) -> QImage:
    """Draw the histogram of ``sample`` into an image of this size; safe in any thread."""
    from matplotlib.backends.backend_agg import FigureCanvasAgg  # late: slow to load, and here

    from counter.exporting.figures import size_histogram  # it is loaded off the window's thread

    figure = size_histogram(sample)
    for axes in figure.axes:
        axes.set_title("", loc="left")  # said beneath the figure, where there is room for it
    dots = _DOTS_PER_INCH * room.ratio
    figure.set_dpi(dots)
    figure.set_size_inches(room.width / _DOTS_PER_INCH, room.height / _DOTS_PER_INCH)
    canvas: Any = FigureCanvasAgg(figure)
    canvas.draw()
    pixels = np.asarray(canvas.buffer_rgba())
    height, width = pixels.shape[:2]
    image = QImage(pixels.tobytes(), width, height, 4 * width, QImage.Format.Format_RGBA8888)
    kept = image.copy()
    kept.setDevicePixelRatio(room.ratio)
    return kept


class FigureLabel(QLabel):
    """Holds the figure, and says when it has another size: also when the words beneath grow."""

    resized = Signal()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self.resized.emit()


class SizesPanel(QWidget):
    """Shows the figure and its numbers in words; it follows the sample while it is seen."""

    def __init__(self, bench: Bench, jobs: Jobs, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._bench, self._jobs = bench, jobs
        self.picture = FigureLabel()
        self.picture.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.picture.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Ignored)
        self.picture.setMinimumSize(QSize(_LEAST_PX, _LEAST_HEIGHT_PX))
        self.picture.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        named(self.picture, "Size histogram")
        self.words = QLabel()
        named(self.words, "Sizes in words")
        layout = QVBoxLayout(self)
        layout.setContentsMargins(4, 4, 4, 4)
        layout.addWidget(self.picture, 1)
        self._scrolled = ScrolledLabel(self.words, _MOST_OF_WORDS_PX)
        self._notes: tuple[str, ...] = ()
        layout.addWidget(self._scrolled)
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(_SOON_MS)
        self._soon.timeout.connect(self._draw)
        self.picture.resized.connect(self._soon.start)
        bench.sample_changed.connect(self._on_change)

    def _on_change(self) -> None:
        if self.isVisible():
            self._tell()
            self._soon.start()

    def _draw(self) -> None:
        """Have the figure drawn; an older drawing that is still under way is overtaken."""
        if not self.isVisible():
            return
        self._notes = self._bench.session.sizes_notes
        self._tell()
        sample = self._bench.sample
        size = self.picture.size()
        room = Room(size.width(), size.height(), self.devicePixelRatioF())
        self._jobs.start(
            lambda progress: drawn_histogram(sample, room),  # noqa: ARG005 - one short step
            self._show,
            self._on_failed,
            name="histogram",
        )

    def _tell(self) -> None:
        """Put the sizes in words beneath the figure; their notes follow with the figure."""
        words = sizes_words(self._bench.session.sizes)
        self._scrolled.set_text("\n".join([words, *self._notes]))

    def _show(self, image: QImage) -> None:
        self.picture.setPixmap(QPixmap.fromImage(image))
        self.picture.setAccessibleDescription(self.words.text())

    def _on_failed(self, error: CounterError) -> None:
        self._bench.tell_problem(str(error))

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self._on_change()
