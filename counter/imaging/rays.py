"""Looking at a picture along lines through outlines: coordinates in, samples out."""

from __future__ import annotations

from typing import TypeVar

import cv2
import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float32]
Real = TypeVar("Real", np.float32, np.float64)
Picture = NDArray[np.uint8 | np.uint16] | NDArray[np.float32]


def sample(picture: Picture, x: NDArray[np.floating], y: NDArray[np.floating]) -> Floats:
    """Return ``picture`` at (x, y) by linear interpolation; its border goes on outside.

    ``picture`` is (h, w) or (h, w, channels) of uint8, uint16 or float32; ``x`` and ``y`` have any
    one shape, to which the channels are added at the end. Work goes in pieces, because OpenCV's
    remap takes no more than 32767 rows.
    """
    shape, channels, count = x.shape, picture.shape[2:], x.size
    width = 1024
    rows = -(-count // width)
    grid_x, grid_y = np.empty((2, rows * width), np.float32)
    for grid, given in ((grid_x, x), (grid_y, y)):
        grid[:count].reshape(shape)[...] = given
        grid[count:] = 0
    grid_x, grid_y = grid_x.reshape(rows, width), grid_y.reshape(rows, width)
    out = np.empty((rows, width, *channels), np.float32)
    for top in range(0, rows, 16384):
        piece = slice(top, top + 16384)
        out[piece] = cv2.remap(
            picture,
            grid_x[piece],
            grid_y[piece],
            cv2.INTER_LINEAR,
            borderMode=cv2.BORDER_REPLICATE,
        )
    return out.reshape(-1, *channels)[:count].reshape(*shape, *channels)


def along_rays(
    outlines: NDArray[np.float64], outward: NDArray[np.float64], offsets: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return x and y (objects, points, steps) of places on rays across outlines.

    ``outlines`` and unit vectors ``outward`` are (objects, points, 2), ``offsets`` (objects, steps)
    how far outward each place lies.
    """
    x, y = (outward[:, :, None, axis] * offsets[:, None, :] for axis in (0, 1))
    x += outlines[:, :, None, 0]
    y += outlines[:, :, None, 1]
    return x, y


def evenly(outline: NDArray[np.floating], count: int) -> NDArray[np.float64]:
    """Return ``count`` points at equal steps along a closed outline (n, 2)."""
    return np.asarray(evenly_all(outline[None], count)[0])


def evenly_all(outlines: NDArray[np.floating], count: int) -> NDArray[np.float64]:
    """Return ``count`` points at equal steps along closed outlines (objects, n, 2)."""
    closed = np.concatenate([outlines, outlines[:, :1]], axis=1).astype(np.float64)
    step = np.diff(closed, axis=1)
    along = np.zeros(closed.shape[:2])
    np.cumsum(np.hypot(step[..., 0], step[..., 1]), axis=1, out=along[:, 1:])
    wanted = np.arange(count) * along[:, -1:] / count
    side = (along[:, None, 1:-1] <= wanted[:, :, None]).sum(axis=2)
    start = np.take_along_axis(along, side, axis=1)
    length = np.maximum(np.take_along_axis(along, side + 1, axis=1) - start, 1e-300)
    share = ((wanted - start) / length)[..., None]
    first = np.take_along_axis(closed, side[..., None], axis=1)
    return np.asarray(first + share * np.take_along_axis(step, side[..., None], axis=1))


def smoothed(values: NDArray[Real], sigma: float) -> NDArray[Real]:
    """Blur ``values`` (objects, points, ...) around the closed outlines, sigma in points."""
    reach = max(1, int(np.ceil(3 * sigma)))
    kernel = np.exp(-0.5 * (np.arange(-reach, reach + 1) / sigma) ** 2)
    kernel /= kernel.sum()
    points = values.shape[1]
    around = np.take(values, np.arange(-reach, points + reach) % points, axis=1)
    out = np.zeros_like(values)
    weighted = np.empty_like(values)
    for start, weight in zip(range(2 * reach, -1, -1), kernel, strict=True):
        np.multiply(around[:, start : start + points], float(weight), out=weighted)
        out += weighted
    return out


def normals(outlines: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return outward unit normals of closed outlines (objects, points, 2)."""
    tangent = np.roll(outlines, -1, axis=1) - np.roll(outlines, 1, axis=1)
    length = np.hypot(tangent[..., 0], tangent[..., 1])[..., None]
    tangent = tangent / np.maximum(length, 1e-9)
    normal = np.stack([tangent[..., 1], -tangent[..., 0]], axis=-1)
    after = np.roll(outlines, -1, axis=1)
    area = (outlines[..., 0] * after[..., 1] - after[..., 0] * outlines[..., 1]).sum(axis=1)
    turned: NDArray[np.float64] = normal * np.where(area < 0, -1.0, 1.0)[:, None, None]
    return turned


def radii(outlines: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return half the mean extent (objects,) of outlines (objects, points, 2)."""
    along = np.ascontiguousarray(outlines.transpose(0, 2, 1))
    return np.asarray(np.ptp(along, axis=2).mean(axis=1) / 2)


def highest(values: NDArray[Real]) -> NDArray[Real]:
    """Return the highest (...) of values (..., steps): numpy's own takes long for a few steps."""
    rows = np.ascontiguousarray(values).reshape(-1, values.shape[-1])
    top = cv2.reduce(rows, 1, cv2.REDUCE_MAX)
    return np.asarray(top, values.dtype).reshape(values.shape[:-1])


def taken(values: NDArray[Real], steps: NDArray[np.intp]) -> NDArray[Real]:
    """Return values (objects, points, steps) at ``steps`` (objects, points, n) of each ray."""
    first = np.arange(0, values.size, values.shape[2]).reshape(*values.shape[:2], 1)
    return values.ravel().take(first + steps)


def median_where(values: NDArray[Real], counted: NDArray[np.bool_]) -> NDArray[Real]:
    """Return the median (..., 1) of the counted ones of values (..., n), of which one is at least.

    ``counted`` is (..., n) or as much of it as is alike for all.
    """
    counted = np.broadcast_to(counted, values.shape)
    ordered = np.sort(np.where(counted, values, np.inf), axis=-1)
    number = counted.sum(axis=-1, keepdims=True)
    low = np.take_along_axis(ordered, (number - 1) // 2, axis=-1)
    middle: NDArray[Real] = (low + np.take_along_axis(ordered, number // 2, axis=-1)) / 2
    return middle


def over_gaps(values: NDArray[np.float64], known: NDArray[np.bool_]) -> NDArray[np.float64]:
    """Return values (objects, points) with those not ``known`` on straight lines between those
    that are, around the closed outlines; 0 where none is known.
    """
    out = np.where(known, values, 0.0)
    place = np.arange(values.shape[1])
    for index in np.flatnonzero(known.any(axis=1) & ~known.all(axis=1)):
        good = known[index]
        out[index] = np.interp(place, place[good], out[index, good], period=len(place))
    return out
