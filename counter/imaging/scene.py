"""A picture made ready for searching, and what both finders do with a candidate's outline."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from counter.domain import flags
from counter.domain.mark import Mark
from counter.domain.progress import Progress
from counter.domain.rim import Rim
from counter.domain.ruled import RuledGrid
from counter.domain.species import Target
from counter.imaging.around import Around
from counter.imaging.judge import Traits, traits
from counter.imaging.light import Flat, Reduced, factor_for, flatten, reduced
from counter.imaging.measure import Measures
from counter.imaging.outline import POINTS, Refined
from counter.imaging.photo import Photo
from counter.imaging.rays import evenly_all, sample
from counter.imaging.ruled import ruled_grid
from counter.imaging.shape import Sizes
from counter.imaging.unruled import Ruled, without_rulings
from counter.imaging.view import View, view_of

Floats = NDArray[np.float64]
Row = tuple[Floats, Measures, float, frozenset[str], bool]
"""A mark to be: outline in pixels of the picture, measures, score, keys of its flags, and whether
no shell is seen on it."""

SURE_ENOUGH = 0.5
DOUBTFUL_BELOW = 0.75
CORNER = 2.5
"""How many working pixels an outline may miss of the corner where a round view's rim cuts it."""

SOFT_PX, SOFT_SHARE = 4.0, 0.11
"""An edge wider than this many pixels and this share of the body's radius is out of focus."""


@dataclass(frozen=True, slots=True)
class Scene:
    """A picture made ready for searching; ``around``: of which larger one it is a block.

    ``grid`` is its regular rulings and ``rim`` that of a round view, both in pixels of the picture;
    None where there are none, and on a block.
    """

    photo: Photo
    um_per_px: float
    copy: Reduced
    view: View
    flat: Flat
    ruled: Ruled
    sizes: Sizes
    around: Around | None = None
    grid: RuledGrid | None = None
    rim: Rim | None = None


def prepare(
    photo: Photo, target: Target, progress: Progress, around: Around | None = None
) -> Scene:
    """Reduce the picture, tell field from surroundings, take the light out.

    ``around`` is what is known of the larger picture that ``photo`` is a block of.
    """
    um_per_px = photo.um_per_px
    if um_per_px is None:
        raise ValueError("a photo needs a scale before it is searched")
    progress.report(0.0, "reducing the picture")
    factor = factor_for(um_per_px, target.low_um)
    copy = reduced(photo.pixels, factor, None if around is None else around.top)
    step_um = um_per_px * factor
    sizes = Sizes(target.low_um / step_um, target.high_um / step_um)
    progress.report(0.15, "evening out the light")
    view = view_of(copy.pixels) if around is None else around.view(copy.pixels.shape[:2])
    flat = flatten(copy, view.mask, sizes.high_px, None if around is None else around.tone)
    progress.report(0.3, "looking for rulings")
    ruled = without_rulings(flat, view.mask, sizes)
    grid = None
    if around is None and ruled.lines:
        size = (photo.width_px, photo.height_px)
        grid = ruled_grid(ruled.lines, flat, view.mask, sizes.low_px, copy, size)
    rim = rim_of(view, copy)
    return Scene(photo, um_per_px, copy, view, ruled.flat, ruled, sizes, around, grid, rim)


def rim_of(view: View, copy: Reduced) -> Rim | None:
    """Return the rim of a round view in pixels of the picture; None where the view is not round."""
    circle = view.rim
    if circle is None:
        return None
    x, y = copy.to_full(np.array([circle.x_px, circle.y_px])).tolist()
    return Rim(x, y, circle.radius_px * copy.factor, max(0.5, 0.3 * copy.factor))


def free_points(outlines: NDArray[np.floating], scene: Scene) -> NDArray[np.bool_]:
    """Which points of outlines may be moved: not those on a ruling or off a round view.

    ``outlines`` (objects, n, 2) are in pixels of the reduced copy; the answer is for
    :data:`POINTS` points of each.
    """
    points = evenly_all(outlines, POINTS)
    free = sample(scene.ruled.hiding, points[..., 0], points[..., 1]) < 1
    if scene.rim is not None:
        free &= sample(scene.view.mask, points[..., 0], points[..., 1]) > 127
    return np.asarray(free)


def to_border(points: Floats, full_size: tuple[int, int]) -> tuple[Floats, bool]:
    """Clip an outline at the picture's border; say whether it reaches it: the border cuts it."""
    last = np.array(full_size, dtype=np.float64) - 0.5
    clipped = np.clip(points, -0.5, last)
    return clipped, bool(((clipped <= -0.5) | (clipped >= last)).any())


def to_rim(points: Floats, cut: bool, rim: Rim, factor: int) -> tuple[Floats, bool]:
    """Clip an outline (n, 2) at the rim of a round view; say whether the rim cuts it too.

    An outline rounds the corners at which a body is cut: of one that is, what comes near the rim
    ends on it.
    """
    away = points - (rim.x_px, rim.y_px)
    distance = np.hypot(away[:, 0], away[:, 1])
    if not (distance > rim.radius_px - rim.soft_px).any():
        return points, cut
    on_rim = (rim.x_px, rim.y_px) + away * (rim.radius_px / np.maximum(distance, 1e-9))[:, None]
    near = distance > rim.radius_px - CORNER * factor
    return np.where(near[:, None], on_rim, points), True


def seen_traits(
    outlines: list[tuple[Floats, bool]], measured: list[Measures], refined: Refined, scene: Scene
) -> tuple[Floats, list[Traits]]:
    """Return the outlines as pixels of the reduced copy, and what the judge sees of each."""
    inner = scene.copy.from_full(np.stack([points for points, _ in outlines]))
    step_um = scene.um_per_px * scene.copy.factor
    ferets = np.array([[each.length_um, each.width_um] for each in measured]) / step_um
    return inner, traits(inner, ferets, refined, scene.flat, scene.view.mask)


def noted(
    points: Floats, cut: bool, edge_px: float, measures: Measures, sure: float, scene: Scene
) -> frozenset[str]:
    """Return the keys of the flags that an outline and its score call for."""
    odd = {
        flags.CUT: cut,
        flags.ON_RULING: bool(scene.ruled.lines) and _is_on_ruling(points, scene),
        flags.BLURRED: is_blurred(edge_px, measures, scene),
        flags.DOUBTFUL: sure < DOUBTFUL_BELOW,
    }
    return frozenset(flag.key for flag, is_so in odd.items() if is_so)


def is_blurred(edge_px: float, measures: Measures, scene: Scene) -> bool:
    """Whether a rim is soft both for the camera and for the body."""
    radius_px = np.sqrt(measures.area_um2 / np.pi) / scene.um_per_px
    return bool(edge_px > SOFT_PX and edge_px > SOFT_SHARE * radius_px)


def _is_on_ruling(points: Floats, scene: Scene) -> bool:
    """Whether a ruling crosses an outline given in pixels of the picture."""
    x, y = scene.copy.from_full(points).T
    return float((sample(scene.ruled.covered, x, y) > 127).mean()) > 0.03


def marks_of(rows: Iterable[Row], target: Target) -> list[Mark]:
    """Return the marks, numbered from 1 from top to bottom."""
    ordered = sorted(rows, key=lambda row: (row[1].y_px, row[1].x_px))
    return [_mark(number, *row, target) for number, row in enumerate(ordered, 1)]


def _mark(
    number: int,
    points: Floats,
    measures: Measures,
    score: float,
    noted: frozenset[str],
    is_naked: bool,
    target: Target,
) -> Mark:
    stage_of = target.naked_stage_of if is_naked else target.stage_of
    return Mark(
        mark_id=number,
        x_px=measures.x_px,
        y_px=measures.y_px,
        outline_px=tuple(map(tuple, points.tolist())),
        length_um=measures.length_um,
        width_um=measures.width_um,
        area_um2=measures.area_um2,
        stage=stage_of(measures.length_um),
        score=score,
        flags=noted,
    )
