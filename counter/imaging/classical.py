"""The classical finder: what stands out from the water, taken apart and judged by its shape."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from counter.domain.mark import Mark
from counter.domain.progress import Progress
from counter.domain.species import Target
from counter.imaging.blobs import relief
from counter.imaging.bodies import Body, bodies
from counter.imaging.bridge import bridged_outline
from counter.imaging.judge import Setting, score
from counter.imaging.measure import measure
from counter.imaging.outline import Refined, refine
from counter.imaging.polygon import contains
from counter.imaging.scene import (
    SURE_ENOUGH,
    Row,
    Scene,
    free_points,
    marks_of,
    noted,
    seen_traits,
    to_border,
)

Floats = NDArray[np.float64]


def search(scene: Scene, target: Target, progress: Progress) -> list[Mark]:
    """Find the bodies of ``target`` on a prepared scene by what stands out and by shape."""
    progress.report(0.4, "looking for bodies")
    land = relief(scene.ruled, scene.view.mask)
    candidates = bodies(land, scene.ruled, scene.view.mask, scene.sizes)
    progress.report(0.6, "following outlines")
    contours = [body.contour.astype(np.float64) for body in candidates]
    free = [
        free_points(contour[None], scene)[0] & ~body.hidden
        for contour, body in zip(contours, candidates, strict=True)
    ]
    refined = refine(contours, free, scene.photo.pixels, scene.copy, scene.flat)
    progress.report(0.85, "judging")
    marks = _marks(candidates, refined, scene, target)
    progress.report(1.0, "done")
    return marks


def _marks(candidates: list[Body], refined: Refined, scene: Scene, target: Target) -> list[Mark]:
    if not candidates:
        return []
    full_size = (scene.photo.width_px, scene.photo.height_px)
    whole = [
        bridged_outline(points, edge, body.hidden)
        for points, edge, body in zip(refined.outlines, refined.edge, candidates, strict=True)
    ]
    outlines = [to_border(points, full_size) for points in whole]
    measured = [measure(points, scene.um_per_px) for points, _ in outlines]
    _, seen = seen_traits(outlines, measured, refined, scene)
    rows: list[Row] = []
    for index, body in enumerate(candidates):
        (points, cut), measures = outlines[index], measured[index]
        parted = bool(body.hidden.any())
        setting = Setting(scene.flat.noise, scene.sizes, cut, parted, body.explained)
        sure = score(body.shape, seen[index], setting)
        if sure < SURE_ENOUGH:
            continue
        odd = noted(points, cut, float(refined.edge_px[index]), measures, sure, scene)
        rows.append((points, measures, sure, odd | body.flags, False))
    return marks_of(_outer(rows), target)


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
