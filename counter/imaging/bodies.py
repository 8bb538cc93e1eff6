"""Candidates: every region that stands out, read as one body or as several."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.domain import flags
from counter.imaging.blobs import Blob, Relief, blobs, tighter
from counter.imaging.outline import POINTS
from counter.imaging.rays import evenly, sample
from counter.imaging.shape import Shape, Sizes
from counter.imaging.split import Part, as_one, split, without_thin_parts
from counter.imaging.unruled import Ruled

Bytes = NDArray[np.uint8]
Ints = NDArray[np.int32]

OWN_LEVELS = (0.4, 0.25, 0.6)
LEVELS = (4.0, 1.0, 2.0)
"""Limits at which a region is read where it is not plainly one body, in turn: shares of its own
strength, then multiples of the low limit."""

ENOUGH = 0.86
"""A reading worth this much of the region's area is taken at once."""

KEPT = 0.96
"""The reading at the highest limit stands that is worth this much of the best."""

REACH = 0.15
"""How near a body, in shortest lengths, area of the region counts as the body's."""

PLAIN = 0.93


@dataclass(frozen=True, slots=True)
class Body:
    """A candidate: rough contour (n, 2) in working pixels and its shape.

    ``hidden`` says which of the POINTS of its outline lie against a neighbour; ``explained`` is how
    much of its region bodies explain (area times likeness): little of a flake of dirt.
    """

    contour: Ints
    shape: Shape
    hidden: NDArray[np.bool_]
    explained: float
    flags: frozenset[str]


@dataclass(frozen=True, slots=True)
class _Reading:
    """A region as bodies: each blob with its parts; ``worth`` is likeness times area."""

    groups: tuple[tuple[Blob, tuple[Part, ...]], ...]
    worth: float


def bodies(land: Relief, ruled: Ruled, seen: Bytes, sizes: Sizes) -> list[Body]:
    """Return the candidates of a picture, each with a rough contour."""
    found: list[Body] = []
    for blob in blobs(land, ruled, seen, sizes):
        reading = _best_reading(blob, land, sizes)
        explained = reading.worth / max(1.0, float(np.count_nonzero(blob.mask)))
        for group, parts in reading.groups:
            found.extend(_bodies_of(group, parts, explained, sizes))
    return found


def _best_reading(blob: Blob, land: Relief, sizes: Sizes) -> _Reading:
    """Read a region at the low limit and, unless it is plainly one body, at higher ones.

    Halos and blur join neighbours at the low limit; the faint rims of clear bodies break at a high
    one. The highest limit stands whose bodies are worth about as much as the best.
    """
    area = float(np.count_nonzero(blob.mask))
    whole = as_one(blob.mask, sizes)
    if whole is not None and whole.likeness > PLAIN:
        return _Reading(((blob, (whole,)),), whole.likeness * area)
    readings: dict[float, _Reading] = {}
    for limit in _levels(blob, land):
        group = tighter(blob, land, limit, sizes) if limit > land.low else [blob]
        readings[limit] = _read(group, blob, sizes)
        if readings[limit].worth > ENOUGH * area:
            return readings[limit]
    best = max(reading.worth for reading in readings.values())
    highest = max(limit for limit, each in readings.items() if each.worth >= KEPT * best)
    return readings[highest]


def _levels(blob: Blob, land: Relief) -> list[float]:
    own = float(np.percentile(land.strength[blob.box][blob.mask[2:-2, 2:-2] > 0], 85))
    wanted = [share * own for share in OWN_LEVELS] + [times * land.low for times in LEVELS]
    kept: list[float] = []
    for limit in wanted:
        if limit >= land.low and all(abs(limit / other - 1) > 0.2 for other in kept):
            kept.append(limit)
    return kept


def _read(group: list[Blob], region: Blob, sizes: Sizes) -> _Reading:
    """Read blobs; each body is worth its likeness times the area of the region that is nearest it.

    A higher limit shrinks every body, which must not count against it, but loses faint bodies
    altogether, which must: so area counts as long as a body is near.
    """
    groups = tuple((blob, split(blob.mask, sizes)) for blob in group)
    likeness = [part.likeness for _, parts in groups for part in parts]
    if len(likeness) == 1 and group[0] is region:
        return _Reading(groups, likeness[0] * float(np.count_nonzero(region.mask)))
    owner = np.zeros(region.mask.shape, np.int32)
    number = 0
    for blob, parts in groups:
        x, y = blob.left - region.left, blob.top - region.top
        for part in parts:
            number += 1
            inner = part.mask[2:-2, 2:-2]
            box = owner[y + 2 : y + 2 + inner.shape[0], x + 2 : x + 2 + inner.shape[1]]
            box[inner > 0] = number
    if number == 0:
        return _Reading(groups, 0.0)
    away, nearest = cv2.distanceTransformWithLabels(
        np.where(owner > 0, 0, 255).astype(np.uint8),
        cv2.DIST_L2,
        5,
        labelType=cv2.DIST_LABEL_PIXEL,
    )
    value_of = np.zeros(int(nearest.max()) + 1)
    value_of[nearest[owner > 0]] = np.array([0.0, *likeness])[owner[owner > 0]]
    near = (np.asarray(away) <= max(2.0, REACH * sizes.low_px)) & (region.mask > 0)
    return _Reading(groups, float(value_of[nearest[near]].sum()))


def _bodies_of(blob: Blob, parts: tuple[Part, ...], explained: float, sizes: Sizes) -> list[Body]:
    found = []
    place = np.array([blob.left, blob.top], np.int32)
    for part, others in zip(parts, _others(parts), strict=True):
        body = without_thin_parts(part, sizes)
        contour, shape = body.contour, body.shape
        if shape.length_px < 0.6 * sizes.low_px:
            continue
        noted = {flags.SPLIT.key} if len(parts) > 1 else set()
        if shape.length_px > 1.1 * sizes.high_px:
            noted.add(flags.CLUMP.key)
        hidden = _hidden(contour, others)
        found.append(Body(contour + place, shape, hidden, explained, frozenset(noted)))
    return found


def _others(parts: tuple[Part, ...]) -> list[Bytes | None]:
    """For each part of a blob, 255 on and beside the other parts."""
    if len(parts) < 2:
        return [None] * len(parts)
    owner = np.zeros(parts[0].mask.shape, np.int32)
    for number, part in enumerate(parts, 1):
        owner[part.mask > 0] = number
    kernel = np.ones((5, 5), np.uint8)
    every: list[Bytes | None] = []
    for number in range(1, len(parts) + 1):
        other = np.where((owner > 0) & (owner != number), 255, 0).astype(np.uint8)
        every.append(np.asarray(cv2.dilate(other, kernel), np.uint8))
    return every


def _hidden(contour: Ints, others: Bytes | None) -> NDArray[np.bool_]:
    if others is None:
        return np.zeros(POINTS, bool)
    x, y = evenly(contour.astype(np.float64), POINTS).T
    return np.asarray(sample(others, x, y) > 100)
