"""Lets lenses learn while the technician goes on: corrected fields are surveyed behind."""

from __future__ import annotations

from PySide6.QtCore import QObject, QTimer, Signal

from counter.domain.field import PictureField
from counter.domain.lesson import Survey
from counter.domain.progress import Progress
from counter.domain.species import Target
from counter.errors import Cancelled, CounterError
from counter.gui.bench import Bench
from counter.gui.jobs import Jobs
from counter.gui.shelf import Shelf
from counter.imaging.prospects import survey
from counter.imaging.read import read_field
from counter.imaging.rescore import Rescorer
from counter.imaging.slide import AnyPhoto, Slide
from counter.session import Session
from counter.session.learning import Learning
from counter.session.learning_words import Told

PAUSE_MS = 400
"""How long after the last gesture its lesson is written: a gesture itself waits for nothing."""


class Learner(QObject):
    """Follows the open sample; one survey at a time, after everything that a person waits for."""

    changed = Signal()
    """Something may have been learnt, forgotten or switched."""

    def __init__(
        self,
        bench: Bench,
        jobs: Jobs,
        shelf: Shelf,
        learning: Learning,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._bench, self._jobs, self._shelf = bench, jobs, shelf
        self._learning = learning
        self._under_way = False
        self._given_up: set[tuple[int, int, float]] = set()
        self._pause = QTimer(self)
        self._pause.setSingleShot(True)
        self._pause.setInterval(PAUSE_MS)
        self._pause.timeout.connect(self.follow)
        bench.sample_changed.connect(self._pause.start)
        bench.sample_opened.connect(learning.refresh)
        self._pause.start()

    @property
    def is_busy(self) -> bool:
        """Whether a field is being surveyed, or a gesture not yet followed."""
        return self._under_way or self._pause.isActive()

    def follow(self) -> None:
        """Learn what the gestures so far teach; begin a survey where one is missing."""
        self._pause.stop()
        session = self._bench.session

        def run() -> None:
            self._learning.follow(session)
            if not self._under_way:
                self._begin(session)

        self._bench.attempt(run)
        self.changed.emit()

    def stop(self) -> None:
        """Write down what is not yet written; no survey is begun any more."""
        self._under_way = True
        if self._pause.isActive():
            self.follow()

    # --- what the counting queue and the panel ask

    def rescorer_for(self, session: Session) -> Rescorer | None:
        """Return what is used to count into a sample, up to the last gesture; None: nothing."""
        sample, found = session.sample, []

        def run() -> None:
            if sample.lens is not None:
                self._learning.follow(session)
                found.append(self._learning.rescorer(sample.lens, sample.target))

        self._bench.attempt(run)
        return found[0] if found else None

    def told(self) -> Told | None:
        """Return how far the lens of the open sample is; None where the records don't say."""
        sample, found = self._bench.sample, []
        self._bench.attempt(lambda: found.append(self._learning.told(sample.lens, sample.target)))
        return found[0] if found else None

    def use(self, in_use: bool) -> None:
        """Switch on or off that what the open sample's lens was taught is used."""
        lens = self._bench.sample.lens
        if lens is None:
            return
        if self._bench.attempt(lambda: self._learning.use(lens, in_use)):
            now = (
                "with what this lens has learnt" if in_use else "without what this lens has learnt"
            )
            self._bench.tell(f"From now on pictures are counted {now}; Ctrl+R counts one again.")
        self.changed.emit()

    def forget(self) -> None:
        """Forget all that the open sample's lens was taught."""
        lens = self._bench.sample.lens
        if lens is not None and self._bench.attempt(lambda: self._learning.forget(lens)):
            self._bench.tell(
                f"What the lens “{lens}” had learnt is forgotten; counts and corrections stay."
            )
        self.changed.emit()

    # --- surveys

    def _begin(self, session: Session) -> None:
        """Survey the first field that lacks it and can be read."""
        for entry in self._learning.to_survey(session):
            if _key(session, entry) not in self._given_up:
                self._survey(session, entry)
                return

    def _survey(self, session: Session, entry: PictureField) -> None:
        self._under_way = True
        target = session.sample.target
        shelved = self._shelf.kept((entry.picture.file, entry.picture.page))
        photo = None if shelved is None else shelved.photo
        self._jobs.start(
            lambda progress: surveyed(entry, photo, target, progress),
            lambda found: self._take(session, entry, found),
            lambda error: self._give_up(session, entry, error),
            priority=-2,
        )

    def _take(self, session: Session, entry: PictureField, found: Survey) -> None:
        self._under_way = False
        self._bench.attempt(lambda: self._learning.take(session, entry.field_id, found))
        self.follow()

    def _give_up(self, session: Session, entry: PictureField, error: CounterError) -> None:
        self._under_way = False
        self._given_up.add(_key(session, entry))
        if not isinstance(error, Cancelled):
            self._bench.tell(f"Nothing is learnt from {entry.picture.name}: {error}")
        self.follow()


def _key(session: Session, entry: PictureField) -> tuple[int, int, float]:
    return session.sample_id, entry.field_id, entry.picture.scale.um_per_px


def surveyed(
    entry: PictureField, photo: AnyPhoto | None, target: Target, progress: Progress
) -> Survey:
    """Survey a field's picture; ``photo`` is it where it is in memory. Runs off the thread."""
    picture = entry.picture
    progress.report(0.0, f"reading {picture.name}")
    shown = read_field(picture.file, picture.page) if photo is None else photo
    if isinstance(shown, Slide):
        raise CounterError(
            "it is a scanned slide; a lens is taught by single pictures that it has taken."
        )
    return survey(shown.with_scale(picture.scale.um_per_px), target, progress)
