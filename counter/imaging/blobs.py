"""What stands out from the water: regions, their closed rims filled."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.shape import Sizes, shape_of
from counter.imaging.unruled import Ruled, bridged

Bytes = NDArray[np.uint8]
Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Relief:
    """How much every place stands out: ``strength`` (h, w) is the smoothed size of its contrast.

    Places over ``low`` belong to a region, and a region needs a place over ``high`` (hysteresis;
    Canny 1986, IEEE PAMI 8:679-698). ``bands`` is 255 on the chamber's rulings.
    """

    strength: Floats
    low: float
    high: float
    bands: Bytes


@dataclass(frozen=True, slots=True)
class Blob:
    """A region in its own box: ``mask`` is 255 inside; its pixel (0, 0) is (left, top).

    The mask has a margin of 2 pixels, which may lie off the picture.
    """

    left: int
    top: int
    mask: Bytes

    @property
    def box(self) -> tuple[slice, slice]:
        """Where the mask without its margin lies on the picture."""
        height, width = self.mask.shape[0] - 4, self.mask.shape[1] - 4
        top, left = self.top + 2, self.left + 2
        return slice(top, top + height), slice(left, left + width)


def relief(ruled: Ruled, seen: Bytes) -> Relief:
    """Return how much everything stands out, with limits from the noise and the strongest."""
    soft = np.asarray(cv2.GaussianBlur(ruled.flat.contrast, (0, 0), 0.8), np.float32)
    strength = np.abs(soft)
    low, high = limits(strength, ruled.flat.noise, seen)
    return Relief(strength, low, high, ruled.bands)


def limits(strength: Floats, noise: float, seen: Bytes) -> tuple[float, float]:
    """Return the low and the high limit of what stands out."""
    values = strength[::2, ::2][seen[::2, ::2] > 0]
    floor = 3.5 * noise
    strong = values[values > 2 * floor]
    typical = float(np.percentile(strong, 80)) if len(strong) > 50 else 0.0
    low = max(floor, 0.06 * typical)
    return low, max(2 * floor, 1.6 * low)


def blobs(land: Relief, ruled: Ruled, seen: Bytes, sizes: Sizes) -> Iterator[Blob]:
    """Yield the regions that stand out and are large enough to hold a body."""
    standing = np.where(land.strength > land.low, seen, 0).astype(np.uint8)
    standing = _closed(standing, sizes) & seen
    if ruled.lines:
        widest = max(line.high - line.low for line in ruled.lines)
        standing = bridged(standing, ruled.bands, round(1.3 * widest) | 1)
    whole = (0, 0, standing.shape[1], standing.shape[0])
    found = list(_regions(standing, land.strength, land.high, sizes, whole))
    found.sort(key=lambda blob: -blob.mask.size)
    taken = np.zeros(standing.shape, bool)
    for blob in found:
        inner = blob.mask[2:-2, 2:-2] > 0
        here = taken[blob.box]
        if not here[inner].mean() > 0.5:  # not the gut inside a rim that was filled
            here |= inner
            yield blob


def tighter(blob: Blob, land: Relief, limit: float, sizes: Sizes) -> list[Blob]:
    """Return what of a blob stands out over a higher ``limit``."""
    inner, strength = blob.mask[2:-2, 2:-2], land.strength[blob.box]
    over = (strength > limit) | (land.bands[blob.box] > 0)
    standing = _closed(np.where(over, inner, 0).astype(np.uint8), sizes)
    high = max(land.high, 1.3 * limit)
    height, width = land.strength.shape
    place = (blob.left + 2, blob.top + 2, width, height)
    return list(_regions(standing, strength, high, sizes, place))


def _closed(standing: Bytes, sizes: Sizes) -> Bytes:
    reach = max(1, round(0.05 * sizes.low_px))
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * reach + 1, 2 * reach + 1))
    return np.asarray(cv2.morphologyEx(standing, cv2.MORPH_CLOSE, kernel), np.uint8)


def _regions(
    standing: Bytes, strength: Floats, high: float, sizes: Sizes, place: tuple[int, int, int, int]
) -> Iterator[Blob]:
    """Yield the regions of a box; ``place`` is its left, top and the whole picture's size."""
    left, top, width, height = place
    _, labels, stats, _ = cv2.connectedComponentsWithStats(standing, connectivity=4)
    sides = np.maximum(stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT])
    for label in np.flatnonzero(sides >= 0.55 * sizes.low_px):
        if label == 0:
            continue
        x, y, w, h = (int(value) for value in stats[label, :4])
        region = labels[y : y + h, x : x + w] == label
        if float(strength[y : y + h, x : x + w][region].max()) < high:
            continue
        mask = np.zeros((h + 4, w + 4), np.uint8)
        mask[2:-2, 2:-2][region] = 255
        x, y = left + x, top + y
        ends = (y == 0, y + h == height, x == 0, x + w == width)
        yield Blob(x - 2, y - 2, _walled(mask, ends, sizes))


def _walled(mask: Bytes, ends: tuple[bool, bool, bool, bool], sizes: Sizes) -> Bytes:
    """Fill holes, with the picture's border (top, bottom, left, right) as a wall where it cuts."""
    if not any(ends):
        return filled(mask, sizes)
    wall = mask.copy()
    # the outer line of the margin on each side, and the edge of the region beside it
    lines = (
        (wall[1], wall[2]),
        (wall[-2], wall[-3]),
        (wall[:, 1], wall[:, 2]),
        (wall[:, -2], wall[:, -3]),
    )
    for (line, edge), meets in zip(lines, ends, strict=True):
        if meets:
            touching = np.flatnonzero(edge)
            line[touching[0] : touching[-1] + 1] = 255
    out = filled(wall, sizes)
    out[:2], out[-2:], out[:, :2], out[:, -2:] = 0, 0, 0, 0
    return out


def filled(mask: Bytes, sizes: Sizes) -> Bytes:
    """Fill the holes that are the inside of a body; leave water enclosed by several bodies.

    The inside of a closed rim is itself convex, or the wall round it is thin. Water among touching
    bodies has a border that bulges inwards.
    """
    contours, tree = cv2.findContours(mask, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_NONE)
    if tree is None or len(contours) < 2:
        return mask
    out = mask.copy()
    wall = None
    for contour, links in zip(contours, tree[0], strict=True):
        if links[3] < 0:
            continue
        hole = np.asarray(contour, np.int32).reshape(-1, 2)
        shape = shape_of(hole) if len(hole) >= 6 else None
        if shape is None or shape.length_px < 0.25 * sizes.low_px:
            cv2.drawContours(out, [contour], -1, 255, -1)
            continue
        if shape.length_px > sizes.high_px:
            continue
        if wall is None:
            wall = np.asarray(cv2.distanceTransform(mask, cv2.DIST_L2, 3), np.float32)
        thin = shape.solidity > 0.93 or _thin_wall(wall, hole, shape.length_px)
        if shape.solidity > 0.86 and thin:
            cv2.drawContours(out, [contour], -1, 255, -1)
    return out


def _thin_wall(depth: Floats, hole: NDArray[np.int32], length_px: float) -> bool:
    """Whether what surrounds a hole is thin against the hole, as a rim is."""
    ring = np.zeros(depth.shape, np.uint8)
    reach = 2 * max(2, round(0.3 * length_px)) + 1
    cv2.drawContours(ring, [hole], -1, 255, -1)
    around = cv2.dilate(ring, cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (reach, reach)))
    inside = depth[(around > 0) & (ring == 0) & (depth > 0)]
    return bool(len(inside)) and float(np.percentile(inside, 90)) < 0.2 * length_px
