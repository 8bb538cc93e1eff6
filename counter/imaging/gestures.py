"""What a technician's hand does to marks: place, cut, join, redraw, move.

Each returns new marks with ``mark_id`` 0 (the session numbers them), ``origin`` placed and score 1.
Outlines are clipped at the picture's border, half a pixel outside its outer pixel centres; a mark
that reaches it carries the flag ``cut``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from counter.domain import flags
from counter.domain.mark import PLACED, Mark, Point
from counter.domain.species import Target
from counter.errors import UsageError
from counter.imaging.grow import grown
from counter.imaging.measure import measure
from counter.imaging.polygon import half_plane, inside_picture, is_simple, united
from counter.imaging.slide import AnyPhoto

Floats = NDArray[np.float64]

USUAL_WIDTH = 0.8
"""Width over length of the ellipse that stands for a body that can't be seen."""


def mark_at(photo: AnyPhoto, target: Target, x_px: float, y_px: float) -> Mark:
    """Return a mark for the body at (x, y).

    Its outline is grown around the click. Where nothing stands out it is an ellipse round the
    click of the target's usual length (the geometric mean of its limits), to be redrawn by hand,
    and the mark is flagged ``doubtful``. Raises :class:`UsageError` for a place off the picture.
    """
    _on_picture(photo, x_px, y_px)
    outline = grown(photo, target, x_px, y_px)
    if outline is not None:
        return _placed(outline, photo, target)
    length_px = float(np.sqrt(target.low_um * target.high_um)) / _scale(photo)
    turn = np.arange(48) * 2 * np.pi / 48
    usual = np.column_stack([np.cos(turn), USUAL_WIDTH * np.sin(turn)]) * length_px / 2
    return _placed(usual + np.array([x_px, y_px]), photo, target, {flags.DOUBTFUL.key})


def cut(mark: Mark, photo: AnyPhoto, target: Target, a: Point, b: Point) -> tuple[Mark, Mark]:
    """Cut a mark in two along the straight line through ``a`` and ``b``.

    The line goes on past both points. Both parts keep the state that was set. Raises
    :class:`UsageError` where the line does not cross the outline.
    """
    along = np.subtract(b, a)
    if not np.hypot(*along) > 0:
        raise UsageError("A cut needs two different points; draw a line right across the body.")
    normal = np.array([-along[1], along[0]], dtype=np.float64)
    points, place = np.array(mark.outline_px), np.array(a, dtype=np.float64)
    sides = [half_plane(points, place, normal * sign) for sign in (1, -1)]
    if any(len(side) < 3 or measure(side, 1.0).area_um2 < 1.0 for side in sides):
        raise UsageError("The line does not cross the body; draw it right across the outline.")
    noted = (mark.flags - {flags.CLUMP.key, flags.CUT.key}) | {flags.SPLIT.key}
    one, other = (replace(_placed(s, photo, target, noted), state=mark.state) for s in sides)
    return one, other


def join(marks: Sequence[Mark], photo: AnyPhoto, target: Target) -> Mark:
    """Join marks that are one body into one mark.

    The outline runs round all of them; where they lie apart it is their convex hull. A state that
    all of them share is kept. Raises :class:`UsageError` for fewer than two marks.
    """
    if len(marks) < 2:
        raise UsageError("Joining needs at least two marks; select the parts of one body.")
    outline = united([np.array(mark.outline_px) for mark in marks])
    noted = frozenset().union(*(mark.flags for mark in marks))
    noted = (noted - {flags.CUT.key, flags.SPLIT.key}) | {flags.MERGED.key}
    states = {mark.state for mark in marks}
    joined = _placed(outline, photo, target, noted)
    return replace(joined, state=states.pop() if len(states) == 1 else None)


def redrawn(outline: Sequence[Point], photo: AnyPhoto, target: Target) -> Mark:
    """Return a mark with an outline drawn by hand.

    A line that crosses itself becomes the outline round all that it encloses. Raises
    :class:`UsageError` for an outline without area or off the picture.
    """
    points = np.array(outline, dtype=np.float64).reshape(-1, 2)
    if len(points):
        points = points[np.any(points != np.roll(points, 1, axis=0), axis=1)]
    if len(points) >= 3 and not is_simple(points):
        points = united([points])
    return _placed(points, photo, target)


def moved(mark: Mark, dx_px: float, dy_px: float, photo: AnyPhoto) -> Mark:
    """Return the mark shifted by (dx, dy) pixels; stage, state and other flags stay.

    What was proposed of its state is dropped: it was seen at the place before.
    What goes over the border of the picture is cut off. Raises :class:`UsageError` for a mark
    moved off the picture.
    """
    points = np.array(mark.outline_px) + np.array([dx_px, dy_px])
    clipped, touches = _clipped(points, photo)
    found = measure(clipped, _scale(photo))
    noted = mark.flags - {flags.CUT.key} | ({flags.CUT.key} if touches else frozenset())
    return replace(
        mark,
        mark_id=0,
        origin=PLACED,
        score=1.0,
        proposal=None,
        outline_px=_points(clipped),
        x_px=found.x_px,
        y_px=found.y_px,
        length_um=found.length_um,
        width_um=found.width_um,
        area_um2=found.area_um2,
        flags=frozenset(noted),
    )


def _placed(
    points: Floats, photo: AnyPhoto, target: Target, noted: frozenset[str] | set[str] = frozenset()
) -> Mark:
    clipped, touches = _clipped(points, photo)
    found = measure(clipped, _scale(photo))
    return Mark(
        mark_id=0,
        x_px=found.x_px,
        y_px=found.y_px,
        outline_px=_points(clipped),
        length_um=found.length_um,
        width_um=found.width_um,
        area_um2=found.area_um2,
        stage=target.stage_of(found.length_um),
        origin=PLACED,
        flags=frozenset(noted) | ({flags.CUT.key} if touches else frozenset()),
    )


def _clipped(points: Floats, photo: AnyPhoto) -> tuple[Floats, bool]:
    if len(points) < 3 or measure(points, 1.0).area_um2 < 1.0:
        raise UsageError("That outline encloses nothing; draw it round the body.")
    clipped, touches = inside_picture(points, photo.width_px, photo.height_px)
    if len(clipped) < 3 or measure(clipped, 1.0).area_um2 < 1.0:
        raise UsageError("That lies off the picture; place marks on the picture.")
    return clipped, touches


def _on_picture(photo: AnyPhoto, x_px: float, y_px: float) -> None:
    if not (-0.5 <= x_px <= photo.width_px - 0.5 and -0.5 <= y_px <= photo.height_px - 0.5):
        raise UsageError("That lies off the picture; place marks on the picture.")


def _scale(photo: AnyPhoto) -> float:
    if photo.um_per_px is None:
        raise ValueError("a photo needs a scale before marks are placed on it")
    return photo.um_per_px


def _points(points: Floats) -> tuple[Point, ...]:
    return tuple((float(x), float(y)) for x, y in points)
