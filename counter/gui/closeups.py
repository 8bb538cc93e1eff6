"""What is seen of a scanned slide where the view is closer than its overview: read as it is needed.

Only the part in sight, and a little around it, is read, off the window's thread; until it is there
the overview is shown.
"""

from __future__ import annotations

from PySide6.QtCore import QObject, QTimer, Signal

from counter.domain.progress import Progress
from counter.errors import CounterError
from counter.gui.canvas_view import CanvasView
from counter.gui.jobs import Jobs
from counter.gui.pixels import Closeup, Stretch, closeup_image
from counter.gui.shelf import Shelved
from counter.imaging.overview import closeup_of
from counter.imaging.slide import Slide

_STILL_MS = 60
_AROUND = 0.2
"""How much more than what is in sight is read on each side, as a share of it."""

Box = tuple[int, int, int, int]


class Closeups(QObject):
    """Follows the view over a slide; ``ready`` says that :attr:`shown` is new."""

    ready = Signal()

    def __init__(self, jobs: Jobs, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._jobs = jobs
        self._shelved: Shelved | None = None
        self._view = CanvasView()
        self._asked: tuple[Box, int] | None = None
        self.shown: Closeup | None = None
        self._still = QTimer(self)
        self._still.setSingleShot(True)
        self._still.setInterval(_STILL_MS)
        self._still.timeout.connect(self._read)

    def follow(self, shelved: Shelved | None, view: CanvasView) -> None:
        """Say which picture is shown and how; what is needed is read once the view stands still."""
        if shelved is not self._shelved:
            self._shelved, self.shown, self._asked = shelved, None, None
        self._view = view
        if self._is_closer() and not self._is_covered():
            self._still.start()

    def _is_closer(self) -> bool:
        """Whether the view shows a slide closer than its overview does."""
        shelved = self._shelved
        if shelved is None or not isinstance(shelved.photo, Slide):
            return False
        return self._view.zoom * shelved.pyramid.factor > 1.0

    def _is_covered(self) -> bool:
        box, factor = box_in_sight(self._view, 0.0), factor_for(self._view.zoom)
        for known, at in filter(None, (self._asked, self._place())):
            inside = known[0] <= box[0] and known[1] <= box[1]
            if at == factor and inside and known[2] >= box[2] and known[3] >= box[3]:
                return True
        return False

    def _place(self) -> tuple[Box, int] | None:
        return None if self.shown is None else (self.shown.box, self.shown.factor)

    def _read(self) -> None:
        shelved = self._shelved
        if shelved is None or not isinstance(shelved.photo, Slide):
            return
        slide, stretch = shelved.photo, shelved.pyramid.stretch
        box, factor = box_in_sight(self._view, _AROUND), factor_for(self._view.zoom)
        self._asked = (box, factor)
        self._jobs.start(
            lambda progress: read_closeup(slide, box, factor, stretch, progress),
            lambda closeup: self._take(shelved, closeup),
            self._give_up,
            name="a closer look",
            priority=2,
        )

    def _take(self, shelved: Shelved, closeup: Closeup | None) -> None:
        if shelved is self._shelved and closeup is not None:
            self.shown = closeup
            self.ready.emit()

    def _give_up(self, error: CounterError) -> None:
        """Keep the overview: why the slide cannot be read is told when it is shown or counted."""
        del error
        self._asked = None


def box_in_sight(view: CanvasView, around: float) -> Box:
    """Return the part of the picture in sight (left, top, right, bottom), grown by a share of it"""
    seen = view.seen
    more_x, more_y = seen.width() * around, seen.height() * around
    left = max(0, int(seen.left() - more_x))
    top = max(0, int(seen.top() - more_y))
    right = min(view.picture_width_px, int(seen.right() + more_x) + 2)
    bottom = min(view.picture_height_px, int(seen.bottom() + more_y) + 2)
    return left, top, max(left + 1, right), max(top + 1, bottom)


def factor_for(zoom: float) -> int:
    """Return how many picture pixels, a power of two, may be one on the screen at ``zoom``."""
    factor = 1
    while zoom * factor * 2 <= 1.0:
        factor *= 2
    return factor


def read_closeup(
    slide: Slide, box: Box, factor: int, stretch: Stretch | None, progress: Progress
) -> Closeup | None:
    """Read a part of a slide; None where too much would have to be decoded for it."""
    left, top, right, bottom = box
    width, height = max(1, (right - left) // factor), max(1, (bottom - top) // factor)
    pixels = closeup_of(slide, box, factor, progress)
    if pixels is None:
        return None
    exact = (left, top, left + width * factor, top + height * factor)
    return closeup_image(pixels, exact, factor, stretch)
