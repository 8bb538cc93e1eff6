"""What lenses are taught by the corrections of open samples, and what is used of it.

A field that was corrected or looked through is surveyed once (all that the finder sees on it, which
takes its picture); what the corrections say of that follows from the sample's events alone, so that
every later gesture, undo included, is followed without the picture. No Qt.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from counter.domain.field import PictureField
from counter.domain.lesson import Lesson, Survey
from counter.domain.species import Target
from counter.domain.teaching import Handled, handled, still_taught, taught
from counter.imaging.net import NoNetworkError
from counter.imaging.relearn import Learnt, learnt
from counter.imaging.rescore import Rescorer, are_alike, network_version
from counter.records.store import Store
from counter.session.core import SessionCore
from counter.session.learning_words import NO_LENS, NO_NETWORK, Told, in_words

NOTHING_DONE = Handled()


@dataclass(frozen=True, slots=True)
class _Followed:
    """What a lesson was last derived from."""

    entry: PictureField
    by_hand: Handled
    lens: str


class Learning:
    """The lessons of a hatchery's lenses. Use it from the thread of its store."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._sample_id: int | None = None
        self._lessons: dict[int, Lesson] = {}
        self._followed: dict[int, _Followed] = {}
        self._learnt: dict[tuple[str, Target], Learnt] = {}

    # --- being taught

    def follow(self, session: SessionCore) -> None:
        """Bring what the open sample teaches to what it is now.

        Without a lens it teaches nothing.
        """
        self._open(session)
        lens = session.sample.lens
        if lens is None:
            self._drop_all()
            return
        by_hand = self._by_hand(session, lens)
        fields = {entry.field_id: entry for entry in session.sample.picture_fields()}
        changed = []
        for field_id, lesson in self._lessons.items():
            entry, done = fields.get(field_id), by_hand.get(field_id, NOTHING_DONE)
            if entry is not None and self._followed.get(field_id) == _Followed(entry, done, lens):
                continue
            new = _lesson_now(lesson, entry, done, lens, session.sample.target)
            self._followed.pop(field_id, None)
            if entry is not None:
                self._followed[field_id] = _Followed(entry, done, lens)
            if new != lesson:
                changed.append(new)
        self._save(changed)

    def to_survey(self, session: SessionCore) -> tuple[PictureField, ...]:
        """Return the fields that would teach something once they are surveyed, in order."""
        self._open(session)
        lens, target = session.sample.lens, session.sample.target
        network = _network()
        if lens is None or network is None:
            return ()
        by_hand = self._by_hand(session, lens)
        return tuple(
            entry
            for entry in session.sample.picture_fields()
            if by_hand.get(entry.field_id, NOTHING_DONE).teaches
            and not _holds(self._lessons.get(entry.field_id), entry, target, network)
        )

    def take(self, session: SessionCore, field_id: int, survey: Survey) -> None:
        """Keep a survey of a field, and learn from it what is to be learnt."""
        self._open(session)
        lens = session.sample.lens
        if lens is None:
            return
        self._lessons[field_id] = Lesson(session.sample_id, field_id, lens, survey)
        self._followed.pop(field_id, None)
        self._save([self._lessons[field_id]])
        self.follow(session)

    # --- what was learnt

    def learnt(self, lens: str, target: Target) -> Learnt:
        """Return what a lens was taught about such a target, whether it is used or not."""
        key = (lens, target)
        if key not in self._learnt:
            network = _network() or ""
            examples = [
                example
                for lesson in self._store.lessons_with(lens, network, target.kind)
                if are_alike(lesson.survey.low_um, target.low_um)
                for example in lesson.examples()
            ]
            self._learnt[key] = learnt(lens, network, target.kind, target.low_um, examples)
        return self._learnt[key]

    def rescorer(self, lens: str | None, target: Target) -> Rescorer | None:
        """Return what is used for a count with this lens: None where there is nothing to use."""
        if lens is None or not self._store.uses_lessons(lens):
            return None
        return self.learnt(lens, target).rescorer

    def told(self, lens: str | None, target: Target) -> Told:
        """Return in words how far a lens is with learning; None: no lens was chosen."""
        if lens is None:
            return Told(NO_LENS)
        network = _network()
        if network is None:
            return Told(NO_NETWORK)
        counts = self._store.lesson_counts(lens)
        earlier = sum(c.corrections for c in counts if c.network != network)
        is_on = self._store.uses_lessons(lens)
        return in_words(self.learnt(lens, target), earlier, is_on, bool(counts))

    def use(self, lens: str, in_use: bool) -> None:
        """Switch on or off that what this lens was taught is used."""
        self._store.use_lessons(lens, in_use)

    def forget(self, lens: str) -> None:
        """Forget all that a lens was taught; samples and their corrections stay."""
        self._store.forget_lessons(lens)
        self._sample_id = None
        self._learnt.clear()

    def refresh(self) -> None:
        """Read anew what other windows and commands have written."""
        self._sample_id = None
        self._learnt.clear()

    # --- help

    def _open(self, session: SessionCore) -> None:
        if self._sample_id == session.sample_id:
            return
        self._lessons = {
            lesson.field_id: lesson for lesson in self._store.lessons_of(session.sample_id)
        }
        self._followed.clear()
        self._learnt.clear()
        self._sample_id = session.sample_id

    def _by_hand(self, session: SessionCore, lens: str) -> Mapping[int, Handled]:
        return handled(session.standing, self._store.forgotten_up_to(lens, session.sample_id))

    def _save(self, lessons: list[Lesson]) -> None:
        if lessons:
            self._store.save_lessons(lessons)
            self._lessons.update((lesson.field_id, lesson) for lesson in lessons)
            self._learnt.clear()

    def _drop_all(self) -> None:
        self._store.drop_lessons(tuple(self._lessons.values()))
        self._lessons.clear()
        self._followed.clear()
        self._learnt.clear()


def _network() -> str | None:
    """Return the version of the network that is installed; None where it cannot be read."""
    try:
        return network_version()
    except NoNetworkError:
        return None


def _lesson_now(
    lesson: Lesson, entry: PictureField | None, by_hand: Handled, lens: str, target: Target
) -> Lesson:
    """Return the lesson as the sample stands; what no longer fits its survey teaches nothing."""
    if entry is None or not _is_of(lesson.survey, entry, target):
        return replace(lesson, lens=lens, taught=())
    said = {each.index: each for each in still_taught(lesson.taught, by_hand)}
    if by_hand.teaches:
        said |= {each.index: each for each in taught(lesson.survey, entry, by_hand)}
    return replace(lesson, lens=lens, taught=tuple(said[index] for index in sorted(said)))


def _is_of(survey: Survey, entry: PictureField, target: Target) -> bool:
    """Whether a survey was made at the scale of a field and for what is counted on it."""
    return (survey.um_per_px, survey.kind, survey.low_um, survey.high_um) == (
        entry.picture.scale.um_per_px,
        target.kind,
        target.low_um,
        target.high_um,
    )


def _holds(lesson: Lesson | None, entry: PictureField, target: Target, network: str) -> bool:
    """Whether a field has a survey that can be learnt from."""
    if lesson is None or lesson.survey.network != network:
        return False
    return _is_of(lesson.survey, entry, target)
