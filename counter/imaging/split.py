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

from counter.imaging.shape import Sizes, contour_of, likeness, shape_of, size_fit

Bytes = NDArray[np.uint8]
Floats = NDArray[np.float32]
Labels = NDArray[np.int32]

GAIN_TO_SPLIT = 0.08
"""By how much the parts must look more like bodies than the whole does."""


@dataclass(frozen=True, slots=True)
class Part:
    """One body of a blob: its mask in the blob's box and how much it looks like a body."""

    mask: Bytes
    likeness: float


@dataclass(frozen=True, slots=True)
class _Node:
    labels: frozenset[int]
    peak: float
    area: float
    parts: tuple[Part, ...]
    value: float


def split(mask: Bytes, sizes: Sizes) -> tuple[Part, ...]:
    """Return the bodies of a blob (255 inside); one part where it is one. Empty for no area."""
    whole = _part(mask, sizes)
    if whole is None:
        return ()
    if whole.likeness > 0.9 or _too_small(mask, sizes):
        return (whole,)
    depth = np.asarray(cv2.distanceTransform(mask, cv2.DIST_L2, 5), np.float32)
    pieces = _pieces(depth, mask, sizes)
    count = int(pieces.max())
    if count < 2:
        return (whole,)
    return _best(pieces, count, depth, sizes).parts


def _too_small(mask: Bytes, sizes: Sizes) -> bool:
    """Whether two of the smallest bodies can't be in it."""
    return float(np.count_nonzero(mask)) < 0.6 * sizes.low_px**2 * 0.785


def _part(mask: Bytes, sizes: Sizes) -> Part | None:
    contour = contour_of(mask)
    shape = shape_of(contour) if contour is not None else None
    return None if shape is None else Part(mask, likeness(shape, sizes))


def _pieces(depth: Floats, mask: Bytes, sizes: Sizes) -> Labels:
    """Cut at the necks, generously: every local maximum of the depth seeds a piece."""
    soft = cv2.GaussianBlur(depth, (0, 0), max(0.7, 0.05 * sizes.low_px))
    reach = max(1, round(0.12 * sizes.low_px))
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * reach + 1, 2 * reach + 1))
    tops = (soft >= cv2.dilate(soft, kernel) - 1e-4) & (soft > 0.15 * sizes.low_px)
    _, seeds = cv2.connectedComponents(tops.astype(np.uint8))
    found = watershed(-soft, seeds, mask=mask > 0)  # type: ignore[no-untyped-call]
    return np.asarray(found, np.int32)


def _best(pieces: Labels, count: int, depth: Floats, sizes: Sizes) -> _Node:
    """Join the pieces again, widest neck first, keeping the best reading of each join."""
    nodes = [_leaf(pieces, label, depth, sizes) for label in range(1, count + 1)]
    home = {label: label - 1 for label in range(1, count + 1)}
    for one, other, saddle in _necks(pieces, depth, [node.peak for node in nodes]):
        a, b = home[one], home[other]
        if a == b:
            continue
        joined = _join(nodes[a], nodes[b], pieces, saddle, sizes)
        nodes.append(joined)
        for label in joined.labels:
            home[label] = len(nodes) - 1
    tops = {home[label] for label in home}
    parts = tuple(part for top in sorted(tops) for part in nodes[top].parts)
    return _Node(frozenset(home), 0.0, 0.0, parts, 0.0)


def _leaf(pieces: Labels, label: int, depth: Floats, sizes: Sizes) -> _Node:
    here = pieces == label
    mask = np.where(here, 255, 0).astype(np.uint8)
    part = _part(mask, sizes) or Part(mask, 0.0)
    return _Node(
        frozenset({label}), float(depth[here].max()), float(here.sum()), (part,), part.likeness
    )


def _join(a: _Node, b: _Node, pieces: Labels, saddle: float, sizes: Sizes) -> _Node:
    labels = a.labels | b.labels
    area, peak = a.area + b.area, max(a.peak, b.peak)
    apart = (a.value * a.area + b.value * b.area) / area
    mask = np.where(np.isin(pieces, list(labels)), 255, 0).astype(np.uint8)
    whole = _part(mask, sizes)
    del saddle
    if whole is not None and whole.likeness + GAIN_TO_SPLIT >= apart:
        return _Node(labels, peak, area, (whole,), whole.likeness)
    return _Node(labels, peak, area, a.parts + b.parts, apart)


def _necks(pieces: Labels, depth: Floats, peaks: list[float]) -> list[tuple[int, int, float]]:
    """Neighbouring pieces and the depth of the neck between them, relatively widest first."""
    widest: dict[tuple[int, int], float] = {}
    for axis in (0, 1):
        ahead = (slice(1, None), slice(None)) if axis == 0 else (slice(None), slice(1, None))
        back = (slice(None, -1), slice(None)) if axis == 0 else (slice(None), slice(None, -1))
        one, other = pieces[ahead], pieces[back]
        met = (one != other) & (one > 0) & (other > 0)
        level = np.minimum(depth[ahead], depth[back])[met]
        for a, b, value in zip(one[met], other[met], level, strict=True):
            pair = (min(int(a), int(b)), max(int(a), int(b)))
            widest[pair] = max(widest.get(pair, 0.0), float(value))
    necks = [(a, b, saddle / min(peaks[a - 1], peaks[b - 1])) for (a, b), saddle in widest.items()]
    return sorted(necks, key=lambda neck: -neck[2])


__all__ = ["GAIN_TO_SPLIT", "Part", "size_fit", "split"]
