"""What a correcting technician does on the picture, turned into gestures of the session."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QObject

from counter.domain import flags
from counter.domain.field import PictureField
from counter.domain.mark import Mark, Point
from counter.domain.meeting import crosses, lies_on
from counter.domain.species import Target
from counter.errors import CounterError, UsageError
from counter.gui.bench import Bench
from counter.gui.shelf import Shelf
from counter.gui.style import stage_name
from counter.imaging import gestures, states
from counter.imaging.slide import AnyPhoto, PlainRegions, Slide


def doubt(mark: Mark) -> tuple[int, float, int]:
    """Return a sorting key that puts the mark which most needs a look first.

    Flagged doubtful or as a group before all others, then those whose proposed state is doubtful,
    then what the detector is least sure of.
    """
    asks = {flags.DOUBTFUL.key, flags.CLUMP.key}
    if mark.flags & asks:
        return (0, mark.score, mark.mark_id)
    if mark.has_doubtful_state and mark.proposal is not None:
        return (1, mark.proposal.score, mark.mark_id)
    return (2, mark.score, mark.mark_id)


class Corrections(QObject):
    """Runs gestures on the picture that is shown; a refused one is told, nothing changes."""

    def __init__(self, bench: Bench, shelf: Shelf, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._bench, self._shelf = bench, shelf

    # --- what is picked

    def pick(self, mark_id: int, add: bool) -> None:
        """Pick a mark (0: the ground, which lets go of all), or add it to those picked."""
        if mark_id == 0:
            if not add:
                self._bench.pick(())
        elif add:
            self._bench.toggle(mark_id)
        else:
            self._bench.pick((mark_id,))

    def pick_next(self, step: int) -> Mark | None:
        """Pick the mark ``step`` further on in the order of doubt; return it, None without any.

        Those that the borders leave out come last: they change no number.
        """
        field, edges = self._bench.picture, self._bench.sample.edges
        ordered = sorted(
            self._bench.marks.values(),
            key=lambda mark: (field is None or not field.is_counted(mark, edges), doubt(mark)),
        )
        if not ordered:
            return None
        ids = [mark.mark_id for mark in ordered]
        picked = [mark_id for mark_id in ids if mark_id in self._bench.picked]
        at = ids.index(picked[-1]) if picked else (-1 if step > 0 else 0)
        mark = ordered[(at + step) % len(ordered)]
        self._bench.pick((mark.mark_id,))
        return mark

    # --- gestures

    def place(self, x_px: float, y_px: float) -> None:
        """Add a mark for the body at this place and pick it."""

        def run(field: PictureField) -> None:
            photo = self._photo(field, pixels=True)
            (mark,) = self._looked_at(field, gestures.mark_at(photo, self._target, x_px, y_px))
            mark_id = self._bench.session.add_mark(field.field_id, mark)
            self._bench.pick((mark_id,))

        self._on_picture(run)

    def remove(self) -> None:
        """Remove the marks that are picked."""
        picked = self._bench.picked
        self._on_picture(lambda f: self._bench.session.remove_marks(f.field_id, sorted(picked)))

    def move(self, dx_px: float, dy_px: float) -> None:
        """Move the marks that are picked."""

        def run(field: PictureField) -> None:
            photo = self._photo(field)
            for mark in self._bench.picked_marks:
                (moved,) = self._looked_at(field, gestures.moved(mark, dx_px, dy_px, photo))
                self._bench.session.move_mark(field.field_id, mark.mark_id, moved)

        self._on_picture(run)

    def cut(self, a: Point, b: Point) -> None:
        """Cut the mark that the line runs across; the picked one, if it runs across several."""

        def run(field: PictureField) -> None:
            mark = self._mark_to_cut(a, b)
            halves = gestures.cut(mark, self._photo(field), self._target, a, b)
            parts = self._looked_at(field, *halves)
            ids = self._bench.session.split_mark(field.field_id, mark.mark_id, parts)
            self._bench.pick(ids)

        self._on_picture(run)

    def join(self) -> None:
        """Make one mark of those that are picked."""

        def run(field: PictureField) -> None:
            marks = self._bench.picked_marks
            whole = gestures.join(marks, self._photo(field), self._target)
            (joined,) = self._looked_at(field, whole)
            ids = [mark.mark_id for mark in marks]
            self._bench.pick((self._bench.session.join_marks(field.field_id, ids, joined),))

        self._on_picture(run)

    def outline(self, points: Sequence[Point]) -> None:
        """Give the one mark that is picked this outline; add a new mark where none is picked there.

        A mark that was picked elsewhere, by the step before, is not what the stroke is meant for.
        """

        def run(field: PictureField) -> None:
            outline = gestures.redrawn(points, self._photo(field), self._target)
            (drawn,) = self._looked_at(field, outline)
            session = self._bench.session
            picked = self._bench.picked_marks
            if len(picked) == 1 and lies_on(drawn, picked[0]):
                session.reshape_mark(field.field_id, picked[0].mark_id, drawn)
            else:
                self._bench.pick((session.add_mark(field.field_id, drawn),))

        self._on_picture(run)

    def stage(self, number: int) -> None:
        """Give the picked marks the stage with this number, counted from 1."""
        stages = self._bench.stages

        def run(field: PictureField) -> None:
            if number > len(stages):
                raise UsageError(
                    f"There is no stage {number}; this target has {len(stages)}: "
                    f"{', '.join(stages)}."
                )
            ids = self._picked_ids("stage")
            self._bench.session.stage_marks(field.field_id, ids, stages[number - 1])
            self._bench.tell(f"{len(ids)} staged as {stage_name(stages[number - 1])}.")

        self._on_picture(run)

    def state(self, state: str | None) -> None:
        """Say what the picked marks are: live, dead …; None takes it back."""
        self._on_picture(
            lambda field: self._bench.session.set_state(
                field.field_id, self._picked_ids("state"), state
            )
        )

    def accept(self) -> None:
        """Say of the picked marks what is proposed for each."""

        def run(field: PictureField) -> None:
            ids = self._picked_ids("state")
            accepted = self._bench.session.accept_proposals(field.field_id, ids)
            self._bench.tell(
                f"{accepted} accepted."
                if accepted
                else "Nothing is proposed for what is picked; say what it is with V, D, F or U."
            )

        self._on_picture(run)

    def accept_sure(self) -> None:
        """Accept every proposal of the field that is not doubtful; tell what is left to look at."""

        def run(field: PictureField) -> None:
            waiting = [m for m in field.marks.values() if m.proposed_state is not None]
            sure = [mark.mark_id for mark in waiting if not mark.has_doubtful_state]
            accepted = self._bench.session.accept_proposals(field.field_id, sure)
            left = len(waiting) - accepted
            rest = f"; {left} doubtful: N goes to the first" if left else ""
            self._bench.tell(f"{accepted} accepted{rest}." if waiting else "Nothing is proposed.")

        self._on_picture(run)

    def switch_reviewed(self) -> None:
        """Say that the field was looked through, or take it back."""
        self._on_picture(
            lambda field: self._bench.session.set_reviewed(field.field_id, not field.reviewed)
        )

    # --- help

    @property
    def _target(self) -> Target:
        return self._bench.sample.target

    def _on_picture(self, run: Callable[[PictureField], object]) -> None:
        field = self._bench.picture
        if field is None:
            self._bench.tell("No picture is shown; open one with Ctrl+O.")
        else:
            self._bench.attempt(lambda: run(field))

    def _picked_ids(self, what: str) -> list[int]:
        if not self._bench.picked:
            raise UsageError(f"No mark is picked; press one, or N for the next, then its {what}.")
        return sorted(self._bench.picked)

    def _mark_to_cut(self, a: Point, b: Point) -> Mark:
        crossed = [mark for mark in self._bench.marks.values() if crosses(mark, a, b)]
        if len(self._bench.picked) == 1:
            picked = self._bench.picked_marks[0]
            if picked in crossed or len(crossed) != 1:
                return picked
        if len(crossed) != 1:
            raise UsageError(
                "Draw the line across one mark, or pick the mark first and then cut it."
            )
        return crossed[0]

    def _looked_at(self, field: PictureField, *marks: Mark) -> list[Mark]:
        """Return new marks with what is proposed of their state, if the picture is at hand."""
        picture = field.picture
        shelved = self._shelf.kept((picture.file, picture.page))
        if shelved is None:
            return list(marks)
        photo = shelved.photo.with_scale(picture.scale.um_per_px)
        return [states.looked_at(photo, mark, self._target) for mark in marks]

    def _photo(self, field: PictureField, pixels: bool = False) -> AnyPhoto:
        """Return the picture's photo; plain grey of its size where only the size is needed.

        ``pixels``: they are needed; CounterError while the picture is still being read. Where its
        file cannot be read any more, plain grey stands in: nothing stands out on it, so that a
        mark placed there gets the usual outline.
        """
        picture = field.picture
        key = (picture.file, picture.page)
        shelved = self._shelf.kept(key)
        if shelved is not None:
            return shelved.photo.with_scale(picture.scale.um_per_px)
        if pixels and key not in self._shelf.unreadable:
            raise CounterError(f"{picture.name} is still being read; try again in a moment.")
        plain = PlainRegions(picture.width_px, picture.height_px)
        shown = Slide(plain, file=picture.file, page=picture.page)
        return shown.with_scale(picture.scale.um_per_px)
