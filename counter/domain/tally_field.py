"""Squares counted at the eyepiece, one key press a body."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, field

from counter.domain.edges import EdgeRule


@dataclass(frozen=True, slots=True)
class TalliedSquare:
    """A square tallied by eye: how many of each class (a stage, or a stage with a state)."""

    counts: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class TallyField:
    """Squares counted at the eyepiece, each ``square_area_mm2`` large.

    The last of ``squares`` is the one being counted; ``finished`` says that it is done too.
    """

    field_id: int
    square_name: str
    square_area_mm2: float
    squares: tuple[TalliedSquare, ...] = (TalliedSquare(),)
    finished: bool = False

    @property
    def counted_squares(self) -> tuple[TalliedSquare, ...]:
        """The squares that are done: the one being counted is not yet a count."""
        return self.squares if self.finished else self.squares[:-1]

    @property
    def area_mm2(self) -> float:
        """The area of the squares that are done, in mm²."""
        return len(self.counted_squares) * self.square_area_mm2

    def count_by_stage(self, rule: EdgeRule) -> Mapping[str, int]:
        """Return how many were tallied of each class in the squares that are done.

        The edge rule is applied by the eye at the eyepiece, so ``rule`` changes nothing here.
        """
        del rule
        total: Counter[str] = Counter()
        for square in self.counted_squares:
            total.update(square.counts)
        return total

    def count_by_class(self, rule: EdgeRule) -> Mapping[str, int]:
        """Return how many were tallied of each class (:mod:`counter.domain.classes`)."""
        return self.count_by_stage(rule)
