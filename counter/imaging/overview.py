"""A picture of any size seen on few pixels: all of it reduced, or a part from near."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.domain.progress import Progress
from counter.imaging.photo import Photo, Pixels
from counter.imaging.slide import AnyPhoto, Overview, Regions, Slide

OVERVIEW_PX = 8_000_000
"""An overview has at most so many pixels."""

WINDOW_PX = 2048
"""About how wide and high a window is that an overview is made from, in pixels."""

CLOSEUP_PX = 36_000_000
"""For a look at a part of the slide, at most so many pixels are decoded."""


def overview_of(picture: AnyPhoto, progress: Progress, most_px: int | None = None) -> Overview:
    """Return the whole picture on at most ``most_px`` pixels (default: ``OVERVIEW_PX``).

    It comes from the file's own level where it has one.

    Raises :class:`~counter.errors.CounterError` where the file cannot be read and
    :class:`~counter.errors.Cancelled` when ``progress`` says so.
    """
    most_px = OVERVIEW_PX if most_px is None else most_px
    factor = 1
    while -(-picture.width_px // factor) * -(-picture.height_px // factor) > most_px:
        factor *= 2
    if isinstance(picture, Photo):
        return Overview(_shrunk(picture.pixels, factor), factor, _plain(picture.pixels, factor))
    if most_px not in picture.overviews:
        picture.overviews[most_px] = _gathered(picture, factor, progress)
    return picture.overviews[most_px]


def closeup_of(
    slide: Slide, box: tuple[int, int, int, int], factor: int, progress: Progress
) -> Pixels | None:
    """Return a region (left, top, right, bottom, on the slide), ``factor`` of its pixels as one.

    It comes from the file's own level where there is one, and is None where more than
    ``CLOSEUP_PX`` pixels would have to be decoded for it. Raises like :func:`overview_of`.
    """
    left, top, right, bottom = box
    width, height = max(1, (right - left) // factor), max(1, (bottom - top) // factor)
    small = [level for level in slide.levels if level.width_px * factor >= slide.width_px]
    source = small[-1] if small else slide.source
    share = source.width_px / slide.width_px
    if (right - left) * (bottom - top) * share * share > CLOSEUP_PX:
        return None
    bands = []
    rows = max(1, WINDOW_PX // 4 // factor)
    for start in range(0, height, rows):
        progress.report(start / height, "reading what is seen")
        stop = min(height, start + rows)
        region = (left, top + start * factor, left + width * factor, top + stop * factor)
        pixels = _region(source, share, source.height_px / slide.height_px, region)
        size = (width, stop - start)
        bands.append(cv2.resize(pixels, size, interpolation=cv2.INTER_AREA))
    return np.asarray(np.concatenate(bands), bands[0].dtype)


def _region(source: Regions, across: float, down: float, box: tuple[int, int, int, int]) -> Pixels:
    """A region given in pixels of the slide, as one of its levels has it."""
    x0, y0 = int(box[0] * across), int(box[1] * down)
    x1 = min(source.width_px, max(x0 + 1, round(box[2] * across)))
    y1 = min(source.height_px, max(y0 + 1, round(box[3] * down)))
    return source.read(min(x0, x1 - 1), min(y0, y1 - 1), x1, y1)


def _filled_up(pixels: Pixels, factor: int) -> Pixels:
    """Repeat the last row and column until both sides are multiples of ``factor``."""
    down, right = -pixels.shape[0] % factor, -pixels.shape[1] % factor
    if not (down or right):
        return pixels
    padded = cv2.copyMakeBorder(pixels, 0, down, 0, right, cv2.BORDER_REPLICATE)
    return np.asarray(padded, pixels.dtype)


def _shrunk(pixels: Pixels, factor: int) -> Pixels:
    """The mean of each ``factor`` × ``factor`` pixels; the last ones of those that there are."""
    if factor == 1:
        return pixels
    pixels = _filled_up(pixels, factor)
    size = (pixels.shape[1] // factor, pixels.shape[0] // factor)
    return np.asarray(cv2.resize(pixels, size, interpolation=cv2.INTER_AREA), pixels.dtype)


def _plain(pixels: Pixels, factor: int) -> NDArray[np.bool_]:
    """Where each ``factor`` × ``factor`` pixels have one value: up to 4 × 4 of them are looked at;
    of single pixels, their neighbours.
    """
    if factor == 1:
        return _like_neighbours(pixels)
    step = max(1, factor // 4)
    few = _filled_up(pixels, factor)[step // 2 :: step, step // 2 :: step]
    each = factor // step
    low, high = _extremes(np.ascontiguousarray(few), each, (0, 0))
    return _alike(low[::each, ::each], high[::each, ::each])


def _like_neighbours(pixels: Pixels) -> NDArray[np.bool_]:
    return _alike(*_extremes(pixels, 3, (1, 1)))


def _extremes(pixels: Pixels, side: int, anchor: tuple[int, int]) -> tuple[Pixels, Pixels]:
    """The lowest and the highest of ``side`` × ``side`` pixels, whose ``anchor`` each pixel is."""
    kernel = np.ones((side, side), np.uint8)
    low, high = (way(pixels, kernel, anchor=anchor) for way in (cv2.erode, cv2.dilate))
    return np.asarray(low, pixels.dtype), np.asarray(high, pixels.dtype)


def _alike(low: Pixels, high: Pixels) -> NDArray[np.bool_]:
    same = low == high
    return np.asarray(same if same.ndim == 2 else same.all(axis=2))


def _gathered(slide: Slide, factor: int, progress: Progress) -> Overview:
    width, height = -(-slide.width_px // factor), -(-slide.height_px // factor)
    small = [level for level in slide.levels if level.width_px >= 2 * width]
    source = small[-1] if small else slide.source
    out: Pixels | None = None
    plain = np.zeros((height, width), bool)
    step_x, step_y = max(1, WINDOW_PX // factor), max(1, WINDOW_PX // factor)
    if source.is_row_wise:
        step_x, step_y = width, max(1, WINDOW_PX * WINDOW_PX // slide.width_px // factor)
    for top in range(0, height, step_y):
        for left in range(0, width, step_x):
            progress.report((top + left / width * step_y) / height, "looking over the picture")
            right, bottom = min(width, left + step_x), min(height, top + step_y)
            window, even = _window(slide, source, factor, (left, top, right, bottom))
            if out is None:
                out = np.empty((height, width, *window.shape[2:]), window.dtype)
            out[top:bottom, left:right] = window
            plain[top:bottom, left:right] = even
    assert out is not None
    return Overview(out, factor, plain)


def _window(
    slide: Slide, source: Regions, factor: int, box: tuple[int, int, int, int]
) -> tuple[Pixels, NDArray[np.bool_]]:
    """One window of the overview, given in its pixels, and where it is plain."""
    left, top, right, bottom = box
    across, down = source.width_px / slide.width_px, source.height_px / slide.height_px
    region = (left * factor, top * factor, right * factor, bottom * factor)
    pixels = _region(source, across, down, region)
    if source is slide.source:
        return _shrunk(pixels, factor), _plain(pixels, factor)
    size = (right - left, bottom - top)
    even = _like_neighbours(pixels).astype(np.uint8)
    return (
        np.asarray(cv2.resize(pixels, size, interpolation=cv2.INTER_AREA), pixels.dtype),
        np.asarray(cv2.resize(even, size, interpolation=cv2.INTER_NEAREST), bool),
    )
