"""What of a picture shows the field: not the black outside of a round view, nor burned-in marks.

Three things hide the field. Black surroundings (an eyepiece's round field of view) are much darker
than the field and reach a corner or fill a side. Blocks without any picture (gaps of a stitched
picture) are exactly one value over a large upright rectangle. Burned-in marks (a scale bar with its
text, a strip of data along an edge) are exactly one value, saturated, and straight.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]
Bytes = NDArray[np.uint8]


@dataclass(frozen=True, slots=True)
class View:
    """``mask`` (h, w): 255 where the field can be searched; ``hidden_share`` of the area is not
    field at all (a burned-in bar hides nothing worth subtracting and is not in it).
    """

    mask: Bytes
    hidden_share: float
    warnings: tuple[str, ...]


def view_of(pixels: Floats) -> View:
    """Tell field from surroundings on a working copy (h, w, channels), 1 = its bright end."""
    channels = [np.asarray(channel, np.float32) for channel in cv2.split(pixels)]
    low = high = channels[0]
    for channel in channels[1:]:
        low, high = np.minimum(low, channel), np.maximum(high, channel)
    grey = np.asarray((low + high) / 2, np.float32)
    hidden = _surroundings(grey) | _blocks(high) | _strips(grey)
    warnings = []
    if hidden.mean() > 0.01:
        warnings.append(
            f"{hidden.mean():.0%} of the picture shows no field (dark surroundings, blank blocks "
            "or a data strip) and is left out of the counted area."
        )
    mask = np.where(hidden, 0, 255).astype(np.uint8)
    mask[_bars(low, high)] = 0
    return View(mask, float(hidden.mean()), tuple(warnings))


def _surroundings(grey: Floats) -> NDArray[np.bool_]:
    """Black outside of a round view: far darker than the field, which is one convex lit region."""
    height, width = grey.shape
    smooth = cv2.blur(grey, (5, 5))
    lit_limit = 0.3 * float(np.percentile(smooth, 75))
    lit = (smooth > max(lit_limit, 0.06)).astype(np.uint8)
    corners = [(y, x) for y in (0, height - 1) for x in (0, width - 1)]
    nothing = np.zeros(grey.shape, bool)
    if all(lit[corner] for corner in corners):
        return nothing
    contours, _ = cv2.findContours(lit, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    if not contours:
        return nothing
    field = max(contours, key=cv2.contourArea)
    hull = cv2.convexHull(field)
    hull_area = cv2.contourArea(hull)
    outside = np.ones(grey.shape, np.uint8)
    cv2.drawContours(outside, [hull], -1, 0, -1)
    if hull_area < 0.3 * grey.size or cv2.contourArea(field) < 0.96 * hull_area:
        return nothing
    if outside.mean() < 0.003 or float(np.percentile(smooth[outside > 0], 90)) > lit_limit:
        return nothing
    return cv2.dilate(outside, np.ones((5, 5), np.uint8)) > 0


def _blocks(grey: Floats) -> NDArray[np.bool_]:
    """Large upright rectangles of exactly one value: gaps of a stitched picture."""
    height, width = grey.shape
    kernel = np.ones((3, 3), np.uint8)
    plain = (cv2.dilate(grey, kernel) - cv2.erode(grey, kernel) <= 1e-6).astype(np.uint8)
    found = np.zeros((height, width), bool)
    if np.count_nonzero(plain) < 0.02 * height * width:
        return found
    count, _, stats, _ = cv2.connectedComponentsWithStats(plain, connectivity=4)
    for label in range(1, count):
        x, y, w, h, area = (int(value) for value in stats[label])
        large = area > 0.02 * height * width and min(w, h) > 0.05 * min(height, width)
        if large and area > 0.93 * w * h and area < 0.9 * height * width:
            edge_x, edge_y = x <= 1 or x + w >= width - 1, y <= 1 or y + h >= height - 1
            if edge_x or edge_y:
                found[max(0, y - 2) : y + h + 2, max(0, x - 2) : x + w + 2] = True
    return found


def _strips(grey: Floats) -> NDArray[np.bool_]:
    """A plain strip of data along an edge: most of each of its rows is exactly one value."""
    found = np.zeros(grey.shape, bool)
    for turns in range(4):
        turned = np.rot90(grey, turns)
        rows = min(len(turned) // 5, 400)
        shade = np.median(turned[:3])
        same = np.abs(turned[: rows + 3] - shade) < 1e-3
        full = same.mean(axis=1) > 0.55
        depth = int(np.argmin(full)) if not full.all() else len(full)
        if 0.015 * len(turned) < depth <= rows and same[:depth].mean() > 0.7:
            beyond = same[depth + 1 :].mean() if depth + 1 < len(same) else 1.0
            if beyond < 0.3:
                np.rot90(found, turns)[: depth + 1] = True
    return found


def _bars(low: Floats, high: Floats) -> NDArray[np.bool_]:
    """Burned-in scale bars, with room for their text: thin, upright, saturated, of one value."""
    height, width = low.shape
    found = np.zeros((height, width), bool)
    for burned in (low >= 0.97 * float(high.max()), high <= 0.01):
        if not 0.0002 < np.count_nonzero(burned) / burned.size < 0.5:
            continue
        count, _, stats, _ = cv2.connectedComponentsWithStats(burned.astype(np.uint8))
        for label in range(1, count):
            x, y, w, h, area = (int(value) for value in stats[label])
            long, thin = max(w, h), min(w, h)
            if 0.03 * max(height, width) < long < 0.6 * max(height, width) and thin * 8 < long:
                straight = area > 0.6 * w * h
                if straight and thin < 0.02 * max(height, width):
                    room = max(6, min(long // 4, round(0.04 * max(height, width))))
                    found[max(0, y - room) : y + h + room, max(0, x - 4) : x + w + 4] = True
    return found
