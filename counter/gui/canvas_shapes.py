"""The marks of a picture ready to be drawn, and which of them lie in sight."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPolygonF

from counter.domain.edges import EdgeRule
from counter.domain.field import PictureField
from counter.domain.mark import Mark


class MarkShape:
    """A mark, ready to be drawn: its polygon and its box in picture coordinates.

    Both are made when they are first needed: of tens of thousands of marks few are in sight.
    """

    __slots__ = ("_box", "_polygon", "is_counted", "mark")

    def __init__(self, mark: Mark, is_counted: bool) -> None:
        self.mark = mark
        self.is_counted = is_counted
        self._polygon: QPolygonF | None = None
        self._box: QRectF | None = None

    @property
    def polygon(self) -> QPolygonF:
        """The outline."""
        if self._polygon is None:
            self._polygon = QPolygonF([QPointF(x, y) for x, y in self.mark.outline_px])
        return self._polygon

    @property
    def box(self) -> QRectF:
        """The box round the outline."""
        if self._box is None:
            self._box = self.polygon.boundingRect()
        return self._box

    def contains(self, x_px: float, y_px: float) -> bool:
        """Whether the point lies inside the outline."""
        point = QPointF(x_px, y_px)
        return self.box.contains(point) and self.polygon.containsPoint(
            point, Qt.FillRule.OddEvenFill
        )


AT_ONCE = 200
"""How many new shapes are made in one turn: more would hold the window up."""

BANDS = 10
"""In at most so many turns."""


def shapes_of(
    field: PictureField, rule: EdgeRule, known: Mapping[int, MarkShape]
) -> dict[int, MarkShape]:
    """Return a shape for each mark of ``field``; those in ``known`` whose mark is the same stay.

    Of more than :data:`AT_ONCE` new ones only the uppermost are made, in a band that is painted for
    itself: call again with what is known then. Of thousands all are made, as they are drawn as dots
    where many of them are in sight.
    """
    counted = {mark_id: field.is_counted(mark, rule) for mark_id, mark in field.marks.items()}
    old = {
        mark_id: shape
        for mark_id, shape in known.items()
        if field.marks.get(mark_id) is shape.mark and counted[mark_id] == shape.is_counted
    }
    new = [mark for mark_id, mark in field.marks.items() if mark_id not in old]
    if AT_ONCE < len(new) <= BANDS * AT_ONCE:
        new = sorted(new, key=lambda mark: mark.y_px)[:AT_ONCE]
    made = {mark.mark_id: MarkShape(mark, counted[mark.mark_id]) for mark in new}
    return {**old, **made}


class Whereabouts:
    """Where the marks lie, so that those in sight are found at once among tens of thousands.

    Each is taken to reach from its centre as far as it is long: that holds all of its outline.
    """

    def __init__(self, shapes: Mapping[int, MarkShape], um_per_px: float) -> None:
        self._ids = np.fromiter(shapes.keys(), np.int64, len(shapes))
        marks = [shape.mark for shape in shapes.values()]
        rows = [(mark.x_px, mark.y_px, mark.length_um / um_per_px) for mark in marks]
        self._places = np.array(rows, np.float64).reshape(-1, 3)

    def within(self, box: QRectF, reach_px: float = 0.0) -> list[int]:
        """Return the ids of the marks that may reach into ``box``, or to ``reach_px`` of it."""
        x, y, length = self._places.T
        far = length + reach_px
        across = (x + far >= box.left()) & (x - far <= box.right())
        down = (y + far >= box.top()) & (y - far <= box.bottom())
        found: list[int] = self._ids[across & down].tolist()
        return found

    def longest_px(self) -> float:
        """How long the longest mark is, in pixels of the picture."""
        return float(self._places[:, 2].max(initial=0.0))
