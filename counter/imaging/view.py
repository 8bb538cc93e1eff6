"""What of a picture shows the field: not the black outside of a round view, nor burned-in marks.

Three things hide the field. Black surroundings (an eyepiece's round field of view) are much darker
than the field and reach a corner or fill a side. Blocks without any picture (gaps of a stitched
picture) are exactly one value over a large upright rectangle. Burned-in marks (a scale bar with its
text, a strip of data along an edge) are exactly one value, saturated, and straight.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.ranks import percentile
from counter.imaging.rays import Picture
from counter.imaging.round_view import Circle, circle_of

Bytes = NDArray[np.uint8]
Places = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class View:
    """``mask`` (h, w): 255 where the field can be searched; ``hidden_share`` of the area is not
    field at all (a burned-in bar hides nothing worth subtracting and is not in it). ``rim`` is the
    circle that bounds a round field of view, in pixels of the working copy; None where it is not
    round.
    """

    mask: Bytes
    hidden_share: float
    warnings: tuple[str, ...]
    rim: Circle | None = None


SOFT_PX = 6
"""How far the rim of a field of view is soft, in pixels of a working copy."""

ROUND_SOFT_PX = 3
"""The same where the rim was measured as a circle."""

WORTH_SAYING = 0.01
"""A smaller share of a picture without field is not spoken of."""

LEAST_JUMP = 4
"""Grey levels of 255 by which a data strip differs from the field just beyond it, at least."""

ROWS_AT_ONCE = 50
"""Strips of so many rows are split into their channels: the processor's cache holds them."""


def view_of(pixels: Picture) -> View:
    """Tell field from surroundings on a working copy.

    ``pixels`` is (h, w) or (h, w, channels) of uint8, uint16 or float32, black at 0.
    """
    low, high = _extremes(pixels)
    hidden, rim = _surroundings(high)
    if rim is not None:  # the plain black outside of it would pass for blocks and strips
        return made_view(hidden, _bars(low, high), ROUND_SOFT_PX, rim)
    hidden |= _blocks(high) | _strips(high)
    return made_view(hidden, _bars(low, high), SOFT_PX)


def view_of_slide(pixels: Picture, plain: Places, blank: Places, soft_px: int) -> View:
    """Tell field from surroundings on the overview of a slide, whose pixels are means of many.

    ``plain`` (h, w) says where all of these have one value, ``blank`` what was not scanned;
    ``soft_px`` is how far the rim of its field is soft.
    """
    low, high = _extremes(pixels)
    hidden = _surroundings(high)[0] | ((_blocks(high) | _strips(high)) & plain) | blank
    return made_view(hidden, _bars(low, high) & plain, soft_px)


def made_view(hidden: Places, bars: Places, soft_px: int, rim: Circle | None = None) -> View:
    """Return the view in which ``hidden`` is no field and ``bars`` (h, w) cannot be searched."""
    share = float(np.count_nonzero(hidden) / hidden.size)
    mask = np.full(hidden.shape, 255, np.uint8)
    mask[hidden] = 0
    if share:  # the rim of the field of view is soft
        side = 2 * soft_px + 1
        mask = np.asarray(cv2.erode(mask, np.ones((side, side), np.uint8)), np.uint8)
    mask[bars] = 0
    return View(mask, share, hidden_words(share), rim)


def hidden_words(share: float) -> tuple[str, ...]:
    """Return what there is to say of a ``share`` (0 to 1) of a picture that shows no field."""
    if share <= WORTH_SAYING:
        return ()
    return (
        f"{share:.0%} of the picture shows no field (dark surroundings, blank blocks "
        "or a data strip) and is left out of the counted area.",
    )


def _extremes(pixels: Picture) -> tuple[Bytes, Bytes]:
    """The darkest and the brightest channel of every pixel, as bytes."""
    if pixels.dtype != np.uint8:
        scale = 255 / max(float(pixels.max(initial=0)), 1e-9)
        pixels = np.asarray(cv2.convertScaleAbs(pixels, alpha=scale), np.uint8)
    if pixels.ndim == 2:
        return np.asarray(pixels, np.uint8), np.asarray(pixels, np.uint8)
    low, high = np.empty((2, *pixels.shape[:2]), np.uint8)
    for top in range(0, len(pixels), ROWS_AT_ONCE):
        rows = slice(top, top + ROWS_AT_ONCE)
        first, *others = cv2.split(pixels[rows])
        low[rows] = high[rows] = first
        for channel in others:
            cv2.min(low[rows], channel, dst=low[rows])
            cv2.max(high[rows], channel, dst=high[rows])
    return low, high


def _surroundings(high: Bytes) -> tuple[Places, Circle | None]:
    """Black outside of a round view: far darker than the field, which is one convex lit region.

    Looked for on a copy four times smaller; where the field is round, its circle is measured on
    ``high`` itself, and comes with it.
    """
    height, width = high.shape
    nothing = np.zeros(high.shape, bool), None
    if min(height, width) < 64:
        return nothing
    size = (width // 4, height // 4)
    smooth = np.asarray(cv2.resize(high, size, interpolation=cv2.INTER_AREA), np.uint8)
    lit_limit = 0.3 * percentile(smooth, 75)
    lit = (smooth > max(lit_limit, 15)).astype(np.uint8)
    if lit[0, 0] and lit[0, -1] and lit[-1, 0] and lit[-1, -1]:
        return nothing
    contours, _ = cv2.findContours(lit, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)
    if not contours:
        return nothing
    field = max(contours, key=cv2.contourArea)
    hull = cv2.convexHull(field)
    hull_area = cv2.contourArea(hull)
    outside = np.ones(smooth.shape, np.uint8)
    cv2.drawContours(outside, [hull], -1, 0, -1)
    if hull_area < 0.3 * smooth.size or cv2.contourArea(field) < 0.96 * hull_area:
        return nothing
    if outside.mean() < 0.003 or percentile(smooth[outside > 0], 90) > lit_limit:
        return nothing
    rim = circle_of(_inner(hull, smooth.shape) * 4.0 + 1.5, high)
    if rim is not None:
        return rim.outside(high.shape), rim
    outside = np.asarray(cv2.resize(outside, (width, height), interpolation=cv2.INTER_NEAREST))
    return outside > 0, rim


def _inner(hull: NDArray[np.integer | np.floating], shape: tuple[int, ...]) -> NDArray[np.float64]:
    """The corners (n, 2) of a hull that do not lie on the border of its picture."""
    points = np.asarray(hull).reshape(-1, 2).astype(np.float64)
    last = np.array([shape[1] - 2, shape[0] - 2])
    return points[((points > 1) & (points < last)).all(axis=1)]


def _blocks(grey: Bytes) -> Places:
    """Large upright rectangles of exactly one value: gaps of a stitched picture."""
    height, width = grey.shape
    kernel = np.ones((3, 3), np.uint8)
    plain = (cv2.dilate(grey, kernel) == cv2.erode(grey, kernel)).astype(np.uint8)
    found = np.zeros((height, width), bool)
    if np.count_nonzero(plain) < 0.02 * height * width:
        return found
    count, _, stats, _ = cv2.connectedComponentsWithStats(plain, connectivity=4)
    for label in range(1, count):
        x, y, w, h, area = (int(value) for value in stats[label])
        large = area > 0.02 * height * width and min(w, h) > 0.05 * min(height, width)
        if large and area > 0.97 * w * h and area < 0.9 * height * width:
            edge_x, edge_y = x <= 1 or x + w >= width - 1, y <= 1 or y + h >= height - 1
            if edge_x or edge_y:
                found[max(0, y - 2) : y + h + 2, max(0, x - 2) : x + w + 2] = True
    return found


def _strips(grey: Bytes) -> Places:
    """A plain strip of data along an edge: most of each of its rows is exactly one value."""
    found = np.zeros(grey.shape, bool)
    for turns in range(4):
        turned = np.rot90(grey, turns)
        rows = min(len(turned) // 5, 400)
        shade = int(np.median(turned[:3]))
        first = turned[: int(0.015 * len(turned)) + 1]  # no strip is thinner: most end here
        if ((np.abs(first.astype(np.int16) - shade) <= 1).mean(axis=1) <= 0.55).any():
            continue
        same = (turned[: rows + 3] >= shade - 1) & (turned[: rows + 3] <= shade + 1)
        full = same.mean(axis=1) > 0.55
        depth = int(np.argmin(full)) if not full.all() else len(full)
        if 0.015 * len(turned) < depth <= rows and same[:depth].mean() > 0.7:
            beyond = same[depth + 1 :].mean() if depth + 1 < len(same) else 1.0
            if beyond < 0.3 and _jumps(turned, depth, shade):
                np.rot90(found, turns)[: depth + 1] = True
    return found


def _jumps(turned: Bytes, depth: int, shade: int) -> bool:
    """Whether the light jumps where a strip ends; an even field that only fades does not."""
    beyond = turned[min(depth + 2, len(turned) - 1)].astype(np.int16)
    return bool(np.median(np.abs(beyond - shade)) >= LEAST_JUMP)


def _bars(low: Bytes, high: Bytes) -> Places:
    """Burned-in scale bars, with room for their text: thin, upright, saturated, of one value."""
    height, width = low.shape
    found = np.zeros((height, width), bool)
    for burned in (low >= math.ceil(0.97 * int(high.max())), high <= 2):
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
