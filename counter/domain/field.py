"""A field: a picture with its marks, or squares tallied by eye; it knows what is counted in it."""

from __future__ import annotations

from array import array
from collections import Counter
from collections.abc import Collection, Mapping
from dataclasses import dataclass, field, replace

from counter.domain.carried import Change, Lengths
from counter.domain.classes import class_of
from counter.domain.edges import EdgeRule, is_counted
from counter.domain.mark import Mark
from counter.domain.picture import Picture
from counter.domain.proposed import Told, told_of
from counter.domain.ruled import RuledSquare
from counter.domain.tally_field import TallyField


@dataclass(frozen=True, slots=True)
class Compared:
    """What the machine counted on a picture, and what a person made of it.

    ``found`` of the machine's marks counted, ``kept`` of them still do; ``counted`` count now.
    """

    found: int
    kept: int
    counted: int

    @property
    def removed(self) -> int:
        """How many of the machine's marks a person took away."""
        return self.found - self.kept

    @property
    def added(self) -> int:
        """How many a person added that the machine had missed."""
        return self.counted - self.kept


@dataclass(frozen=True, slots=True)
class PictureField:
    """A picture and the marks on it, by ``mark_id``; ``reviewed`` once a person looked at it.

    ``found`` are the marks as the machine counted them, before any correction (None: ``marks`` are
    still those). ``marks`` must not change once it is here. Which of them count is worked out once
    for each edge rule, so that correcting one field of many costs one field's work.
    """

    field_id: int
    picture: Picture
    marks: Mapping[int, Mark] = field(default_factory=dict)
    reviewed: bool = False
    found: Mapping[int, Mark] | None = field(default=None, repr=False, compare=False)
    _counted: dict[EdgeRule, dict[int, Mark]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    _classes: dict[EdgeRule, Mapping[str, int]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    _told: dict[EdgeRule, Mapping[Told, int]] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    _compared: dict[EdgeRule, Compared] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )
    _lengths: dict[EdgeRule, Lengths] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    @property
    def area_mm2(self) -> float:
        """The area that can be seen, in mm²."""
        return self.picture.area_mm2

    def with_marks(self, gone: Collection[int], put: Mapping[int, Mark]) -> PictureField:
        """Return the field without the marks ``gone``, with those of ``put`` added or replaced.

        What was counted is carried over, so that correcting one mark of ten thousand costs the work
        of one. Raises KeyError where one of ``gone`` is not here.
        """
        marks = dict(self.marks)
        for mark_id in gone:
            del marks[mark_id]
        marks.update(put)
        changed = replace(self, marks=marks)
        taken = [self.marks[key] for key in {*gone, *put} if key in self.marks]
        for rule in {*self._counted, *self._classes, *self._told, *self._lengths}:
            self._carry_over(changed, gone, put, rule)
        for rule, known in self._compared.items() if self.found is not None else ():
            kept, counted = known.kept, known.counted
            for sign, some in ((-1, taken), (1, put.values())):
                now = [mark for mark in some if self.is_counted(mark, rule)]
                counted += sign * len(now)
                kept += sign * sum(self._was_counted(mark.mark_id, rule) for mark in now)
            changed._compared[rule] = Compared(known.found, kept, counted)
        return changed

    def _carry_over(
        self,
        changed: PictureField,
        gone: Collection[int],
        put: Mapping[int, Mark],
        rule: EdgeRule,
    ) -> None:
        """Give the changed field what is known of this one, as far as the change leaves it."""
        before = (self.marks[key] for key in {*gone, *put} if key in self.marks)
        change = Change(
            gone,
            tuple(mark for mark in before if self.is_counted(mark, rule)),
            tuple(mark for mark in put.values() if self.is_counted(mark, rule)),
        )
        if rule in self._classes:
            changed._classes[rule] = change.of_counts(self._classes[rule], _class)
        if rule in self._told:
            changed._told[rule] = change.of_counts(self._told[rule], _told)
        if rule in self._lengths:
            changed._lengths[rule] = change.of_lengths(self._lengths[rule])
        if rule in self._counted:
            counted = self._counted[rule]
            if all(key in counted for key in put if key in self.marks):
                changed._counted[rule] = change.of_marks(counted, put)

    def _was_counted(self, mark_id: int, rule: EdgeRule) -> bool:
        """Whether a mark of this number was among those that the machine counted."""
        mark = None if self.found is None else self.found.get(mark_id)
        return mark is not None and self.is_counted(mark, rule)

    @property
    def is_corrected(self) -> bool:
        """Whether marks were added or taken away since the machine counted."""
        if self.found is None or self.found is self.marks:
            return False
        return self.found.keys() != self.marks.keys()

    def is_counted(self, mark: Mark, rule: EdgeRule) -> bool:
        """Whether the edge rule counts this mark; all that no border cuts are counted."""
        rim = self.picture.rim
        if rim is None and not mark.is_cut:
            return True
        frame = self.picture.frame
        if rim is not None:
            return rim.is_counted(mark.outline_px, frame, rule)
        return is_counted(mark.outline_px, frame, rule)

    def square_of(self, mark: Mark, rule: EdgeRule) -> RuledSquare | None:
        """Return the ruled square that a mark lies in; None where no squares were found."""
        grid = self.picture.grid
        return None if grid is None else grid.square_of(mark.outline_px, rule)

    def count_by_square(self, rule: EdgeRule) -> Mapping[RuledSquare, int]:
        """Return how many bodies belong to each ruled square that the picture shows whole."""
        grid, rim, frame = self.picture.grid, self.picture.rim, self.picture.frame
        if grid is None:
            return {}
        counts = {
            square: 0
            for square in grid.whole_squares()
            if all(
                frame.contains(corner) and (rim is None or rim.contains(corner))
                for corner in grid.corners_of(square)
            )
        }
        for mark in self.marks.values() if counts else ():
            square = grid.square_of(mark.outline_px, rule)
            if square in counts:
                counts[square] += 1
        return counts

    def counted(self, rule: EdgeRule) -> tuple[Mark, ...]:
        """Return the marks that the edge rule counts, in the order of all."""
        known = self._counted.get(rule)
        if known is None:
            every = self.marks.items()
            known = {key: mark for key, mark in every if self.is_counted(mark, rule)}
            self._counted[rule] = known
        return tuple(known.values())

    def lengths_um(self, rule: EdgeRule) -> Lengths:
        """Return the length in µm of each mark that counts and that no border cuts.

        They stand from the shortest to the longest, as doubles, and must not be changed.
        """
        known = self._lengths.get(rule)
        if known is None:
            measured = (mark.length_um for mark in self.counted(rule) if not mark.is_cut)
            known = array("d", sorted(measured))
            self._lengths[rule] = known
        return known

    def count_by_stage(self, rule: EdgeRule) -> Mapping[str, int]:
        """Return how many are counted of each stage that occurs."""
        return Counter([mark.stage for mark in self.counted(rule)])

    def count_by_class(self, rule: EdgeRule) -> Mapping[str, int]:
        """Return how many are counted of each class (:mod:`counter.domain.classes`)."""
        known = self._classes.get(rule)
        if known is None:
            pairs = Counter([(mark.stage, mark.state) for mark in self.counted(rule)])
            known = {class_of(stage, state): count for (stage, state), count in pairs.items()}
            self._classes[rule] = known
        return known

    def count_by_told(self, rule: EdgeRule) -> Mapping[Told, int]:
        """Return how many are counted of each kind that persons or the machine tell apart."""
        known = self._told.get(rule)
        if known is None:
            marks = self.counted(rule)
            known = Counter([_told(mark) for mark in marks])
            self._told[rule] = known
        return known

    def compared(self, rule: EdgeRule) -> Compared:
        """Return what a person changed of what the machine counted.

        A mark that was moved or redrawn is kept; one that was cut in two or joined is removed, and
        its parts are added.
        """
        known = self._compared.get(rule)
        if known is None:
            now = self.counted(rule)
            if self.found is None or self.found is self.marks:
                known = Compared(len(now), len(now), len(now))
            else:
                was = {m.mark_id for m in self.found.values() if self.is_counted(m, rule)}
                known = Compared(len(was), sum(m.mark_id in was for m in now), len(now))
            self._compared[rule] = known
        return known


def _class(mark: Mark) -> str:
    return class_of(mark.stage, mark.state)


def _told(mark: Mark) -> Told:
    return told_of(mark.stage, mark.state, mark.proposal)


Field = PictureField | TallyField
