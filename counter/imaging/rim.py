"""Where a body ends, from the light across its rim: settled to a fraction of a pixel, without blur.

The steepest place of a blurred edge is where the edge is, but only of a plain step. A dark line, as
the rim of a shell or an egg, shows its steepest place further outside the more it is blurred; and a
round edge further inside, by the blur's variance over twice the radius (blur is diffusion; Witkin
1983, Scale-space filtering, IJCAI, pp. 1019-1022). So the mean profile across each rim is blurred
once and twice more by as much as it is already: what that moves tells what the first blur has
moved (Richardson's extrapolation to no blur at all). How much it is blurred already is told by its
outer flank, for bodies end abruptly.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from counter.imaging.photo import Pixels
from counter.imaging.rays import normals, sample, smoothed

Floats = NDArray[np.float64]

HALF = 24
"""Steps on either side of the outline."""

LEAST_REACH_PX, REACH_SHARE = 6.0, 0.1
"""How far rays reach on either side: so many pixels and this share of the radius at least."""

NEAR_PX, NEAR_SHARE = 1.5, 0.03
"""How far an outline is from the steepest place at most."""

ALONG = 1.0
"""How far along the outline profiles are averaged, in points."""

FIRM = 0.4
"""Of the usual steepness so much at least is a rim; elsewhere a neighbour or nothing is seen."""

UNLIKE_WATER = 0.3
"""How far, in heights of the rim, the light differs from the water's where something touches."""

WIDE = 1.1774
"""Half the width at half the height of a Gaussian's peak, in its standard deviations."""

MOST = 1.0
"""A rim is moved by this many standard deviations of its blur at most."""


def settled(
    outlines: Floats,
    moving: NDArray[np.bool_],
    polarity: Floats,
    pixels: Pixels,
    weights: NDArray[np.floating],
) -> tuple[Floats, NDArray[np.bool_]]:
    """Return outlines (objects, points, 2), in pixels of the picture, laid on where bodies end.

    They are within about a pixel of it already. ``moving`` (objects, points) says which points may
    be moved, ``polarity`` (objects,) whether rims are brighter (+1) or darker (-1) than the water;
    ``weights`` turn the channels of ``pixels`` into one grey. The second answer (objects, points)
    says at which points no water is seen beyond the outline, but something else that touches.
    """
    radius = np.ptp(outlines, axis=1).mean(axis=1) / 2
    step = np.maximum(LEAST_REACH_PX, REACH_SHARE * radius) / HALF
    outward = normals(outlines)
    grey = _across(outlines, outward, step, pixels, weights) * polarity[:, None, None]
    slope = -np.gradient(grey, axis=2)
    near = np.maximum(NEAR_PX, NEAR_SHARE * radius) / step
    off, steep = _peaks(slope, np.zeros(moving.shape), near[:, None])
    firm = moving & (steep > FIRM * np.median(steep, axis=1, keepdims=True))
    off = smoothed(np.where(firm, off, 0.0), ALONG)
    mean = _aligned(slope, off, firm)
    off = np.where(moving, off + _unblurred(mean, radius / step)[:, None], 0.0)
    laid = outlines + (off * step[:, None])[..., None] * outward
    return laid, moving & ~firm & _no_water(grey)


def _across(
    outlines: Floats,
    outward: Floats,
    step: Floats,
    pixels: Pixels,
    weights: NDArray[np.floating],
) -> Floats:
    """The light on rays across outlines, from inside to outside (objects, points, steps)."""
    away = np.arange(-HALF, HALF + 1) * step[:, None]
    places = outlines[:, :, None, :] + outward[:, :, None, :] * away[:, None, :, None]
    seen = sample(pixels, places[..., 0], places[..., 1])
    grey = seen if seen.ndim == 3 else seen @ weights
    return smoothed(grey.astype(np.float64), ALONG)


def _no_water(grey: Floats) -> NDArray[np.bool_]:
    """On which rays (objects, points) the light beyond the outline is not that of the water.

    ``grey`` is the light times the rim's polarity: the water is where it is least.
    """
    beyond = grey[..., -HALF // 3 :].mean(axis=2)
    water = np.percentile(beyond, 25, axis=1)[:, None]
    rim = np.median(grey[..., HALF // 2 : HALF].max(axis=2), axis=1)[:, None]
    return np.asarray(beyond - water > UNLIKE_WATER * (rim - water))


def _peaks(slope: Floats, start: Floats, near: Floats) -> tuple[Floats, Floats]:
    """The steepest places (...) of slopes (..., steps) within ``near`` steps of ``start``.

    And how steep it is there.
    """
    place = np.arange(slope.shape[-1]) - HALF
    far = np.abs(place - start[..., None]) > np.broadcast_to(near, start.shape)[..., None]
    top = np.where(far, -np.inf, slope).argmax(axis=-1).clip(1, slope.shape[-1] - 2)[..., None]
    before, at, after = (np.take_along_axis(slope, top + k, -1)[..., 0] for k in (-1, 0, 1))
    bend = before - 2 * at + after
    tip = np.where(bend < -1e-12, 0.5 * (before - after) / np.minimum(bend, -1e-12), 0.0)
    return np.asarray(top[..., 0] - HALF + tip.clip(-1, 1)), at


def _aligned(slope: Floats, off: Floats, moving: NDArray[np.bool_]) -> Floats:
    """Each object's mean slope across its rim (objects, steps), its outline in the middle."""
    place = np.arange(slope.shape[2]) + off[..., None]
    place = place.clip(0, slope.shape[2] - 1.001)
    first = place.astype(np.intp)
    part = place - first
    low = np.take_along_axis(slope, first, axis=2)
    shown = low + part * (np.take_along_axis(slope, first + 1, axis=2) - low)
    counted = np.maximum(moving.sum(axis=1), 1)[:, None]
    return np.asarray((shown * moving[..., None]).sum(axis=1) / counted)


def _unblurred(mean: Floats, radius: Floats) -> Floats:
    """How far the rims lie from the steepest places of mean slopes (objects, steps), in steps."""
    nowhere = np.zeros(len(mean))
    first, _ = _peaks(mean, nowhere, nowhere + 2)
    blur = _outer_half_width(mean, first) / WIDE
    twice, _ = _peaks(_blurred(mean, blur), first, blur + 1)
    moved = first - twice + blur**2 / (2 * radius)
    return np.asarray(first + moved.clip(-MOST * blur, MOST * blur))


def _outer_half_width(mean: Floats, top: Floats) -> Floats:
    """Steps from the steepest place outwards to where it is half as steep."""
    place = np.arange(mean.shape[1]) - HALF
    at = np.round(top).astype(np.intp) + HALF
    half = np.take_along_axis(mean, at[:, None], axis=1) / 2
    below = (mean < half) & (place > top[:, None])
    below[:, -1] = True
    end = below.argmax(axis=1)[:, None]
    high, low = (np.take_along_axis(mean, end + k, axis=1) for k in (-1, 0))
    part = np.clip((high - half) / np.maximum(high - low, 1e-12), 0, 1)
    return np.asarray(end[:, 0] - 1 + part[:, 0] - HALF - top).clip(0.5, HALF / 2)


def _blurred(mean: Floats, sigma: Floats) -> Floats:
    """Slopes (objects, steps) blurred by ``sigma`` (objects,) steps; they go on at their ends."""
    place = np.arange(-HALF, HALF + 1)
    off = (place[:, None] - place[None, :]) / sigma[:, None, None]
    weight = np.exp(-0.5 * off**2)
    weight /= weight.sum(axis=2, keepdims=True)
    return np.asarray((weight @ mean[..., None])[..., 0])
