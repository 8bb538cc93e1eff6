"""The squares that the chamber's rulings make on a picture, and which of them a body lies in.

Squares tile the picture, so each body belongs to exactly one: that in which the edge rule counts
it, as if every square were a counting frame (Gundersen HJG (1977), J. Microsc. 111:219-223). With
top and left counting, a body on a line belongs to the square below it or to the right of it.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from counter.domain.edges import EdgeRule, Frame, is_counted
from counter.domain.mark import Point

RuledSquare = tuple[int, int]
"""(row, column) from the top left of the picture, from 1; one that is partly seen counts too."""


def square_words(square: RuledSquare | None) -> str:
    """Return a square as people read it, like ``2·3`` for row 2, column 3; empty for None."""
    return "" if square is None else f"{square[0]}·{square[1]}"


@dataclass(frozen=True, slots=True)
class RuledGrid:
    """Regular rulings that were found on a picture of ``width_px`` × ``height_px``.

    ``angle_deg`` (-45 to 45) is by how much the squares are turned: a place (x, y) of the picture
    lies at u = x cos + y sin across the upright lines and at v = y cos - x sin across the level
    ones. An upright line stands at u = ``upright_px`` and at every ``period_px`` from there, a
    level one at v = ``level_px``; None where no lines that way are known. ``error_px`` is the
    standard error of the period and ``lines`` how many lines it rests on.
    """

    width_px: int
    height_px: int
    angle_deg: float
    period_px: float
    error_px: float
    lines: int
    upright_px: float | None
    level_px: float | None

    @property
    def has_squares(self) -> bool:
        """Whether lines both ways are known, so that there are squares and not only strips."""
        return self.upright_px is not None and self.level_px is not None

    def enlarged(self, factor: int, width_px: int, height_px: int) -> RuledGrid:
        """Return the rulings on a picture of this size, of which this one was reduced.

        Each pixel here is the mean of ``factor`` × ``factor`` there, so that its middle lies
        (factor - 1) / 2 pixels right of and below the first of them.
        """
        angle, off = math.radians(self.angle_deg), (factor - 1) / 2
        upright, level = self.upright_px, self.level_px
        if upright is not None:
            upright = upright * factor + off * (math.cos(angle) + math.sin(angle))
        if level is not None:
            level = level * factor + off * (math.cos(angle) - math.sin(angle))
        return replace(
            self,
            width_px=width_px,
            height_px=height_px,
            period_px=self.period_px * factor,
            error_px=self.error_px * factor,
            upright_px=upright,
            level_px=level,
        )

    def moved(self, right_px: float, down_px: float, width_px: int, height_px: int) -> RuledGrid:
        """Return the rulings on a picture of this size, in which this one lies so far in."""
        turn = math.radians(self.angle_deg)
        cos, sin = math.cos(turn), math.sin(turn)
        upright, level = self.upright_px, self.level_px
        return replace(
            self,
            width_px=width_px,
            height_px=height_px,
            upright_px=None if upright is None else upright + right_px * cos + down_px * sin,
            level_px=None if level is None else level + down_px * cos - right_px * sin,
        )

    def um_per_px(self, ruling_um: float) -> float:
        """Return the scale that the rulings tell where they are ``ruling_um`` apart."""
        return ruling_um / self.period_px

    def square_of(self, outline: Sequence[Point], rule: EdgeRule) -> RuledSquare | None:
        """Return the square to which a body with this outline belongs; None without squares."""
        if not outline or not self.has_squares:
            return None
        inner = [self._along(point) for point in outline]
        columns = {math.floor(u) for u, _ in inner}
        rows = {math.floor(v) for _, v in inner}
        chosen = (min(rows), min(columns))
        if len(rows) > 1 or len(columns) > 1:
            chosen = self._on_lines(inner, rows, columns, rule)
        first_row, first_column = self._first
        return chosen[0] - first_row + 1, chosen[1] - first_column + 1

    def _on_lines(
        self, inner: list[Point], rows: set[int], columns: set[int], rule: EdgeRule
    ) -> tuple[int, int]:
        """Return the square that counts a body on lines; rounding at a corner takes the last."""
        down = range(min(rows), max(rows) + 1)
        over = range(min(columns), max(columns) + 1)
        for row in down:
            for column in over:
                frame = Frame(float(column), float(row), column + 1.0, row + 1.0)
                if is_counted(inner, frame, rule):
                    return row, column
        row = down[0] if rule.value.startswith("bottom") else down[-1]
        return row, over[0] if rule.value.endswith("right") else over[-1]

    def squares(self) -> Iterator[RuledSquare]:
        """Yield every square that may show on the picture, whole or not, row by row."""
        if not self.has_squares:
            return
        first_row, first_column = self._first
        last_row, last_column = (math.floor(max(values)) for values in self._ends())
        for row in range(1, last_row - first_row + 2):
            for column in range(1, last_column - first_column + 2):
                yield row, column

    def whole_squares(self) -> Iterator[RuledSquare]:
        """Yield the squares that lie on the picture with all four corners, row by row."""
        for square in self.squares():
            if all(self.shows(*corner) for corner in self.corners_of(square)):
                yield square

    def middle_of(self, square: RuledSquare) -> Point:
        """Return the middle (x, y) of a square in pixels."""
        first_row, first_column = self._first
        row, column = square[0] - 1 + first_row, square[1] - 1 + first_column
        return self._back(column + 0.5, row + 0.5)

    def corners_of(self, square: RuledSquare) -> tuple[Point, ...]:
        """Return the four corners (x, y) of a square in pixels, the top left one first."""
        first_row, first_column = self._first
        return tuple(self._corners(square[0] - 1 + first_row, square[1] - 1 + first_column))

    def _corners(self, row: int, column: int) -> Iterator[Point]:
        for down, over in ((0, 0), (0, 1), (1, 1), (1, 0)):
            yield self._back(column + over, row + down)

    def shows(self, x: float, y: float) -> bool:
        """Whether a place is on the picture."""
        return -0.5 <= x <= self.width_px - 0.5 and -0.5 <= y <= self.height_px - 0.5

    @property
    def _first(self) -> tuple[int, int]:
        """The row and the column, counted from the lines that are known, that show first."""
        row, column = (math.floor(min(values)) for values in self._ends())
        return row, column

    def _ends(self) -> tuple[list[float], list[float]]:
        """Where the picture's corners lie: down, and across, in periods."""
        right, foot = self.width_px - 0.5, self.height_px - 0.5
        ends = [self._along((x, y)) for x in (-0.5, right) for y in (-0.5, foot)]
        return [v for _, v in ends], [u for u, _ in ends]

    def _along(self, point: Point) -> Point:
        """Return how far across and down a place lies, in periods from the lines known."""
        assert self.upright_px is not None
        assert self.level_px is not None
        cos, sin = self._turn
        u, v = point[0] * cos + point[1] * sin, point[1] * cos - point[0] * sin
        return (u - self.upright_px) / self.period_px, (v - self.level_px) / self.period_px

    def _back(self, across: float, down: float) -> Point:
        """Return the place so many periods across and down from the lines known."""
        assert self.upright_px is not None
        assert self.level_px is not None
        cos, sin = self._turn
        u = self.upright_px + across * self.period_px
        v = self.level_px + down * self.period_px
        return u * cos - v * sin, u * sin + v * cos

    @property
    def _turn(self) -> tuple[float, float]:
        radians = math.radians(self.angle_deg)
        return math.cos(radians), math.sin(radians)
