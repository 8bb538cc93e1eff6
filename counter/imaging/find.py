"""The narrow entrance: bodies of the lengths looked for, on one picture."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from counter.domain import flags
from counter.domain.mark import Mark
from counter.domain.progress import Progress
from counter.domain.species import Target
from counter.imaging.blobs import relief
from counter.imaging.bodies import Body, bodies
from counter.imaging.bridge import bridged_outline
from counter.imaging.judge import Traits, score, traits
from counter.imaging.light import Flat, Reduced, factor_for, flatten, reduced
from counter.imaging.lines import Ruled, without_rulings
from counter.imaging.measure import Measures, measure
from counter.imaging.outline import POINTS, Refined, refine
from counter.imaging.photo import Photo
from counter.imaging.polygon import contains
from counter.imaging.rays import evenly, sample
from counter.imaging.shape import Sizes
from counter.imaging.view import View, view_of

Floats = NDArray[np.float64]
Row = tuple[Floats, Measures, float, frozenset[str]]
SURE_ENOUGH = 0.5
DOUBTFUL_BELOW = 0.75
SOFT_PX, SOFT_SHARE = 4.0, 0.11
"""An edge wider than this many pixels and this share of the body's radius is out of focus."""


@dataclass(frozen=True, slots=True)
class Scene:
    """A picture made ready for searching."""

    photo: Photo
    um_per_px: float
    copy: Reduced
    view: View
    flat: Flat
    ruled: Ruled
    sizes: Sizes


def prepare(photo: Photo, target: Target, progress: Progress) -> Scene:
    """Reduce the picture, tell field from surroundings, take the light out."""
    um_per_px = photo.um_per_px
    if um_per_px is None:
        raise ValueError("a photo needs a scale before it is searched")
    progress.report(0.0, "reducing the picture")
    factor = factor_for(um_per_px, target.low_um)
    copy = reduced(photo.pixels, factor)
    step_um = um_per_px * factor
    sizes = Sizes(target.low_um / step_um, target.high_um / step_um)
    progress.report(0.15, "evening out the light")
    view = view_of(copy.pixels)
    flat = flatten(copy, view.mask, sizes.high_px)
    progress.report(0.3, "looking for rulings")
    ruled = without_rulings(flat, view.mask, sizes)
    return Scene(photo, um_per_px, copy, view, ruled.flat, ruled, sizes)


def find(photo: Photo, target: Target, progress: Progress) -> list[Mark]:
    """Find the bodies of ``target`` on ``photo``, which must have a scale.

    Returns marks with ids 1..n from top to bottom; an empty list where there is nothing. Raises
    :class:`~counter.errors.Cancelled` when ``progress`` says so and :class:`ValueError` for a
    photo without scale.
    """
    from counter.imaging.detect import detect  # it chooses between this finder and the learned

    return list(detect(photo, target, progress).marks)


def search(scene: Scene, target: Target, progress: Progress) -> list[Mark]:
    """Find the bodies of ``target`` on a prepared scene."""
    progress.report(0.4, "looking for bodies")
    land = relief(scene.ruled, scene.view.mask)
    candidates = bodies(land, scene.ruled, scene.view.mask, scene.sizes)
    progress.report(0.6, "following outlines")
    refined = refine(
        [body.contour.astype(np.float64) for body in candidates],
        [_free(body.contour, scene) & ~body.hidden for body in candidates],
        scene.photo.pixels,
        scene.copy,
        scene.flat,
    )
    progress.report(0.85, "judging")
    marks = _marks(candidates, refined, scene, target)
    progress.report(1.0, "done")
    return marks


def _free(contour: NDArray[np.int32], scene: Scene) -> NDArray[np.bool_]:
    """Which of an outline's points may be moved: those away from the picture's border."""
    height, width = scene.flat.contrast.shape
    points = evenly(contour.astype(np.float64), POINTS)
    inner = (points > 1.5).all(axis=1) & (points < (width - 2.5, height - 2.5)).all(axis=1)
    off_line = sample(scene.ruled.bands, points[:, 0], points[:, 1]) < 1
    return np.asarray(inner & off_line)


def _marks(candidates: list[Body], refined: Refined, scene: Scene, target: Target) -> list[Mark]:
    if not candidates:
        return []
    full_size = (scene.photo.width_px, scene.photo.height_px)
    whole = [
        bridged_outline(points, edge, body.hidden)
        for points, edge, body in zip(refined.outlines, refined.edge, candidates, strict=True)
    ]
    outlines = [to_border(points, full_size, scene.copy.factor) for points in whole]
    measured = [measure(points, scene.um_per_px) for points, _ in outlines]
    shift = (scene.copy.factor - 1) / 2
    inner = (np.stack([points for points, _ in outlines]) - shift) / scene.copy.factor
    step_um = scene.um_per_px * scene.copy.factor
    ferets = np.array([[each.length_um, each.width_um] for each in measured]) / step_um
    seen = traits(inner, ferets, refined, scene.flat, scene.view.mask)
    rows: list[Row] = []
    for index, body in enumerate(candidates):
        points, cut = outlines[index]
        sure = judged(body, seen[index], cut, scene)
        if sure < SURE_ENOUGH:
            continue
        noted = set(body.flags) | ({flags.CUT.key} if cut else set())
        if scene.ruled.lines and is_on_ruling(points, scene):
            noted.add(flags.ON_RULING.key)
        if is_blurred(refined.edge_px[index], measured[index], scene):
            noted.add(flags.BLURRED.key)
        if sure < DOUBTFUL_BELOW:
            noted.add(flags.DOUBTFUL.key)
        rows.append((points, measured[index], sure, frozenset(noted)))
    rows = _outer(rows)
    rows.sort(key=lambda row: (row[1].y_px, row[1].x_px))
    return [made_mark(number, *row, target) for number, row in enumerate(rows, 1)]


def _outer(rows: list[Row]) -> list[Row]:
    """Leave out what lies inside another body: a gut, an eye, a fold of its shell."""
    large_first = sorted(rows, key=lambda row: -row[1].area_um2)
    kept: list[Row] = []
    for row in large_first:
        x, y = row[1].x_px, row[1].y_px
        if not any(_is_within(points, x, y) for points, *_ in kept):
            kept.append(row)
    return kept


def _is_within(points: Floats, x: float, y: float) -> bool:
    low_x, low_y = points.min(axis=0)
    high_x, high_y = points.max(axis=0)
    return bool(low_x < x < high_x and low_y < y < high_y) and contains(points, x, y)


def made_mark(
    number: int,
    points: Floats,
    measures: Measures,
    score: float,
    noted: frozenset[str],
    target: Target,
) -> Mark:
    return Mark(
        mark_id=number,
        x_px=measures.x_px,
        y_px=measures.y_px,
        outline_px=tuple((float(x), float(y)) for x, y in points),
        length_um=measures.length_um,
        width_um=measures.width_um,
        area_um2=measures.area_um2,
        stage=target.stage_of(measures.length_um),
        score=score,
        flags=noted,
    )


def is_blurred(edge_px: float, measures: Measures, scene: Scene) -> bool:
    """Whether a rim is soft both for the camera and for the body."""
    radius_px = np.sqrt(measures.area_um2 / np.pi) / scene.um_per_px
    return bool(edge_px > SOFT_PX and edge_px > SOFT_SHARE * radius_px)


def is_on_ruling(points: Floats, scene: Scene) -> bool:
    """Whether a ruling crosses an outline given in pixels of the picture."""
    shift = (scene.copy.factor - 1) / 2
    x, y = ((points - shift) / scene.copy.factor).T
    return float((sample(scene.ruled.bands, x, y) > 127).mean()) > 0.03


def to_border(points: Floats, full_size: tuple[int, int], factor: int) -> tuple[Floats, bool]:
    """Clip an outline at the picture's border; say whether the border cuts it."""
    last = np.array(full_size, dtype=np.float64) - 0.5
    near = max(1.5, 1.6 * factor)
    moved = np.where(points < near - 0.5, -0.5, points)
    moved = np.where(moved > last - near, last, moved)
    cut = bool((moved != points).any())
    return moved, cut


def judged(body: Body, seen: Traits, cut: bool, scene: Scene) -> float:
    """The score of a candidate."""
    return score(body, seen, cut, scene.flat.noise, scene.sizes)
