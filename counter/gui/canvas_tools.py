"""What the pointer does on the picture, and the line or outline that it is drawing; no painting."""

from __future__ import annotations

from enum import Enum

from counter.domain.mark import Point

_FEWEST_OUTLINE_POINTS = 3


class Tool(Enum):
    """What a press on the picture means."""

    PICK = "pick"
    PLACE = "place"
    CUT = "cut"
    OUTLINE = "outline"
    RULER = "ruler"


HINTS = {
    Tool.PICK: "Press a mark to pick it, drag it to move it; drag the ground to move the picture.",
    Tool.PLACE: "Press on each body that was missed.",
    Tool.CUT: "Draw a line across the mark, or press at its two ends.",
    Tool.OUTLINE: "Draw round the body in one stroke, or press corner by corner and close with "
    "a double press or Shift+Enter.",
    Tool.RULER: "Press the two ends of a distance that you know.",
}

LINES = frozenset({Tool.CUT, Tool.RULER})


class Pen:
    """The points drawn so far with a tool that needs several.

    A line is finished by its second point; an outline by :meth:`close`, or by a stroke that ends.
    Finished points are returned once and the pen is empty again.
    """

    def __init__(self) -> None:
        self.points: list[Point] = []

    def click(self, tool: Tool, point: Point) -> tuple[Point, ...] | None:
        """Add a point; return the two points of a line that is finished by it."""
        self.points.append(point)
        if tool in LINES and len(self.points) == 2:
            return self._take()
        return None

    def stroke(self, tool: Tool, point: Point) -> None:
        """Follow a drag: a line's end moves, an outline grows."""
        if tool in LINES:
            self.points[1:] = [point]
        elif not self.points or self.points[-1] != point:
            self.points.append(point)

    def lift(self, tool: Tool) -> tuple[Point, ...] | None:
        """End a drag; return what it has drawn, None if that is too little to be anything."""
        if tool in LINES:
            return self._take() if len(self.points) == 2 else None
        return self.close()

    def close(self) -> tuple[Point, ...] | None:
        """Close an outline; return it, or None (and keep the points) with fewer than three."""
        return self._take() if len(self.points) >= _FEWEST_OUTLINE_POINTS else None

    def clear(self) -> bool:
        """Drop what was drawn; return whether there was anything."""
        had = bool(self.points)
        self.points = []
        return had

    def _take(self) -> tuple[Point, ...]:
        taken, self.points = tuple(self.points), []
        return taken
