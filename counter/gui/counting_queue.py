"""Pictures waiting to be counted, one after another in the background.

A picture without a scale waits apart until somebody says what a pixel is; the others go on. A
picture that cannot be read is named with its reason; the others go on.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

from PySide6.QtCore import QObject, Signal

from counter.domain.field import PictureField
from counter.domain.scale import Lens, Scale
from counter.errors import Cancelled, CounterError
from counter.gui.bench import Bench
from counter.gui.jobs import Jobs, Ticket
from counter.gui.page_groups import Group, pages_of
from counter.gui.page_job import Outcome, count_page
from counter.gui.shelf import Shelf
from counter.gui.waiting import Place, Waiting, kept_in_sample, keys_in, resolved
from counter.imaging.rescore import Rescorer
from counter.session import Session


class CountingQueue(QObject):
    """Counts pictures into the open sample; signals arrive in the window's thread."""

    advanced = Signal(int, int, float, str)
    """(pages done, pages in all, share of the one under way, its step in words)"""
    scale_wanted = Signal()
    """Some picture in :attr:`without_scale` is new."""
    begun = Signal()
    """A picture is being counted now."""
    idle = Signal()

    def __init__(
        self,
        bench: Bench,
        jobs: Jobs,
        shelf: Shelf,
        lens_of: Callable[[str], Lens | None],
        rescorer_for: Callable[[Session], Rescorer | None],
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._bench, self._jobs, self._shelf = bench, jobs, shelf
        self._lens_of, self._rescorer_for = lens_of, rescorer_for
        self._queue: deque[Waiting] = deque()
        self._now: Waiting | None = None
        self._ticket: Ticket[Outcome] | None = None
        self._listing = 0
        self._done = 0
        self._failed: dict[int, list[tuple[str, str]]] = {}
        self.without_scale: list[Waiting] = []

    @property
    def is_busy(self) -> bool:
        """Whether anything is being counted or looked up."""
        return self._now is not None or self._listing > 0 or bool(self._queue)

    def add(self, paths: Sequence[str], scale: Scale | None = None, again: bool = False) -> None:
        """Count these files and folders into the open sample.

        Files named outright go into the last filling; each folder with pictures is a filling of
        its own. Pages that are in the sample already are left out, and that is said, unless they
        are taken up ``again`` after a restart.
        """
        session = self._bench.session
        self._listing += 1
        self._jobs.start(
            lambda progress: pages_of(paths, progress),
            lambda groups: self._on_listed(groups, session, scale, again),
            self._on_listing_failed,
        )

    def waiting_files(self) -> dict[str, list[str]]:
        """Return the files that wait, by sample_id; the one under work is not among them."""
        files: dict[str, list[str]] = {}
        for entry in (*self._queue, *self.without_scale):
            if entry.field_id is None:
                known = files.setdefault(str(entry.session.sample_id), [])
                if entry.key[0] not in known:
                    known.append(entry.key[0])
        return files

    def recount(self, field: PictureField) -> None:
        """Count the page of a field again, at the scale that the field has."""
        key = (field.picture.file, field.picture.page)
        place = Place(False, None)
        session, scale = self._bench.session, field.picture.scale
        self._queue.append(Waiting(key, session, place, scale, field.field_id))
        self._go_on()

    def give_scale(self, scale: Scale) -> None:
        """Count every picture that waited for a scale with this one."""
        waiting, self.without_scale = self.without_scale, []
        for entry in waiting:
            self._queue.append(replace(entry, scale=scale))
        self._go_on()

    def failed(self, session: Session) -> list[tuple[str, str]]:
        """Return (file, reason) of each picture that could not be counted into a sample."""
        return list(self._failed.get(session.sample_id, ()))

    def stop(self) -> None:
        """Stop counting; what is counted stays, and what waited is given up."""
        self._queue.clear()
        if self._ticket is not None:
            self._ticket.cancel()

    # --- the steps

    def _on_listed(
        self, groups: Sequence[Group], session: Session, scale: Scale | None, again: bool
    ) -> None:
        self._listing -= 1
        for group in groups:
            if group.problem:
                self._note_failure(session, group.path, group.problem)
        known = keys_in(session) | {entry.key for entry in self._all_waiting()}
        for group in groups:
            fresh = [key for key in group.keys if resolved(key) not in known]
            doubles = len(group.keys) - len(fresh)
            if doubles and not again:
                self._bench.tell_problem(
                    f"{doubles} of the pictures opened {'is' if doubles == 1 else 'are'} in this "
                    "sample already and not counted twice; remove the field first to count anew."
                )
            place = self._place_for(group, session)
            for key in fresh:
                known.add(resolved(key))
                self._queue.append(Waiting(key, session, place, scale))
        self._go_on()

    def _note_failure(self, session: Session, path: str, problem: str) -> None:
        """Keep what could not be counted, and say it: the file's name and the reason."""
        reason = problem.removeprefix(f"{path}: ")
        self._failed.setdefault(session.sample_id, []).append((path, reason))
        other = "" if session is self._bench.session else f" into {session.sample.name}"
        self._bench.tell_problem(f"{Path(path).name} was not counted{other}: {reason}")

    def _place_for(self, group: Group, session: Session) -> Place:
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
        wanted: Scale | Lens | None = entry.scale
        if wanted is None and sample.lens is not None:
            wanted = self._lens_of(sample.lens)
        target = sample.target
        rescorer = self._rescorer_for(entry.session)
        self._report(0.0, f"reading {entry.name}")
        self.begun.emit()
        self._ticket = self._jobs.start(
            lambda progress: count_page(entry.key, target, wanted, progress, rescorer),
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
            ids = kept_in_sample(entry, field)
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
            self._note_failure(entry.session, entry.key[0], str(error))
        self._go_on()
