"""A second look where hardly anything was found: is it there at another size?

With the scale of another objective every body is too short or too long to be looked for, and the
picture seems empty. So the network looks once more, at the scales that usual objectives would have.
Large bodies take no time: the whole picture is small then. For small ones it looks only where small
things lie thickest, and not at all where there are none.
"""

from __future__ import annotations

from collections.abc import Iterator

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.domain.second_look import OtherSize
from counter.domain.species import Target, TargetKind
from counter.imaging.measure import ferets_px
from counter.imaging.net import CLASSES, PX_ACROSS_SMALLEST, NoNetworkError, ask, load, seen_by_net
from counter.imaging.scene import Scene
from counter.imaging.stars import Star, stars

Floats = NDArray[np.float64]

LITTLE = 10
"""So many marks, or fewer, are little."""

STEPS = (4.0, 2.5, 2.0)
"""How many times one usual neighbour among objectives (4, 10, 20, 40 ×) magnifies more."""

MOST_PIXELS = 200_000
LEAST_SIDE = 64
LEAST_ACROSS_PX = 6.0
"""A shortest body with fewer pixels across cannot be told from dirt."""

FINE_ENOUGH = 2.0
"""The working copy serves as well as the picture where it is reduced this many times again."""

SURE, OF_KIND, SHELLED = 0.8, 0.7, 0.82
"""From which depth, and from which share of egg or of larva and empty shell, a body surely is one:
algae made four times as large look like blurred larvae with up to 0.8 of shell on them."""

TOO_SHORT, TOO_LONG = 0.9, 1.1
STRONG = 6.0
SPECKS = 5
"""Fewer small things than this are not looked at again."""

EGG, LARVA, EMPTY = (CLASSES.index(name) for name in ("egg", "larva", "empty"))


def second_look(scene: Scene, target: Target) -> OtherSize | None:
    """Return the most bodies of the kind looked for that have another size; None: none seen.

    Only where the species' own lengths are looked for: who gives others may mean to leave the rest
    out. Says nothing where the network cannot be read.
    """
    own = target.species.egg_um if target.kind is TargetKind.EGGS else target.species.larva_um
    if (target.low_um, target.high_um) != own:
        return None
    try:
        found = [_at(times, scene, target) for times in _scales(target)]
    except NoNetworkError:
        return None
    return max((each for each in found if each), key=lambda each: each.bodies, default=None)


def _scales(target: Target) -> Iterator[float]:
    """The fewest scales at which every length up to four times too short or too long is seen."""
    covered = target.low_um / STEPS[0]
    for step in STEPS:
        if covered < target.low_um:
            yield step
            covered = target.high_um / step
    covered = target.high_um * STEPS[0]
    for step in STEPS:
        if covered > target.high_um:
            yield 1 / step
            covered = target.low_um * step


def _at(times: float, scene: Scene, target: Target) -> OtherSize | None:
    """Look as if a pixel were ``times`` as large; None where nothing is seen."""
    photo, um_per_px = scene.photo, scene.um_per_px * times
    factor = target.low_um / PX_ACROSS_SMALLEST / um_per_px
    if PX_ACROSS_SMALLEST * factor < LEAST_ACROSS_PX:
        return None
    part = _whole_or_thickest(scene, factor)
    if part is None:
        return None
    pixels = photo.pixels[part]
    if min(pixels.shape[:2]) < LEAST_SIDE * min(1.0, factor):
        return None
    if factor >= FINE_ENOUGH * scene.copy.factor and pixels.shape == photo.pixels.shape:
        seen = seen_by_net(scene.copy.pixels, factor / scene.copy.factor)
    else:
        seen = seen_by_net(pixels, factor)
    found = stars(ask(load(), seen))
    if not found:
        return None
    per_px = np.array([pixels.shape[1] / seen.shape[1], pixels.shape[0] / seen.shape[0]])
    lengths_px = ferets_px(np.stack([star.outline for star in found]) * per_px)[:, 0]
    kept = lengths_px[_are_meant(found, lengths_px * scene.um_per_px, times, target)]
    return OtherSize(times, len(kept), float(np.median(kept))) if len(kept) else None


def _are_meant(
    found: list[Star], lengths_um: Floats, times: float, target: Target
) -> NDArray[np.bool_]:
    """Which stars are surely of the kind looked for, and only at the other scale of its lengths."""
    shares = np.array([star.classes for star in found])
    if target.kind is TargetKind.EGGS:
        is_kind = shares[:, EGG] > OF_KIND
    else:
        is_kind = shares[:, LARVA] + shares[:, EMPTY] > SHELLED
    sure = np.array([star.depth for star in found]) > SURE
    wrong = (lengths_um < TOO_SHORT * target.low_um) | (lengths_um > TOO_LONG * target.high_um)
    fits = (lengths_um * times > 0.95 * target.low_um) & (lengths_um * times < target.high_um)
    return np.asarray(sure & is_kind & wrong & fits)


def _whole_or_thickest(scene: Scene, factor: float) -> tuple[slice, slice] | None:
    """Return the rows and columns to look at: all, if it is little work, else where specks lie."""
    height, width = scene.photo.height_px, scene.photo.width_px
    share = float(np.sqrt(MOST_PIXELS * factor**2 / (height * width)))
    if share >= 1:
        return slice(0, height), slice(0, width)
    places = _specks(scene) * scene.copy.factor
    if len(places) < SPECKS:
        return None
    tall, wide = round(height * share), round(width * share)
    tops = np.linspace(0, height - tall, 2 * -(-height // tall)).astype(int)
    lefts = np.linspace(0, width - wide, 2 * -(-width // wide)).astype(int)
    best = max(
        ((int(t), int(s)) for t in tops for s in lefts),
        key=lambda at: _within(places, at, tall, wide),
    )
    return slice(best[0], best[0] + tall), slice(best[1], best[1] + wide)


def _within(places: Floats, at: tuple[int, int], tall: int, wide: int) -> int:
    x, y = places.T
    return int(((y >= at[0]) & (y < at[0] + tall) & (x >= at[1]) & (x < at[1] + wide)).sum())


def _specks(scene: Scene) -> Floats:
    """The middles (n, 2), in working pixels, of what stands out and is smaller than a body."""
    flat, low = scene.flat, scene.sizes.low_px
    is_strong = np.abs(flat.contrast) > STRONG * flat.noise
    is_strong &= scene.view.mask > 0
    strong = is_strong.view(np.uint8)
    outlines, nested = cv2.findContours(strong, cv2.RETR_CCOMP, cv2.CHAIN_APPROX_SIMPLE)
    if not outlines:
        return np.zeros((0, 2))
    middles = [
        _middle(outline, strong)
        for outline, (_, _, _, around) in zip(outlines, np.reshape(nested, (-1, 4)), strict=True)
        if around < 0 and 0.8 * low / STEPS[0] <= max(cv2.boundingRect(outline)[2:]) <= 1.1 * low
    ]
    return np.array(middles, np.float64).reshape(-1, 2)


def _middle(
    outline: NDArray[np.integer | np.floating], strong: NDArray[np.uint8]
) -> tuple[float, float]:
    """The centroid of the pixels that an outline encloses and that are ``strong``."""
    left, top, width, height = cv2.boundingRect(outline)
    own = np.zeros((height, width), np.uint8)
    cv2.drawContours(own, [outline], -1, 1, cv2.FILLED, offset=(-left, -top))
    moments = cv2.moments(own & strong[top : top + height, left : left + width], binaryImage=True)
    return left + moments["m10"] / moments["m00"], top + moments["m01"] / moments["m00"]
