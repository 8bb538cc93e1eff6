"""Where a body ends, from the light across its rim: settled to a fraction of a pixel, without blur.

The steepest place of a blurred edge is where the edge is, but only of a plain step. A dark line, as
the rim of a shell or an egg, shows its steepest place further outside the more it is blurred; and a
round edge further inside, by the blur's variance over twice the radius (blur is diffusion; Witkin
1983, Scale-space filtering, IJCAI, pp. 1019-1022). So the mean profile across each rim is blurred
more, twice: how its steepest place moves from one to the other tells where it was before any blur
(Richardson's extrapolation). How much the camera and the lens have blurred is told by the outer
flank, because bodies end abruptly. How far each ray's own rim is off is told apart from its noise
by a Wiener filter around the outline, for noise makes the longest extent longer.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from counter.imaging.photo import Pixels
from counter.imaging.rays import along_rays, highest, normals, radii, sample, smoothed, taken

Floats = NDArray[np.float64]

AT_ONCE = 128
"""How many outlines are settled at once: each takes about half a megabyte meanwhile."""

HALF = 18
"""Steps on either side of the outline."""

LEAST_REACH_PX, REACH_SHARE, WHOLE_EDGE, MOST_REACH = 6.0, 0.1, 1.25, 0.4
"""How far rays reach on either side: so many pixels, this share of the radius, this many widths of
the edge at least, but only this share of the radius at most."""

NEAR_PX = 1.5
"""How far an outline is from the steepest place at most, where it is not blurred more."""

BASE = 1.5
"""How far along itself an outline is averaged before rays are laid across it, in points."""

FIRM = 0.4
"""Of the usual steepness so much at least is a rim; elsewhere a neighbour or nothing is seen."""

UNLIKE_WATER = 0.3
"""How far, in heights of the rim, the light differs from the water's where something touches."""

WIDE = 1.1774
"""Half the width at half the height of a Gaussian's peak, in its standard deviations."""

SOFTENED = 0.15
"""By this share of an edge's width its mean profile is softened before its width is read."""

MOST = 1.0
"""A rim is moved by this many standard deviations of its blur at most."""


def settled(
    outlines: Floats,
    moving: NDArray[np.bool_],
    polarity: Floats,
    edge_px: Floats,
    pixels: Pixels,
    weights: NDArray[np.floating],
) -> tuple[Floats, NDArray[np.bool_]]:
    """Return outlines (objects, points, 2), in pixels of the picture, laid on where bodies end.

    They are within about a pixel of it already. ``moving`` (objects, points) says which points may
    be moved, ``polarity`` (objects,) whether rims are brighter (+1) or darker (-1) than the water,
    ``edge_px`` (objects,) about how wide their edges are; ``weights`` turn the channels of
    ``pixels`` into one grey. The second answer (objects, points) says at which points no water is
    seen beyond the outline, but something else that touches.
    """
    laid, touched = outlines.copy(), np.zeros(moving.shape, bool)
    for at in range(0, len(outlines), AT_ONCE):
        part = slice(at, at + AT_ONCE)
        laid[part], touched[part] = _settled(
            outlines[part], moving[part], polarity[part], edge_px[part], pixels, weights
        )
    return laid, touched


def _settled(
    outlines: Floats,
    moving: NDArray[np.bool_],
    polarity: Floats,
    edge_px: Floats,
    pixels: Pixels,
    weights: NDArray[np.floating],
) -> tuple[Floats, NDArray[np.bool_]]:
    base = smoothed(outlines, BASE)
    radius = radii(outlines)
    step = _reach_px(radius, edge_px) / HALF
    outward = normals(base)
    grey = _across(base, outward, step, pixels, weights) * polarity[:, None, None]
    slope = -np.gradient(grey, axis=2)
    nowhere = np.zeros(moving.shape)
    blur = _blur_of(slope.mean(axis=1), NEAR_PX / step, edge_px / step)
    near = np.maximum(NEAR_PX / step, blur)[:, None]
    off, steep = _peaks(_blurred(slope, blur), nowhere, near)
    firm = moving & (steep > FIRM * np.median(steep, axis=1, keepdims=True))
    off = _calmed(off, firm)
    mean = _aligned(slope, off, firm)
    off += _unblurred(mean, radius / step, _blur_of(mean, 0 * blur + 2, edge_px / step))[:, None]
    laid = base + (off * step[:, None])[..., None] * outward
    return np.where(moving[..., None], laid, outlines), moving & ~firm & _no_water(grey)


def _reach_px(radius: Floats, edge_px: Floats) -> Floats:
    """How far rays reach on either side, in pixels: over all of the edge, not over the body."""
    wanted = np.maximum(REACH_SHARE * radius, WHOLE_EDGE * edge_px)
    return np.asarray(np.maximum(np.minimum(wanted, MOST_REACH * radius), LEAST_REACH_PX))


def _calmed(off: Floats, firm: NDArray[np.bool_]) -> Floats:
    """Take the noise out of how far rims are off on each ray (objects, points).

    A body's outline is smooth, noise is alike at all frequencies around it: what the upper half of
    them holds is taken off all (Wiener filter). Rays without a rim follow their neighbours.
    """
    points = off.shape[1]
    place = np.arange(points)
    off = off.copy()
    for row, good in zip(off, firm, strict=True):
        if not good.all() and good.any():
            row[~good] = np.interp(place[~good], place[good], row[good], period=points)
    spectrum = np.fft.rfft(off, axis=1)
    power = np.abs(spectrum) ** 2
    noise = power[:, points // 4 :].mean(axis=1, keepdims=True)
    around = np.stack([np.roll(power, k, axis=1) for k in (-1, 0, 1)])
    around[0, :, -1], around[2, :, 0] = power[:, -1], power[:, 0]
    kept = np.maximum(0, 1 - noise / np.maximum(around.mean(axis=0), 1e-12))
    kept[:, 0] = 1
    return np.fft.irfft(spectrum * kept, points, axis=1)


def _across(
    outlines: Floats,
    outward: Floats,
    step: Floats,
    pixels: Pixels,
    weights: NDArray[np.floating],
) -> Floats:
    """The light on rays across outlines, from inside to outside (objects, points, steps)."""
    x, y = along_rays(outlines, outward, np.arange(-HALF, HALF + 1) * step[:, None])
    seen = sample(pixels, x, y)
    grey = seen if seen.ndim == 3 else seen @ weights
    return grey.astype(np.float64)


def _no_water(grey: Floats) -> NDArray[np.bool_]:
    """On which rays (objects, points) the light beyond the outline is not that of the water.

    ``grey`` is the light times the rim's polarity: the water is where it is least.
    """
    beyond = grey[..., -HALF // 3 :].mean(axis=2)
    water = np.percentile(beyond, 25, axis=1)[:, None]
    rim = np.median(highest(grey[..., HALF // 2 : HALF]), axis=1)[:, None]
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
    np.clip(place, 0, slope.shape[2] - 1.001, out=place)
    first = place.astype(np.intp)
    place -= first
    low = taken(slope, first)
    shown = taken(slope, first + 1)
    shown -= low
    shown *= place
    shown += low
    shown *= moving[..., None]
    return np.asarray(shown.sum(axis=1) / np.maximum(moving.sum(axis=1), 1)[:, None])


def _unblurred(mean: Floats, radius: Floats, blur: Floats) -> Floats:
    """How far the rims lie from the middle of mean slopes (objects, steps), in steps.

    ``blur`` (objects,) is about how blurred they are; both looks are blurred more, for noise.
    """
    once, twice = 0.5, 1.0
    first, _ = _peaks(_blurred(mean[:, None], once * blur)[:, 0], 0 * blur, 0.5 * blur + 2)
    second, _ = _peaks(_blurred(mean[:, None], twice * blur)[:, 0], first, blur + 1)
    moved = (first - second) * (1 + once**2) / (twice**2 - once**2)
    moved += blur**2 / (2 * radius)
    return np.asarray(first + moved.clip(-MOST * blur, MOST * blur))


def _blur_of(mean: Floats, near: Floats, edge: Floats) -> Floats:
    """How blurred rims are, as standard deviations in steps, from their outer flanks.

    ``edge`` (objects,) is about how wide they are; less of ``mean`` (objects, steps) is noise.
    """
    soft = np.maximum(SOFTENED * edge, 0.5)
    calm = _blurred(mean[:, None], soft)[:, 0]
    width = _outer_half_width(calm, _peaks(calm, 0 * near, np.maximum(near, edge / 4))[0])
    return np.asarray(np.sqrt(np.maximum((width / WIDE) ** 2 - soft**2, 0.25)))


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


def _blurred(slope: Floats, sigma: Floats) -> Floats:
    """Slopes (objects, rays, steps) blurred by ``sigma`` (objects,) steps."""
    place = np.arange(2 * HALF + 1)
    kernels = np.exp(-0.5 * (place / sigma[:, None]) ** 2)
    weight = kernels.take(np.abs(place[:, None] - place), axis=1)
    weight /= weight.sum(axis=1, keepdims=True)
    return np.asarray(slope @ weight)
