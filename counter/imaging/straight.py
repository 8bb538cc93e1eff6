"""Straight lines on a picture: which ways they run, and the picture's profile across them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy import ndimage

from counter.imaging.view import view_of

Floats = NDArray[np.float64]
Grey = NDArray[np.float32]
Bools = NDArray[np.bool_]

BIN_DEG = 0.5
BINS = 360
VIEW_SIDE_PX = 800


def visible(grey: Grey) -> Bools:
    """Return where (H, W) the picture shows the field, not black surroundings or burned-in bars."""
    shrink = max(1.0, max(grey.shape) / VIEW_SIDE_PX)
    small = cv2.resize(grey, None, fx=1 / shrink, fy=1 / shrink, interpolation=cv2.INTER_AREA)
    mask = view_of(np.asarray(small, np.float32)[..., None]).mask
    narrow = cv2.erode(mask, np.ones((3, 3), np.uint8), borderValue=255) if shrink > 1 else mask
    full = cv2.resize(narrow, grey.shape[::-1], interpolation=cv2.INTER_NEAREST)
    return np.asarray(full) > 0


def directions(grey: Grey, seen: Bools, most: int) -> list[float]:
    """Return up to ``most`` directions (degrees, 0 to 180) across which there are many edges.

    The direction is that of the gradient: across lines, from x towards y. Edges of round bodies
    run all ways and make a level floor in the histogram of directions; lines make narrow peaks,
    of which the strongest comes first. Empty where no peak stands out.
    """
    smooth = cv2.GaussianBlur(grey, (0, 0), 1.2)
    gx = cv2.Scharr(smooth, cv2.CV_32F, 1, 0)[seen]
    gy = cv2.Scharr(smooth, cv2.CV_32F, 0, 1)[seen]
    strength, angle = cv2.cartToPolar(gx.reshape(1, -1), gy.reshape(1, -1), angleInDegrees=True)
    step = max(1, strength.size // 100_000)
    limit = np.percentile(strength[0, ::step], [70, 97])
    strong = strength > limit[0]
    bins = (angle[strong] / BIN_DEG).astype(np.int64) % BINS
    counts = np.bincount(bins, np.minimum(strength[strong], limit[1]), BINS).astype(np.float64)
    counts = ndimage.gaussian_filter1d(counts, 1.0, mode="wrap")
    floor = ndimage.median_filter(counts, 41, mode="wrap")
    return _peaks(counts - floor, 0.02 * float(floor.mean() + 1e-12), most)


def _peaks(excess: Floats, least: float, most: int) -> list[float]:
    found: list[float] = []
    left = excess.copy()
    for _ in range(most):
        top = int(np.argmax(left))
        if left[top] <= least:
            break
        around = np.arange(top - 3, top + 4)
        weights = np.clip(excess[around % BINS], 0, None)
        found.append(float((around @ weights / weights.sum() + 0.5) * BIN_DEG) % 180.0)
        left[np.arange(top - 10, top + 11) % BINS] = 0.0
    return found


@dataclass(frozen=True, slots=True)
class Profile:
    """Brightness ``values[u]`` across lines, around 0, where it is ``seen[u]``; elsewhere 0.

    ``doubt[u]`` is half of what every other band says differently: noise, without the lines.
    """

    values: Floats
    doubt: Floats
    seen: Bools


@dataclass(frozen=True, slots=True)
class Bands:
    """The picture in bands along the lines: ``profile[band, u]`` is its brightness across them.

    ``u`` counts pixels along ``angle_deg``. The slow changes of the light are taken away, so lines
    stand around 0. ``seen[band, u]`` says where enough of the band is on the picture; elsewhere
    the profile is 0. ``middle_px[band]`` is where the band lies along the lines.
    """

    profile: Floats
    seen: Bools
    middle_px: Floats
    angle_deg: float

    def stretch(self, start: int, end: int) -> Profile:
        """Return what the bands ``start`` to ``end`` agree on: their median, and how surely."""
        values = np.median(self.profile[start:end], axis=0)
        odd, even = self.profile[start:end:2], self.profile[start + 1 : end : 2]
        if end - start < 2:
            return Profile(values, np.zeros_like(values), self.seen[start])
        doubt = (np.median(odd, axis=0) - np.median(even, axis=0)) / 2
        return Profile(values, doubt, self.seen[start:end].mean(axis=0) > 0.5)


@dataclass(frozen=True, slots=True)
class Turned:
    """The picture turned about its middle so that ``angle_deg`` runs to the right, and what of it
    is on the picture and shows the field."""

    grey: Grey
    inside: Bools
    angle_deg: float

    def by_a_quarter(self) -> Turned:
        """Return the picture turned 90° further."""
        return Turned(np.rot90(self.grey), np.rot90(self.inside), self.angle_deg + 90.0)


def bands_across(turned: Turned, tall_px: int, window_px: int) -> Bands:
    """Average a picture on which lines stand upright in bands across them.

    Bands are ``tall_px`` high; the light is evened out over ``window_px``.
    """
    height = turned.grey.shape[0]
    count = max(1, height // tall_px)
    edges = np.linspace(0, height, count + 1).astype(int)
    weights = turned.inside.astype(np.float32)
    sums = np.add.reduceat(turned.grey * weights, edges[:-1], axis=0)
    number = np.add.reduceat(weights, edges[:-1], axis=0)
    enough = number >= 0.6 * np.diff(edges)[:, None]
    mean = np.divide(sums, number, out=np.zeros_like(sums), where=number > 0)
    kernel = (2 * (window_px // 2) + 1, 1)
    mass = cv2.blur(enough.astype(np.float64), kernel, borderType=cv2.BORDER_CONSTANT)
    light = cv2.blur(np.where(enough, mean, 0.0), kernel, borderType=cv2.BORDER_CONSTANT)
    level = np.divide(light, mass, out=np.zeros_like(light), where=mass > 1e-9)
    profile = np.where(enough, mean - level, 0.0)
    middles = (edges[:-1] + edges[1:] - 1) / 2 - (height - 1) / 2
    return Bands(profile, enough, middles, turned.angle_deg)


def turned_to(grey: Grey, seen: Bools, angle_deg: float) -> Turned:
    """Turn a picture (H, W) so that lines across ``angle_deg`` stand upright; all of it is kept."""
    height, width = grey.shape
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    size = (
        math.ceil(abs(width * c) + abs(height * s)),
        math.ceil(abs(width * s) + abs(height * c)),
    )
    picture, inside = upright_part(grey, seen, angle_deg, 0.0, size)
    return Turned(picture, inside, angle_deg)


def upright_part(
    grey: Grey, seen: Bools, angle_deg: float, across_px: float, size: tuple[int, int]
) -> tuple[Grey, Bools]:
    """Return a part of a picture (H, W), turned so that lines across ``angle_deg`` stand upright.

    It is ``size`` (width, height) large; its middle lies ``across_px`` from the picture's in that
    direction. What is not on the picture is False in the second array, and its border goes on.
    """
    height, width = grey.shape
    c, s = math.cos(math.radians(angle_deg)), math.sin(math.radians(angle_deg))
    u, v = across_px - (size[0] - 1) / 2, -(size[1] - 1) / 2
    matrix = np.array(
        [
            [c, -s, (width - 1) / 2 + c * u - s * v],
            [s, c, (height - 1) / 2 + s * u + c * v],
        ]
    )
    flags = cv2.WARP_INVERSE_MAP
    turned = cv2.warpAffine(
        grey, matrix, size, flags=flags | cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE
    )
    mask = cv2.warpAffine(seen.view(np.uint8), matrix, size, flags=flags | cv2.INTER_NEAREST)
    return np.asarray(turned, np.float32), np.asarray(mask) > 0
