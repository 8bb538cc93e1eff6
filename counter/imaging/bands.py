"""Bands along the borders that show no picture: a strip of data, a white page, black bars.

What lies inside of them is a picture of its own: it is searched alone, and bodies that a band cuts
are cut by that picture's border, so that the edge rule holds there too.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from counter.domain.edges import Frame
from counter.imaging.photo import Photo, Pixels

ALIKE = 2
"""Grey levels of 255 by which pixels of a plain band may differ: JPEG leaves them not quite one."""

PLAIN, IN_TEXT = 0.55, 0.25
"""More than this share of the first and the last row of a band is plain, and of those between,
which may hold text and a scale bar."""

PLAIN_IN_ALL = 0.6
"""So much of the whole band is plain, at least."""

LEAST_DEPTH, MOST_DEPTH = 0.015, 0.3
"""How deep a band is, as a share of the picture."""

LEAST_JUMP = 6
"""Grey levels by which the picture differs just beyond a band: a field that fades has no jump."""

AT_ONCE = 0.5
"""More than this share of a band's last row ends there at once: bodies and a round view don't."""

BEYOND, LEAST_BEYOND = 0.9, 0.12
"""So many of the rows just beyond a band differ from it as much, as deep as the band or this share
of the picture: beyond a ruling along the border there is water again."""

FEW = 400
"""So many pixels of a row are looked at, evenly spread, or somewhat more."""

LEAST_SIDE_PX = 32
"""What is left of a picture has at least so many pixels each way."""

ROUNDS = 2
"""Bars at the sides end at bands above and below: these are found when those are gone."""


def shown_frame(photo: Photo) -> Frame | None:
    """Return the frame of what a photo shows, in its pixels, without bands along its borders.

    None where there is no band. Bands are told by their rows (columns): plain from the border on,
    up to a jump of the light that all of the last row shares.
    """
    left, top, right, bottom = 0, 0, photo.width_px, photo.height_px
    for _ in range(ROUNDS):
        inner = photo.part(left, top, right, bottom).pixels
        if min(inner.shape[:2]) < LEAST_SIDE_PX:
            return None
        over, under, before, after = (_depth(_turned(inner, turns)) for turns in range(4))
        top, bottom, left, right = top + over, bottom - under, left + before, right - after
        if not over + under + before + after:
            break
    if (left, top, right, bottom) == (0, 0, photo.width_px, photo.height_px):
        return None
    if min(right - left, bottom - top) < LEAST_SIDE_PX:
        return None
    return Frame(left - 0.5, top - 0.5, right - 0.5, bottom - 0.5)


def inside(photo: Photo, frame: Frame) -> Photo:
    """Return the part of a photo within a frame of whole pixels."""
    left, top, right, bottom = (
        round(side + 0.5) for side in (frame.left, frame.top, frame.right, frame.bottom)
    )
    part = photo.part(left, top, right, bottom)
    return replace(part, pixels=np.ascontiguousarray(part.pixels))


def _turned(pixels: Pixels, turns: int) -> Pixels:
    """The picture with its upper, lower, left or right border first."""
    if turns < 2:
        return pixels[:: 1 - 2 * turns]
    return np.swapaxes(pixels, 0, 1)[:: 1 - 2 * (turns - 2)]


def _depth(rows: Pixels) -> int:
    """How many rows from the first on are a band; 0: none."""
    most = int(MOST_DEPTH * len(rows))
    step = max(1, rows.shape[1] // FEW)
    white = 255 if rows.dtype == np.uint8 else max(int(rows[:, ::step].max()), 1)
    first = _grey(rows[:3, ::step], white)
    shade = float(np.median(first))
    if np.mean(np.abs(first[0] - shade) <= ALIKE) <= PLAIN:
        return 0  # as of nearly every picture
    seen = _grey(rows[: most + 3, ::step], white)
    same = np.abs(seen - shade) <= ALIKE
    plain = same.mean(axis=1)
    end = len(plain) if (plain > IN_TEXT).all() else int(np.argmin(plain > IN_TEXT))
    depth = 1 + int(np.flatnonzero(plain[:end] > PLAIN)[-1])
    if not LEAST_DEPTH * len(rows) < depth <= most or same[:depth].mean() <= PLAIN_IN_ALL:
        return 0
    far = depth + 2 + max(depth, int(LEAST_BEYOND * len(rows)))
    off = np.median(np.abs(_grey(rows[depth:far, ::step], white) - shade), axis=1)
    mixed, beyond = off[[0, 2]]
    jumps = np.abs(seen[depth + 2] - seen[max(0, depth - 2)]) >= LEAST_JUMP
    if jumps.mean() <= AT_ONCE or np.mean(off[2:] >= LEAST_JUMP) <= BEYOND:
        return 0
    return depth + int(mixed < beyond / 2)


def _grey(pixels: Pixels, white: int) -> NDArray[np.float32]:
    """The mean of the channels, 0 to 255."""
    values = pixels.reshape(*pixels.shape[:2], -1).astype(np.float32).mean(axis=2)
    return np.asarray(values * (255 / white), np.float32)
