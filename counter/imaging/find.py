"""The narrow entrance: bodies of the lengths looked for, on one picture."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from counter.domain import flags
from counter.domain.mark import Mark
from counter.domain.progress import Progress
from counter.domain.species import Target
from counter.imaging.blobs import blobs
from counter.imaging.judge import Look, look
from counter.imaging.light import Flat, Reduced, factor_for, flatten, reduced
from counter.imaging.lines import Ruled, without_rulings
from counter.imaging.measure import Measures, measure
from counter.imaging.outline import POINTS, Refined, refine
from counter.imaging.photo import Photo
from counter.imaging.rays import evenly, sample
from counter.imaging.shape import Shape, Sizes, contour_of, roundness, shape_of
from counter.imaging.split import split
from counter.imaging.view import View, view_of

Floats = NDArray[np.float64]
SURE_ENOUGH = 0.5
DOUBTFUL_BELOW = 0.75


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


@dataclass(frozen=True, slots=True)
class Body:
    """A candidate: rough contour in working pixels, its shape, how it came about."""

    contour: NDArray[np.int32]
    shape: Shape
    flags: frozenset[str]


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
    return search(prepare(photo, target, progress), target, progress)


def search(scene: Scene, target: Target, progress: Progress) -> list[Mark]:
    """Find the bodies of ``target`` on a prepared scene."""
    progress.report(0.4, "looking for bodies")
    bodies = _bodies(scene)
    progress.report(0.6, "following outlines")
    refined = refine(
        [body.contour.astype(np.float64) for body in bodies],
        [_free(body.contour, scene) for body in bodies],
        scene.photo.pixels,
        scene.copy,
        scene.flat,
    )
    progress.report(0.85, "judging")
    marks = _marks(bodies, refined, scene, target)
    progress.report(1.0, "done")
    return marks


def _bodies(scene: Scene) -> list[Body]:
    found = []
    for blob in blobs(scene.ruled, scene.view.mask, scene.sizes):
        parts = split(blob.mask, scene.sizes)
        for part in parts:
            contour = contour_of(part.mask)
            shape = shape_of(contour) if contour is not None else None
            if contour is None or shape is None or shape.length_px < 0.6 * scene.sizes.low_px:
                continue
            noted = {flags.SPLIT.key} if len(parts) > 1 else set()
            if shape.length_px > 1.1 * scene.sizes.high_px:
                noted.add(flags.CLUMP.key)
            place = np.array([blob.left, blob.top], np.int32)
            found.append(Body(contour + place, shape, frozenset(noted)))
    return found


def _free(contour: NDArray[np.int32], scene: Scene) -> NDArray[np.bool_]:
    """Which of an outline's points may be moved: those away from the picture's border."""
    height, width = scene.flat.contrast.shape
    points = evenly(contour.astype(np.float64), POINTS)
    inner = (points > 1.5).all(axis=1) & (points < (width - 2.5, height - 2.5)).all(axis=1)
    off_line = sample(scene.ruled.bands, points[:, 0], points[:, 1]) < 1
    return np.asarray(inner & off_line)


def _marks(bodies: list[Body], refined: Refined, scene: Scene, target: Target) -> list[Mark]:
    if not bodies:
        return []
    full_size = (scene.photo.width_px, scene.photo.height_px)
    outlines = [_to_border(points, full_size, scene.copy.factor) for points in refined.outlines]
    measured = [measure(points, scene.um_per_px) for points, _ in outlines]
    centres = np.array([[each.x_px, each.y_px] for each in measured])
    shift = (scene.copy.factor - 1) / 2
    seen = look(
        (np.stack([points for points, _ in outlines]) - shift) / scene.copy.factor,
        (centres - shift) / scene.copy.factor,
        scene.flat,
    )
    rows = []
    for index, body in enumerate(bodies):
        points, cut = outlines[index]
        score = score_of(body, measured[index], cut, seen, index, scene, target)
        if score < SURE_ENOUGH:
            continue
        noted = set(body.flags) | ({flags.CUT.key} if cut else set())
        if scene.ruled.lines and _on_ruling(points, scene):
            noted.add(flags.ON_RULING.key)
        if score < DOUBTFUL_BELOW:
            noted.add(flags.DOUBTFUL.key)
        rows.append((points, measured[index], score, frozenset(noted)))
    rows.sort(key=lambda row: (row[1].y_px, row[1].x_px))
    return [_mark(number, *row, target) for number, row in enumerate(rows, 1)]


def _mark(
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


def _on_ruling(points: Floats, scene: Scene) -> bool:
    """Whether a ruling crosses an outline given in pixels of the picture."""
    shift = (scene.copy.factor - 1) / 2
    x, y = ((points - shift) / scene.copy.factor).T
    return float((sample(scene.ruled.bands, x, y) > 127).mean()) > 0.03


def _to_border(points: Floats, full_size: tuple[int, int], factor: int) -> tuple[Floats, bool]:
    """Clip an outline at the picture's border; say whether the border cuts it."""
    last = np.array(full_size, dtype=np.float64) - 0.5
    near = max(1.5, 1.6 * factor)
    moved = np.where(points < near - 0.5, -0.5, points)
    moved = np.where(moved > last - near, last, moved)
    cut = bool((moved != points).any())
    return moved, cut


def score_of(
    body: Body, measures: Measures, cut: bool, seen: Look, index: int, scene: Scene, target: Target
) -> float:
    """Say from 0 to 1 how sure it is that a candidate is what is looked for."""
    length = measures.length_um
    if length > 1.15 * target.high_um or length < (0.5 if cut else 0.9) * target.low_um:
        return 0.0
    round_enough = roundness(body.shape)
    clear = float(seen.rim[index]) / (6 * scene.flat.noise)
    terms = (
        4.0 * (round_enough - 0.4),
        1.5 * (min(clear, 3.0) - 1.0),
        4.0 * (float(seen.rim_share[index]) - 0.6),
    )
    return float(1 / (1 + np.exp(-sum(terms))))
