"""The baseline: what a textbook tells one to do, done with care, at full resolution.

Background by a large median (on a reduced copy, because a median of that size at full resolution
takes minutes), absolute difference from it, Gaussian smoothing, Otsu's limit (Otsu 1979, IEEE
Trans. SMC 9:62-66), closed and filled, distance transform smoothed, watershed from its maxima
(Vincent & Soille 1991), region properties, and limits of length, solidity and area.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy import ndimage
from skimage.feature import peak_local_max
from skimage.filters import threshold_otsu
from skimage.measure import regionprops
from skimage.segmentation import watershed

from counter.domain.species import Target
from counter.imaging.photo import Photo

Floats = NDArray[np.float32]


@dataclass(frozen=True, slots=True)
class Region:
    """What the baseline finds: centre in pixels, maximum Feret diameter in µm."""

    x_px: float
    y_px: float
    length_um: float
    is_cut: bool


def textbook(photo: Photo, target: Target) -> list[Region]:
    """Find bodies as a textbook pipeline does."""
    assert photo.um_per_px is not None
    grey = photo.grey()
    low_px = target.low_um / photo.um_per_px
    off = np.abs(grey - _background(grey, 2 * target.high_um / photo.um_per_px))
    smooth = cv2.GaussianBlur(off, (0, 0), max(1.0, 0.03 * low_px))
    limit = float(threshold_otsu(np.asarray(smooth)))  # type: ignore[no-untyped-call]
    reach = max(1, round(0.04 * low_px))
    kernel = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * reach + 1, 2 * reach + 1))
    closed = cv2.morphologyEx((smooth > limit).astype(np.uint8), cv2.MORPH_CLOSE, kernel)
    mask = np.asarray(ndimage.binary_fill_holes(closed), bool)
    return _judged(_split(mask, low_px), photo, target)


def _background(grey: Floats, size_px: float) -> Floats:
    scale = min(1.0, 15.0 / size_px)
    small = cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA)
    side = max(3, round(size_px * scale) | 1)
    middle = ndimage.median_filter(np.asarray(small), size=side, mode="nearest")
    return np.asarray(cv2.resize(middle, grey.shape[::-1], interpolation=cv2.INTER_CUBIC))


def _split(mask: NDArray[np.bool_], low_px: float) -> NDArray[np.int32]:
    depth = np.asarray(cv2.distanceTransform(mask.astype(np.uint8), cv2.DIST_L2, 5))
    smooth = np.asarray(cv2.GaussianBlur(depth, (0, 0), max(1.0, 0.1 * low_px)))
    blobs, _ = ndimage.label(mask)
    tops = peak_local_max(  # type: ignore[no-untyped-call]
        smooth, min_distance=max(2, round(0.3 * low_px)), labels=blobs, exclude_border=False
    )
    seeds = np.zeros(mask.shape, np.int32)
    seeds[tuple(tops.T)] = np.arange(1, len(tops) + 1)
    return np.asarray(watershed(-smooth, seeds, mask=mask))  # type: ignore[no-untyped-call]


def _judged(labels: NDArray[np.int32], photo: Photo, target: Target) -> list[Region]:
    um_per_px = photo.um_per_px or 1.0
    height, width = labels.shape
    found = []
    regions: list[Any] = regionprops(labels)  # type: ignore[no-untyped-call]
    for region in regions:
        top, left, bottom, right = region.bbox
        if max(bottom - top, right - left) * um_per_px < 0.5 * target.low_um:
            continue
        length_um = float(region.feret_diameter_max) * um_per_px
        cut = top == 0 or left == 0 or bottom == height or right == width
        fits = 0.9 * target.low_um <= length_um <= 1.1 * target.high_um
        if (fits or cut) and region.solidity > 0.88 and region.eccentricity < 0.92:
            y, x = region.centroid
            found.append(Region(float(x), float(y), length_um, cut))
    return found
