"""An outline grown around a click, for a body that the finder missed.

Three ways, each tried only where the one before shows nothing: what stands out from the water at
one of several limits and holds the click; the closed path round the click that follows the
strongest steps of brightness (the star-shaped shortest path of cell tracking: radii from the
click, dynamic programming around it); nothing.
"""

from __future__ import annotations

import math
from dataclasses import replace

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.domain.progress import Silent
from counter.domain.species import Target
from counter.imaging.blobs import filled
from counter.imaging.outline import Refined, closed_path, refine
from counter.imaging.polygon import contains
from counter.imaging.rays import sample, smoothed
from counter.imaging.scene import Scene, prepare
from counter.imaging.shape import Sizes, contour_of, likeness, shape_of
from counter.imaging.slide import AnyPhoto
from counter.imaging.split import split

Floats = NDArray[np.float64]

USUAL_REACH, WHOLE_REACH = 1.6, 1.15
"""How far from the click is looked: first in lengths of a usual body, then of the longest, which
lies within one length of any press on it."""
LIMITS = 10
ANGLES = 72
RADII = 64
LEAST_EDGE = 2.5
"""How many times the water's noise the steps along a path must be."""
CLEAR_PART = 0.6
"""On how much of the path: neighbours lend a ring on empty water only a part of their rims."""


def grown(photo: AnyPhoto, target: Target, x_px: float, y_px: float) -> Floats | None:
    """Return the outline (n, 2) in pixels of the body at (x, y), or None where nothing stands out.

    ``photo`` must have a scale. Its surroundings of about a usual body are looked at first, those
    of the longest one only where that shows nothing, or something that reaches to its edge.
    """
    if photo.um_per_px is None:
        raise ValueError("a photo needs a scale before it is searched")
    usual_px = math.sqrt(target.low_um * target.high_um) / photo.um_per_px
    found = _grown_within(photo, target, (x_px, y_px), USUAL_REACH * usual_px)
    if found is not None and np.abs(found - np.array([x_px, y_px])).max() <= usual_px:
        return found  # with water round it
    longest_px = target.high_um / photo.um_per_px
    return _grown_within(photo, target, (x_px, y_px), WHOLE_REACH * longest_px)


def _grown_within(
    photo: AnyPhoto, target: Target, click: tuple[float, float], reach_px: float
) -> Floats | None:
    """The body at the click, looked for within ``reach_px`` of it."""
    x, y, reach = round(click[0]), round(click[1]), math.ceil(reach_px) + 8
    left, top = max(0, x - reach), max(0, y - reach)
    part = photo.part(left, top, x + reach + 1, y + reach + 1)
    if min(part.pixels.shape[:2]) < 8:
        return None
    near = replace(part, pixels=np.ascontiguousarray(part.pixels))
    scene = prepare(near, target, Silent())
    place = scene.copy.from_full(np.array([click[0] - left, click[1] - top]))
    found = _standing_out(scene, place)
    if found is None:
        found = _star(scene, place)
    return None if found is None else found + np.array([left, top])


def _standing_out(scene: Scene, click: Floats) -> Floats | None:
    """The best body among what stands out at several limits and holds the click."""
    soft = cv2.GaussianBlur(scene.flat.contrast, (0, 0), 0.8)
    strength = np.abs(np.asarray(soft, np.float32))
    lowest = 2.5 * scene.flat.noise
    highest = max(0.7 * float(strength.max()), 1.5 * lowest)
    rough: list[tuple[Floats, float]] = []
    for limit in np.geomspace(lowest, highest, LIMITS):
        contour = _region(strength > limit, click, scene.sizes)
        shape = shape_of(contour) if contour is not None else None
        if contour is not None and shape is not None:
            fit = likeness(shape, scene.sizes)
            if fit > 0.3:
                rough.append((contour.astype(np.float64), fit))
    if not rough:
        return None
    refined = _refined([contour for contour, _ in rough], scene)
    edge = refined.edge.mean(axis=1)
    worth = np.array([fit for _, fit in rough]) * edge / max(float(edge.max()), 1e-9)
    best = int(worth.argmax())
    return refined.outlines[best] if _holds(refined.outlines[best], click, scene) else None


def _region(standing: NDArray[np.bool_], click: Floats, sizes: Sizes) -> NDArray[np.int32] | None:
    """The contour of the body that holds the click (or lies within a sixth of a body of it)."""
    mask = filled(np.where(standing, 255, 0).astype(np.uint8), sizes)
    _, labels = cv2.connectedComponents(mask, connectivity=4)
    x, y = (round(float(value)) for value in click)
    if not (0 <= y < labels.shape[0] and 0 <= x < labels.shape[1]):
        return None
    here = int(labels[y, x])
    if here == 0:
        reach = max(1, round(sizes.low_px / 6))
        near = labels[max(0, y - reach) : y + reach + 1, max(0, x - reach) : x + reach + 1]
        if not near.any():
            return None
        here = int(np.bincount(near[near > 0]).argmax())
    own = np.where(labels == here, 255, 0).astype(np.uint8)
    left, top, width, height = cv2.boundingRect(own)
    if max(width, height) > 2.5 * sizes.high_px:
        return None
    box = own[top : top + height, left : left + width]
    padded = np.asarray(cv2.copyMakeBorder(box, 2, 2, 2, 2, cv2.BORDER_CONSTANT), np.uint8)
    parts = split(padded, sizes)
    place = np.array([left - 2, top - 2], np.int32)
    contours = [contour_of(part.mask) for part in parts]
    fitting = [contour + place for contour in contours if contour is not None]
    for contour in fitting:
        if contains(contour.astype(np.float64), float(click[0]), float(click[1])):
            return contour
    return fitting[0] if len(fitting) == 1 else None


def _star(scene: Scene, click: Floats) -> Floats | None:
    """The closed path round the click along the strongest steps, of either polarity."""
    centre = click
    best: Floats | None = None
    for _ in range(2):
        found = [_star_path(scene, centre, polarity) for polarity in (-1.0, 1.0)]
        path, clear = max(found, key=lambda each: each[1])
        if clear < LEAST_EDGE:
            return best
        best, centre = path, path.mean(axis=0)
    if best is None:
        return None
    outline = _refined([best], scene).outlines[0]
    return outline if _holds(outline, click, scene) else None


def _star_path(scene: Scene, centre: Floats, polarity: float) -> tuple[Floats, float]:
    """The best path for one polarity, and the step, in units of the water's noise, that
    :data:`CLEAR_PART` of it reaches."""
    radii = np.geomspace(0.3 * scene.sizes.low_px, 0.65 * scene.sizes.high_px, RADII)
    angles = np.arange(ANGLES) * 2 * np.pi / ANGLES
    direction = np.column_stack([np.cos(angles), np.sin(angles)])
    places = centre + direction[:, None, :] * radii[None, :, None]
    seen = sample(scene.flat.contrast, places[..., 0], places[..., 1]).astype(np.float64)
    seen = smoothed(seen[None], 1.0)[0]
    step = np.zeros_like(seen)
    step[:, 1:-1] = -polarity * (seen[:, 2:] - seen[:, :-2]) / 2
    typical = max(float(np.median(step.max(axis=1))), 1e-9)
    gain = np.clip(step / typical, 0, 2)[None]
    shift = closed_path(gain)[0]
    reached = radii[shift]
    along = step[np.arange(ANGLES), shift]
    clear = float(np.quantile(along, 1 - CLEAR_PART)) / scene.flat.noise
    return centre + direction * reached[:, None], clear


def _refined(rough: list[Floats], scene: Scene) -> Refined:
    return refine(rough, None, scene.photo.pixels, scene.copy, scene.flat)


def _holds(outline: Floats, click: Floats, scene: Scene) -> bool:
    """Whether a refined outline is about the click: holds it or passes within a sixth of it."""
    x, y = scene.copy.to_full(click)
    inside = cv2.pointPolygonTest(outline.astype(np.float32)[:, None], (float(x), float(y)), True)
    return float(inside) > -scene.sizes.low_px * scene.copy.factor / 6
