"""The pictures that are in memory: read and made ready for the screen off the window's thread."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass

from PySide6.QtCore import QObject, Signal
from PySide6.QtGui import QImage

from counter.domain.progress import Part, Progress
from counter.errors import CounterError
from counter.gui.jobs import Jobs
from counter.gui.pixels import Pyramid, pyramid_of, pyramid_of_overview
from counter.imaging.overview import overview_of
from counter.imaging.photo import Photo
from counter.imaging.read import read_field
from counter.imaging.slide import AnyPhoto

_KEPT = 3

PageKey = tuple[str, int]
"""A file's path and the page in it."""


@dataclass(frozen=True, slots=True, eq=False)
class Shelved:
    """A picture in memory: its pixels for measuring, its images for the screen.

    Of a slide that is too large for that, its overview, and where its regions are read.
    """

    photo: AnyPhoto
    pyramid: Pyramid


def shelved_of(photo: AnyPhoto, progress: Progress) -> Shelved:
    """Make a photo, or the overview of a slide, ready for the screen."""
    if isinstance(photo, Photo):
        return Shelved(photo, pyramid_of(photo))
    overview = overview_of(photo, progress)
    return Shelved(photo, pyramid_of_overview(overview, photo.width_px, photo.height_px))


class Shelf(QObject):
    """Keeps the last few pictures and the thumbnails of all; the last one asked for comes first."""

    ready = Signal(str, int)
    missing = Signal(str, int, str)
    """(file, page, why it cannot be shown)"""
    thumbnail_ready = Signal(str, int)

    def __init__(self, jobs: Jobs, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._jobs = jobs
        self._kept: OrderedDict[PageKey, Shelved] = OrderedDict()
        self._thumbnails: dict[PageKey, QImage] = {}
        self._asked: set[PageKey] = set()
        self.unreadable: dict[PageKey, str] = {}

    def picture(self, key: PageKey) -> Shelved | None:
        """Return a picture if it is in memory; else it is read, and ``ready`` says when it is."""
        if key in self._kept:
            self._kept.move_to_end(key)
            return self._kept[key]
        self._jobs.start(
            lambda progress: _read(key, progress),
            lambda shelved: self.put(key, shelved),
            lambda error: self._on_failed(key, error),
            name="picture on the screen",
            priority=1,
        )
        return None

    def kept(self, key: PageKey) -> Shelved | None:
        """Return a picture if it is in memory; nothing is read."""
        return self._kept.get(key)

    def thumbnail(self, key: PageKey) -> QImage | None:
        """Return a thumbnail if there is one; else it is made, and ``thumbnail_ready`` follows."""
        if key not in self._thumbnails and key not in self._asked:
            self._asked.add(key)
            self._jobs.start(
                lambda progress: self._made(key, progress),
                lambda image: self._put_thumbnail(key, image),
                lambda error: self.unreadable.update({key: str(error)}),
                priority=-1,
            )
        return self._thumbnails.get(key)

    def _made(self, key: PageKey, progress: Progress) -> QImage:
        """Return a thumbnail; of a picture that was read meanwhile, without reading it again."""
        made = self._thumbnails.get(key)
        return _read(key, progress).pyramid.thumbnail if made is None else made

    def put(self, key: PageKey, shelved: Shelved) -> None:
        """Keep a picture that was read anyway, letting go of the oldest."""
        self.unreadable.pop(key, None)
        self._kept[key] = shelved
        self._kept.move_to_end(key)
        while len(self._kept) > _KEPT:
            self._kept.popitem(last=False)
        self._put_thumbnail(key, shelved.pyramid.thumbnail)
        self.ready.emit(*key)

    def _put_thumbnail(self, key: PageKey, image: QImage) -> None:
        self._asked.add(key)
        self._thumbnails[key] = image
        self.thumbnail_ready.emit(*key)

    def _on_failed(self, key: PageKey, error: CounterError) -> None:
        self.unreadable[key] = str(error)
        self.missing.emit(*key, str(error))


def _read(key: PageKey, progress: Progress) -> Shelved:
    progress.report(0.0, f"reading {key[0]}")
    photo = read_field(*key)
    progress.report(0.7, "making it ready for the screen")
    return shelved_of(photo, Part(progress, 0.7, 1.0))
