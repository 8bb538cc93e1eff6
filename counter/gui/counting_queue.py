"""Pictures waiting to be counted, one after another in the background.

A picture without a scale waits apart until somebody says what a pixel is; the others go on. A
picture that cannot be read is named with its reason; the others go on.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from counter.domain.field import Picture, PictureField
from counter.domain.progress import Progress
from counter.domain.scale import Lens, Scale
from counter.domain.species import Target
from counter.errors import Cancelled, CounterError
from counter.gui.bench import Bench
from counter.gui.jobs import Jobs, Ticket
from counter.gui.shelf import PageKey, Shelf, Shelved, shelved_of
from counter.imaging.detect import detect
from counter.imaging.read import count_pages, picture_files, read_page
from counter.session import Session

METADATA = "metadata"


@dataclass(slots=True, eq=False)
class Place:
    """The filling that pages opened together go into; None until the first of them is counted."""

    is_folder: bool
    filling_id: int | None


@dataclass(frozen=True, slots=True)
class Waiting:
    """One page that is to be counted into a session."""

    key: PageKey
    session: Session
    place: Place
    scale: Scale | None = None

    @property
    def name(self) -> str:
        """The page's name for people."""
        file, page = self.key
        return Path(file).name if page == 0 else f"{Path(file).name} · page {page + 1}"


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """What a job brought back: a field, or None where the picture has no scale yet."""

    shelved: Shelved
    field: PictureField | None


class CountingQueue(QObject):
    """Counts pictures into the open sample; signals arrive in the window's thread."""

    advanced = Signal(int, int, float, str)
    """(pages done, pages in all, share of the one under way, its step in words)"""
    scale_wanted = Signal()
    """Some picture in :attr:`without_scale` is new."""
    idle = Signal()

    def __init__(
        self,
        bench: Bench,
        jobs: Jobs,
        shelf: Shelf,
        lens_of: Callable[[str], Lens | None],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._bench, self._jobs, self._shelf = bench, jobs, shelf
        self._lens_of = lens_of
        self._queue: deque[Waiting] = deque()
        self._now: Waiting | None = None
        self._ticket: Ticket[Outcome] | None = None
        self._listing = 0
        self._done = 0
        self.without_scale: list[Waiting] = []

    @property
    def is_busy(self) -> bool:
        """Whether anything is being counted or looked up."""
        return self._now is not None or self._listing > 0 or bool(self._queue)

    def add(self, paths: Sequence[str], scale: Scale | None = None) -> None:
        """Count these files and folders into the open sample.

        Files named outright go into the last filling; each folder with pictures is a filling of
        its own. Pages that are in the sample already are left out and named.
        """
        session = self._bench.session
        self._listing += 1
        self._jobs.start(
            lambda progress: _pages_of(paths, progress),
            lambda groups: self._on_listed(groups, session, scale),
            self._on_listing_failed,
        )

    def give_scale(self, scale: Scale) -> None:
        """Count every picture that waited for a scale with this one."""
        waiting, self.without_scale = self.without_scale, []
        for entry in waiting:
            self._queue.append(replace(entry, scale=scale))
        self._go_on()

    def drop_without_scale(self) -> None:
        """Give up the pictures that wait for a scale."""
        self.without_scale = []

    def stop(self) -> None:
        """Stop counting; what is counted stays, and what waited is given up."""
        self._queue.clear()
        if self._ticket is not None:
            self._ticket.cancel()

    # --- the steps

    def _on_listed(self, groups: Sequence[_Group], session: Session, scale: Scale | None) -> None:
        self._listing -= 1
        for problem in (group.problem for group in groups if group.problem):
            self._bench.tell_problem(problem)
        known = _keys_in(session) | {entry.key for entry in self._all_waiting()}
        for group in groups:
            fresh = [key for key in group.keys if _resolved(key) not in known]
            doubles = len(group.keys) - len(fresh)
            if doubles:
                self._bench.tell_problem(
                    f"{doubles} of the pictures opened {'is' if doubles == 1 else 'are'} in this "
                    "sample already and not counted twice; remove the field first to count anew."
                )
            place = self._place_for(group, session)
            for key in fresh:
                known.add(_resolved(key))
                self._queue.append(Waiting(key, session, place, scale))
        self._go_on()

    def _place_for(self, group: _Group, session: Session) -> Place:
        """A folder is a filling of its own; files named outright join those before them."""
        if group.is_folder:
            return Place(True, None)
        for entry in self._all_waiting():
            if entry.session is session and not entry.place.is_folder:
                return entry.place
        fillings = session.sample.fillings
        return Place(False, fillings[-1].filling_id if fillings else None)

    def _on_listing_failed(self, error: CounterError) -> None:
        self._listing -= 1
        self._bench.tell_problem(str(error))
        self._go_on()

    def _all_waiting(self) -> list[Waiting]:
        now = [self._now] if self._now is not None else []
        return [*now, *self._queue, *self.without_scale]

    def _go_on(self) -> None:
        if self._now is not None:
            return
        if not self._queue:
            if self._listing == 0:
                self._done = 0
                self.idle.emit()
            return
        entry = self._now = self._queue.popleft()
        sample = entry.session.sample
        scale = entry.scale
        if scale is None and sample.lens is not None:
            lens = self._lens_of(sample.lens)
            scale = lens.scale() if lens is not None else None
        target = sample.target
        self._report(0.0, f"reading {entry.name}")
        self._ticket = self._jobs.start(
            lambda progress: count_page(entry.key, target, scale, progress),
            lambda outcome: self._on_counted(entry, outcome),
            lambda error: self._on_failed(entry, error),
            self._report,
        )

    def _report(self, fraction: float, what: str) -> None:
        total = self._done + len(self._queue) + (self._now is not None)
        self.advanced.emit(self._done, total, fraction, what)

    def _on_counted(self, entry: Waiting, outcome: Outcome) -> None:
        self._now = self._ticket = None
        self._done += 1
        self._shelf.put(entry.key, outcome.shelved)
        field = outcome.field
        if field is None:
            self.without_scale.append(entry)
            self.scale_wanted.emit()
        else:
            self._keep(entry, field)
        self._go_on()

    def _keep(self, entry: Waiting, field: PictureField) -> None:
        """Commit a counted picture; the first one of a sample is shown at once."""
        was_empty = not self._bench.fields

        def commit() -> None:
            ids = _add(entry, field)
            if was_empty and entry.session is self._bench.session:
                self._bench.show(ids[0])

        self._bench.attempt(commit)
        for warning in field.picture.warnings:
            self._bench.tell_problem(f"{entry.name}: {warning}")

    def _on_failed(self, entry: Waiting, error: CounterError) -> None:
        self._now = self._ticket = None
        self._done += 1
        if isinstance(error, Cancelled):
            self._bench.tell(str(error))
        else:
            self._bench.tell_problem(f"{entry.name} was not counted: {error}")
        self._go_on()


def _add(entry: Waiting, field: PictureField) -> tuple[int, ...]:
    """Commit a field into its filling, which is begun by the first field that needs it."""
    session, place = entry.session, entry.place
    fillings = session.sample.fillings
    if place.filling_id is None and fillings:
        is_empty = not fillings[-1].fields
        place.filling_id = fillings[-1].filling_id if is_empty else session.add_filling()
    ids = session.add_picture_fields([field], place.filling_id)
    place.filling_id = next(
        filling.filling_id
        for filling in session.sample.fillings
        if any(entry.field_id in ids for entry in filling.fields)
    )
    return ids


@dataclass(frozen=True, slots=True)
class _Group:
    """Pages that belong to one filling, or the reason why there are none."""

    keys: tuple[PageKey, ...]
    is_folder: bool
    problem: str = ""


def _pages_of(paths: Sequence[str], progress: Progress) -> list[_Group]:
    """Return the pages of these files and folders, each folder with pictures a group."""
    groups: list[_Group] = []
    loose: list[PageKey] = []
    for path in paths:
        try:
            files = picture_files([path])
        except CounterError as error:
            groups.append(_Group((), True, str(error)))
            continue
        if not Path(path).is_dir():
            loose += _pages(files, groups, progress)
            continue
        for folder in dict.fromkeys(file.parent for file in files):
            inside = [file for file in files if file.parent == folder]
            groups.append(_Group(tuple(_pages(inside, groups, progress)), True))
    return [*([_Group(tuple(loose), False)] if loose else []), *groups]


def _pages(files: Sequence[Path], groups: list[_Group], progress: Progress) -> list[PageKey]:
    keys: list[PageKey] = []
    for file in files:
        progress.report(0.0, f"looking into {file.name}")
        try:
            keys += [(str(file.absolute()), page) for page in range(count_pages(file))]
        except CounterError as error:
            groups.append(_Group((), False, str(error)))
    return keys


def count_page(key: PageKey, target: Target, scale: Scale | None, progress: Progress) -> Outcome:
    """Read one page and count it; runs off the window's thread.

    ``scale`` None: the file's own metadata; where it has none, nothing is counted yet. The field
    has id 0, the session gives the real one.
    """
    progress.report(0.0, f"reading {Path(key[0]).name}")
    photo = read_page(*key)
    if scale is None and photo.metadata_um_per_px is not None:
        scale = Scale(photo.metadata_um_per_px, METADATA)
    shelved = shelved_of(photo)
    if scale is None:
        return Outcome(shelved, None)
    detection = detect(photo.with_scale(scale.um_per_px), target, progress)
    picture = Picture(
        file=key[0],
        page=key[1],
        width_px=photo.width_px,
        height_px=photo.height_px,
        scale=scale,
        area_mm2=detection.area_mm2,
        warnings=(*photo.warnings, *detection.warnings),
    )
    return Outcome(shelved, PictureField(0, picture, {m.mark_id: m for m in detection.marks}))


def _resolved(key: PageKey) -> PageKey:
    return str(Path(key[0]).resolve()), key[1]


def _keys_in(session: Session) -> set[PageKey]:
    """Return the pages that are in a sample already."""
    return {
        _resolved((field.picture.file, field.picture.page))
        for field in session.sample.picture_fields()
    }
