"""Taking touching bodies apart.

A blob is cut into pieces where it narrows (watershed of its distance transform; Vincent & Soille
1991, IEEE PAMI 13:583-598), then the pieces are joined again, widest neck first. That gives a tree
of hypotheses: each join as one body, or as the bodies that it was joined from. The hypothesis
stands that explains the blob by the best bodies, judged by shape and by the lengths looked for.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from skimage.segmentation import watershed

from counter.imaging.shape import Shape, Sizes, contour_of, likeness, shape_of

Bytes = NDArray[np.uint8]
Floats = NDArray[np.float32]
Labels = NDArray[np.int32]
Contour = NDArray[np.int32]

GAIN_TO_SPLIT = 0.05
"""By how much the parts must look more like bodies than the whole does."""

STICK = 0.6
WIDEST_NECK = 0.93
LEAST_WAIST = 0.06
STAIR = 0.4
"""In what is long like a stick, a neck as wide as the narrower body, without a bay on either side,
is none: a fibre has none.
A stair of pixels is no bay and no narrowing."""

THIN = 0.45
"""What an opening with a disc of this share of a body's inner radius removes is thin."""

CONVEX = 0.98
"""Nothing sticks out of a body that fills this share of its convex hull."""

LEAST_STICKING_OUT = 0.27
"""By how much of the inner radius a thin part must stick out to be left off the shell."""


@dataclass(frozen=True, slots=True)
class Part:
    """One body of a blob: its mask in the blob's box and how much it looks like a body.

    ``contour`` (n, 2) is its outline in the box and ``shape`` what that measures.
    """

    mask: Bytes
    likeness: float
    contour: Contour
    shape: Shape


@dataclass(frozen=True, slots=True)
class _Node:
    labels: frozenset[int]
    peak: float
    area: float
    parts: tuple[Part, ...]
    value: float


def split(mask: Bytes, sizes: Sizes) -> tuple[Part, ...]:
    """Return the bodies of a blob (255 inside); one part where it is one. Empty for no area."""
    whole = as_one(mask, sizes)
    if whole is None:
        return ()
    if whole.likeness > 0.93 or _too_small(mask, sizes):
        return (whole,)
    depth = np.asarray(cv2.distanceTransform(mask, cv2.DIST_L2, 5), np.float32)
    pieces = _pieces(depth, mask, sizes)
    count = int(pieces.max())
    if count < 2:
        return (whole,)
    return _best(pieces, count, depth, sizes)


def _too_small(mask: Bytes, sizes: Sizes) -> bool:
    """Whether two of the smallest bodies can't be in it."""
    return float(np.count_nonzero(mask)) < 0.6 * sizes.low_px**2 * 0.785


def as_one(mask: Bytes, sizes: Sizes) -> Part | None:
    """Read a blob as one body, holes and all; None where it has no area."""
    contour = contour_of(mask)
    shape = shape_of(contour) if contour is not None else None
    if contour is None or shape is None:
        return None
    whole = np.zeros_like(mask)
    cv2.drawContours(whole, [contour], -1, 255, -1)
    return Part(whole, likeness(shape, sizes), contour, shape)


def _pieces(depth: Floats, mask: Bytes, sizes: Sizes) -> Labels:
    """Cut at the necks, generously: every local maximum of the depth seeds a piece."""
    soft = cv2.GaussianBlur(depth, (0, 0), max(0.7, 0.05 * sizes.low_px))
    reach = max(1, round(0.12 * sizes.low_px))
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * reach + 1, 2 * reach + 1))
    tops = (soft >= cv2.dilate(soft, kernel) - 1e-4) & (soft > 0.15 * sizes.low_px)
    _, seeds = cv2.connectedComponents(tops.astype(np.uint8))
    found = watershed(-soft, seeds, mask=mask > 0)  # type: ignore[no-untyped-call]
    return np.asarray(found, np.int32)


def _best(pieces: Labels, count: int, depth: Floats, sizes: Sizes) -> tuple[Part, ...]:
    """Join the pieces again, widest neck first, keeping the best reading of each join.

    A neck is measured against the narrower of the two bodies joined so far, not against the two
    pieces, so that a sliver between two bodies does not make them one.
    """
    home = {label: _leaf(pieces, label, depth, sizes) for label in range(1, count + 1)}
    necks = _necks(pieces, depth)
    while necks:
        widths = [(saddle + STAIR) / min(home[a].peak, home[b].peak) for a, b, saddle in necks]
        widest = int(np.argmax(widths))
        a, b, _ = necks[widest]
        joined = _join(home[a], home[b], pieces, widths[widest], sizes)
        for label in joined.labels:
            home[label] = joined
        necks = [neck for neck in necks if home[neck[0]] is not home[neck[1]]]
    tops = {id(node): node for node in home.values()}
    return tuple(part for node in tops.values() for part in node.parts)


def _leaf(pieces: Labels, label: int, depth: Floats, sizes: Sizes) -> _Node:
    here = pieces == label
    mask = np.where(here, 255, 0).astype(np.uint8)
    part = as_one(mask, sizes)
    parts, value = ((part,), part.likeness) if part is not None else ((), 0.0)
    return _Node(frozenset({label}), float(depth[here].max()), float(here.sum()), parts, value)


def _join(a: _Node, b: _Node, pieces: Labels, width: float, sizes: Sizes) -> _Node:
    labels = a.labels | b.labels
    area, peak = a.area + b.area, max(a.peak, b.peak)
    apart = (a.value * a.area + b.value * b.area) / area
    mask = np.where(np.isin(pieces, list(labels)), 255, 0).astype(np.uint8)
    whole = as_one(mask, sizes)
    if whole is not None:
        least = LEAST_WAIST + STAIR / np.sqrt(area / np.pi)
        shape = whole.shape
        long = shape.width_px < STICK * shape.length_px
        no_neck = long and width > WIDEST_NECK and shape.second_notch < least
        if no_neck or whole.likeness + GAIN_TO_SPLIT >= apart:
            return _Node(labels, peak, area, (whole,), whole.likeness)
    return _Node(labels, peak, area, a.parts + b.parts, apart)


def _necks(pieces: Labels, depth: Floats) -> list[tuple[int, int, float]]:
    """Neighbouring pieces and the depth of the widest place of the neck between them."""
    widest: dict[tuple[int, int], float] = {}
    for ahead, back in (
        ((slice(1, None), slice(None)), (slice(None, -1), slice(None))),
        ((slice(None), slice(1, None)), (slice(None), slice(None, -1))),
    ):
        one, other = pieces[ahead], pieces[back]
        met = (one != other) & (one > 0) & (other > 0)
        level = np.minimum(depth[ahead], depth[back])[met]
        for a, b, value in zip(one[met], other[met], level, strict=True):
            pair = (min(int(a), int(b)), max(int(a), int(b)))
            widest[pair] = max(widest.get(pair, 0.0), float(value))
    return [(a, b, saddle) for (a, b), saddle in sorted(widest.items())]


def without_thin_parts(part: Part, sizes: Sizes) -> Part:
    """Return a body without what sticks out of it thinly."""
    if part.shape.solidity > CONVEX:
        return part
    mask = _opened(part.mask)
    if mask is part.mask:
        return part
    return as_one(mask, sizes) or part


def _opened(mask: Bytes) -> Bytes:
    """Leave off what sticks out thinly: a foot, a stalk of dirt, the stub of a fibre.

    The corners of a shell, which an opening rounds too, don't stick out far enough to be left off.
    """
    depth = np.asarray(cv2.distanceTransform(mask, cv2.DIST_L2, 5), np.float32)
    radius = float(depth.max())
    if radius < 4:
        return mask
    core = (depth > THIN * radius).astype(np.uint8)
    away = np.asarray(cv2.distanceTransform(1 - core, cv2.DIST_L2, 5), np.float32)
    off = np.asarray(away - THIN * radius, np.float64)
    thin = np.where((mask > 0) & (off > 0.5), 255, 0).astype(np.uint8)
    count, labels = cv2.connectedComponents(thin, connectivity=4)
    if count < 2:
        return mask
    reach = np.zeros(count)
    np.maximum.at(reach, np.asarray(labels, np.intp).ravel(), off.ravel())
    sticking = reach > LEAST_STICKING_OUT * radius
    sticking[0] = False
    if not sticking.any():
        return mask
    left = np.where(sticking[labels], 0, mask).astype(np.uint8)
    _, labels, stats, _ = cv2.connectedComponentsWithStats(left, connectivity=4)
    largest = 1 + int(stats[1:, cv2.CC_STAT_AREA].argmax())
    return np.where(labels == largest, 255, 0).astype(np.uint8)
