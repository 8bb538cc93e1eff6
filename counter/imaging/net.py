"""The learned finder's network, run by OpenCV on the CPU.

The network looks at a copy of the picture on which the smallest target is about
:data:`PX_ACROSS_SMALLEST` pixels across, and answers for each cell of 4 × 4 pixels: how deep inside
a body it lies, of which class that body is, and how far its outline is along each of 32 rays
(star-convex shapes; Schmidt U, Weigert M, Broaddus C, Myers G (2018), Cell detection with
star-convex polygons, MICCAI, LNCS 11071:265-273).
"""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.errors import CounterError
from counter.imaging.networks import read_network
from counter.imaging.photo import Pixels
from counter.imaging.ranks import percentile
from counter.imaging.shrink import shrunk

Floats = NDArray[np.float32]

PX_ACROSS_SMALLEST = 12.0
STRIDE = 4
RAYS = 32
CLASSES = ("egg", "larva", "empty", "other")
GRAIN = 32
"""Height and width given to the network are multiples of this."""

LARGEST_SIDE = 2048
OVERLAP = 192

_TURN = threading.Lock()


class NoNetworkError(CounterError):
    """The network's file is missing or damaged."""


@dataclass(frozen=True, slots=True)
class Answer:
    """``depth`` (h, w): 0 outside to 1 in the middle of a body. ``classes`` (4, h, w): logits.

    ``log_radius`` (32, h, w): natural logarithm of the pixels to the outline along each ray. The
    middle of cell (row, column) is at pixel (4 column + 1.5, 4 row + 1.5).
    """

    depth: Floats
    classes: Floats
    log_radius: Floats


@lru_cache(maxsize=1)
def load() -> cv2.dnn.Net:
    """Return the network. Raises :class:`NoNetworkError` when its file is missing or damaged."""
    try:
        return read_network("finder.onnx")
    except (OSError, cv2.error) as error:
        raise NoNetworkError(
            "The learned finder's file resources/model/finder.onnx cannot be read; install the "
            "program again to get it back."
        ) from error


def seen_by_net(pixels: Pixels, factor: float, brightest: float | None = None) -> Floats:
    """Return ``pixels`` (h, w[, 3]) as the network wants them: (h', w', 3), about -1 to 1.

    ``factor`` is how many picture pixels make one of the network's. The brightest places become
    1 before the root is taken, whatever the camera's bits; ``brightest`` (see :func:`brightest_of`)
    is given where they may lie on another block of the same picture.
    """
    small = scaled(pixels, factor)
    top = brightest_of([small[::3, ::3]]) if brightest is None else brightest
    if small.dtype == np.uint8:
        tones = _toned(np.arange(256, dtype=np.float32), max(top, 0.012 * 255))
        looked_up = cv2.LUT(small.reshape(len(small), -1), tones)
        light = np.asarray(looked_up, np.float32).reshape(small.shape)
    else:
        light = _toned(small.astype(np.float32), max(top, 0.001 * 65535))
    return light if light.ndim == 3 else np.repeat(light[:, :, None], 3, axis=2)


def _toned(light: Floats, top: float) -> Floats:
    """Light (changed in place) as the network wants it; ``top`` is the brightest."""
    light /= np.float32(top)
    np.clip(light, 0, 1.44, out=light)
    np.sqrt(light, out=light)
    light -= 0.5
    light *= 2
    return light


def brightest_of(parts: Sequence[Pixels]) -> float:
    """Return the value of the brightest places of a picture of which ``parts`` are shown."""
    return percentile(np.concatenate([part.ravel() for part in parts]), 99.9)


def scaled(pixels: Pixels, factor: float) -> Pixels:
    """Return ``pixels`` at about the network's scale, both sides multiples of :data:`GRAIN`."""
    height, width = pixels.shape[:2]
    size = (_whole(width / factor), _whole(height / factor))
    if factor > 1:
        return shrunk(pixels, size)
    return np.asarray(cv2.resize(pixels, size, interpolation=cv2.INTER_LINEAR), pixels.dtype)


def _whole(side: float) -> int:
    """The nearest multiple of :data:`GRAIN`: the network must not see anything past the border."""
    return max(GRAIN, GRAIN * round(side / GRAIN))


def ask(net: cv2.dnn.Net, seen: Floats) -> Answer:
    """Run the network on a prepared picture (h, w, 3) of any size, in tiles where it is large."""
    height, width = seen.shape[:2]
    if max(height, width) <= LARGEST_SIDE:
        return _answer(_run(net, seen)[:, : -(-height // STRIDE), : -(-width // STRIDE)])
    cells = (RAYS + 1 + len(CLASSES), -(-height // STRIDE), -(-width // STRIDE))
    out = np.empty(cells, np.float32)
    for top, bottom, keep_top, keep_bottom in _spans(height):
        for left, right, keep_left, keep_right in _spans(width):
            part = _run(net, seen[top:bottom, left:right])
            rows = slice(keep_top // STRIDE, -(-keep_bottom // STRIDE))
            columns = slice(keep_left // STRIDE, -(-keep_right // STRIDE))
            out[:, rows, columns] = part[
                :,
                rows.start - top // STRIDE : rows.stop - top // STRIDE,
                columns.start - left // STRIDE : columns.stop - left // STRIDE,
            ]
    return _answer(out)


def _answer(out: Floats) -> Answer:
    """What the network's numbers (37, h, w) mean."""
    depth = 1 / (1 + np.exp(-out[0]))
    return Answer(depth, out[1 : 1 + len(CLASSES)], out[1 + len(CLASSES) :])


def _spans(length: int) -> list[tuple[int, int, int, int]]:
    """Cut a side into overlapping pieces: from, to, and what of it is kept."""
    if length <= LARGEST_SIDE:
        return [(0, length, 0, length)]
    step = LARGEST_SIDE - 2 * OVERLAP
    spans = []
    for start in range(0, length, step):
        stop = min(length, start + step)
        spans.append((max(0, start - OVERLAP), min(length, stop + OVERLAP), start, stop))
    return spans


def _run(net: cv2.dnn.Net, seen: Floats) -> Floats:
    """Run the network; one thread at a time, as OpenCV asks."""
    height, width = seen.shape[:2]
    down, right = -height % GRAIN, -width % GRAIN
    if down or right:
        whole = cv2.copyMakeBorder(seen, 0, down, 0, right, cv2.BORDER_CONSTANT, value=(0, 0, 0))
        seen = np.asarray(whole, np.float32)
    given = blocks(seen)
    with _TURN:
        net.setInput(given)
        return np.asarray(net.forward()[0], np.float32)


def blocks(whole: Floats) -> Floats:
    """(h, w, 3) → (1, 12, h / 2, w / 2): number 6 r + 3 c + k is colour k of row r, column c."""
    height, width = whole.shape[:2]
    cut = whole.reshape(height // 2, 2, width // 2, 2, 3).transpose(1, 3, 4, 0, 2)
    return np.ascontiguousarray(cut.reshape(1, 12, height // 2, width // 2))
