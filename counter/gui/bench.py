"""What the window's panels share: the sample that is open, the field shown, the marks picked.

Nothing of the sample is kept here; it all lives in :class:`counter.session.Session`.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping

from PySide6.QtCore import QObject, Signal

from counter.domain.field import Field, PictureField
from counter.domain.mark import Mark
from counter.domain.sample import Sample
from counter.domain.tally_field import TallyField
from counter.errors import CounterError
from counter.gui.style import StageLook, stage_looks, stages_of
from counter.session import Session


class Bench(QObject):
    """The open sample, with what of it is shown and picked."""

    sample_changed = Signal()
    """Something was committed, undone or redone; or another sample was opened."""
    sample_opened = Signal()
    """Another sample was opened."""
    field_shown = Signal()
    """Another field is shown, or none."""
    picked_changed = Signal()
    told = Signal(str, bool)
    """(a sentence for the message strip, whether it is a problem)"""

    def __init__(self, session: Session, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._session = session
        self._field_id: int | None = None
        self._picked: frozenset[int] = frozenset()
        self._listen(session)
        self._show_first()

    # --- the sample

    @property
    def session(self) -> Session:
        """The open session."""
        return self._session

    @property
    def sample(self) -> Sample:
        """The sample as it stands now."""
        return self._session.sample

    def open(self, session: Session) -> None:
        """Go over to another sample; the one before is kept as it stands."""
        self._session.remove_listener(self._on_change)
        self._session = session
        self._listen(session)
        self._field_id, self._picked = None, frozenset()
        self._show_first()
        self.sample_opened.emit()
        self.sample_changed.emit()
        self.field_shown.emit()
        self.picked_changed.emit()

    def _listen(self, session: Session) -> None:
        session.add_listener(self._on_change)

    def _on_change(self) -> None:
        """Follow a change: the field may be gone, picked marks too."""
        if self.field is None:
            self._field_id = None
            self._show_first()
            self._picked = frozenset()
            self.sample_changed.emit()
            self.field_shown.emit()
            self.picked_changed.emit()
            return
        kept = self._picked & frozenset(self.marks)
        lost, self._picked = kept != self._picked, kept
        self.sample_changed.emit()
        if lost:
            self.picked_changed.emit()

    def attempt(self, gesture: Callable[[], object]) -> bool:
        """Run a gesture; a :class:`CounterError` goes to the message strip. Return whether it ran.

        Anything else is a bug and is not held up here.
        """
        try:
            gesture()
        except CounterError as error:
            self.tell_problem(str(error))
            return False
        return True

    def tell(self, sentence: str) -> None:
        """Say something in the message strip."""
        self.told.emit(sentence, False)

    def tell_problem(self, sentence: str) -> None:
        """Say in the message strip what is wrong and what to do."""
        self.told.emit(sentence, True)

    # --- the field that is shown

    @property
    def fields(self) -> tuple[Field, ...]:
        """Every field of the sample, in order."""
        return tuple(entry for filling in self.sample.fillings for entry in filling.fields)

    @property
    def field(self) -> Field | None:
        """The field that is shown."""
        wanted = self._field_id
        return next((entry for entry in self.fields if entry.field_id == wanted), None)

    @property
    def picture(self) -> PictureField | None:
        """The field that is shown, if it is a picture."""
        entry = self.field
        return entry if isinstance(entry, PictureField) else None

    @property
    def tally(self) -> TallyField | None:
        """The field that is shown, if it is a tally."""
        entry = self.field
        return entry if isinstance(entry, TallyField) else None

    def show(self, field_id: int) -> None:
        """Show a field; nothing is picked on it yet."""
        if field_id == self._field_id:
            return
        self._field_id, self._picked = field_id, frozenset()
        self.field_shown.emit()
        self.picked_changed.emit()

    def show_next(self, step: int) -> None:
        """Show the field ``step`` further on, round and round."""
        ids = [entry.field_id for entry in self.fields]
        if ids:
            at = ids.index(self._field_id) if self._field_id in ids else -step
            self.show(ids[(at + step) % len(ids)])

    def _show_first(self) -> None:
        fields = self.fields
        self._field_id = fields[0].field_id if fields else None

    # --- the marks

    @property
    def marks(self) -> Mapping[int, Mark]:
        """The marks of the picture that is shown; none for a tally."""
        picture = self.picture
        return picture.marks if picture is not None else {}

    @property
    def picked(self) -> frozenset[int]:
        """The mark_ids that are picked."""
        return self._picked

    @property
    def picked_marks(self) -> tuple[Mark, ...]:
        """The marks that are picked, in the order of their ids."""
        return tuple(self.marks[mark_id] for mark_id in sorted(self._picked))

    def pick(self, mark_ids: Iterable[int]) -> None:
        """Pick these marks instead of those picked before."""
        wanted = frozenset(mark_ids) & frozenset(self.marks)
        if wanted != self._picked:
            self._picked = wanted
            self.picked_changed.emit()

    def toggle(self, mark_id: int) -> None:
        """Pick one more mark, or let it go if it was picked."""
        self.pick(self._picked ^ {mark_id})

    @property
    def stages(self) -> tuple[str, ...]:
        """Every stage that a mark can be given here; the first has key 1."""
        return stages_of(self.sample.target)

    @property
    def looks(self) -> Mapping[str, StageLook]:
        """How each stage is drawn, also one that is only left from another target."""
        seen = {m.stage for entry in self.sample.picture_fields() for m in entry.marks.values()}
        return stage_looks([*self.stages, *sorted(seen)])
