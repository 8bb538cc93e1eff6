"""What was found against what was drawn.

A mark and an object match where their centres lie within half the object's length, the nearest
pair first. Objects and marks that the border cuts are matched too, but neither a missed nor a
spare one counts, because what is left of a body may be too small to tell; nor do bodies outside
the lengths looked for.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from counter.domain.mark import Point
from counter.domain.species import Target


class Found(Protocol):
    """What the matching needs of a mark."""

    @property
    def x_px(self) -> float: ...
    @property
    def y_px(self) -> float: ...
    @property
    def length_um(self) -> float: ...
    @property
    def is_cut(self) -> bool: ...


class Drawn(Found, Protocol):
    """What the matching needs of a drawn body."""

    @property
    def outline_px(self) -> tuple[Point, ...]: ...


class Truth(Protocol):
    """What the matching needs of a drawn picture, by whichever renderer."""

    @property
    def um_per_px(self) -> float: ...
    @property
    def eggs(self) -> Sequence[Drawn]: ...
    @property
    def larvae(self) -> Sequence[Drawn]: ...


@dataclass(frozen=True, slots=True)
class Outcome:
    """Counts of pairs, spare marks and missed objects, and the relative errors of the lengths."""

    paired: int
    spare: int
    missed: int
    length_errors: tuple[float, ...]

    def __add__(self, other: Outcome) -> Outcome:
        return Outcome(
            self.paired + other.paired,
            self.spare + other.spare,
            self.missed + other.missed,
            self.length_errors + other.length_errors,
        )

    @property
    def f1(self) -> float:
        """The harmonic mean of precision and recall; 1 where there was nothing and none found."""
        every = 2 * self.paired + self.spare + self.missed
        return 2 * self.paired / every if every else 1.0

    @property
    def count_error(self) -> float:
        """How far the count is off, as a share of the bodies there; 0 where there was nothing."""
        there = self.paired + self.missed
        return (self.spare - self.missed) / there if there else 0.0

    @property
    def bias(self) -> float:
        """The mean relative error of the length."""
        return float(np.mean(self.length_errors)) if self.length_errors else 0.0

    @property
    def mean_error(self) -> float:
        """The mean absolute relative error of the length."""
        return float(np.mean(np.abs(self.length_errors))) if self.length_errors else 0.0


def compared(truth: Truth, marks: Sequence[Found], target: Target) -> Outcome:
    """Match ``marks`` with the bodies drawn."""
    wanted, pairs = pairs_of(truth, marks, target)
    found, hit = {index for index, _ in pairs}, {index for _, index in pairs}
    errors = [
        marks[j].length_um / wanted[i].length_um - 1
        for i, j in pairs
        if not wanted[i].is_cut and not marks[j].is_cut
    ]
    return Outcome(
        paired=len(pairs),
        spare=sum(1 for j, mark in enumerate(marks) if j not in hit and not mark.is_cut),
        missed=sum(1 for i, entry in enumerate(wanted) if i not in found and not entry.is_cut),
        length_errors=tuple(errors),
    )


def pairs_of(
    truth: Truth, marks: Sequence[Found], target: Target
) -> tuple[list[Drawn], list[tuple[int, int]]]:
    """Return the bodies of the lengths looked for, and pairs of their and their marks' places."""
    wanted = [
        entry
        for entry in (truth.eggs if target.kind == "eggs" else truth.larvae)
        if target.low_um <= entry.length_um <= target.high_um
    ]
    return wanted, _pairs(wanted, marks, truth.um_per_px)


def _pairs(
    wanted: Sequence[Drawn], marks: Sequence[Found], um_per_px: float
) -> list[tuple[int, int]]:
    near = []
    for i, entry in enumerate(wanted):
        for j, mark in enumerate(marks):
            apart_um = np.hypot(mark.x_px - entry.x_px, mark.y_px - entry.y_px) * um_per_px
            if apart_um < entry.length_um / 2:
                near.append((float(apart_um), i, j))
    pairs: list[tuple[int, int]] = []
    used: tuple[set[int], set[int]] = (set(), set())
    for _, i, j in sorted(near):
        if i not in used[0] and j not in used[1]:
            pairs.append((i, j))
            used[0].add(i)
            used[1].add(j)
    return pairs
