"""What a patch is painted on: how much each place takes from (or adds to) the light, per colour.

Painting is in optical density: 0 leaves the light as it is, positive darkens, negative brightens.
:mod:`light` turns it into a picture of any contrast.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.learn.outlines import ANGLES, Radii

Floats = NDArray[np.float32]


def blurred(layer: Floats, sigma: float) -> Floats:
    """Return ``layer`` blurred by a Gaussian of ``sigma`` pixels."""
    return np.asarray(cv2.GaussianBlur(layer, (0, 0), sigma), np.float32)


def defocused(layer: Floats, spread: float, rim: float) -> Floats:
    """Return ``layer`` as seen out of focus: every point becomes a disc of twice ``spread``.

    ``rim`` makes the disc's edge heavier (1 doubles it), which draws rings along edges.
    """
    reach = 2 * spread
    half = int(np.ceil(reach)) + 1
    y, x = np.mgrid[-half : half + 1, -half : half + 1]
    away = np.hypot(x, y)
    kernel = np.clip(reach + 0.5 - away, 0, 1)
    kernel = kernel + rim * 2 * np.exp(-0.5 * np.square((away - 0.9 * reach) / (0.15 * reach)))
    done = cv2.filter2D(layer, -1, (kernel / kernel.sum()).astype(np.float32))
    return np.asarray(done, np.float32)


class Textures:
    """Tiles of noise of several grains, unit standard deviation, cut at random places."""

    GRAINS = (0.8, 1.5, 3.0, 6.0, 12.0, 24.0)
    SIZE = 1024

    def __init__(self, rng: np.random.Generator) -> None:
        self._tiles: list[Floats] = []
        self._white = rng.standard_normal((2 * self.SIZE, 2 * self.SIZE), dtype=np.float32)
        for grain in self.GRAINS:
            noise = rng.standard_normal((self.SIZE, self.SIZE)).astype(np.float32)
            rim = int(4 * grain) + 1
            wide = np.pad(noise, rim, mode="wrap")
            tile = blurred(wide, grain)[rim:-rim, rim:-rim]
            self._tiles.append(tile / tile.std())

    def white(self, rng: np.random.Generator, shape: tuple[int, int]) -> Floats:
        """Return noise (h, w) without any grain, up to :attr:`SIZE` in height and width."""
        y, x = (int(rng.integers(0, self.SIZE)) for _ in range(2))
        return self._white[y : y + shape[0], x : x + shape[1]]

    def cut(self, rng: np.random.Generator, shape: tuple[int, int], grain_px: float) -> Floats:
        """Return noise (h, w) of about this grain; larger than a tile is tiled."""
        nearest = int(np.argmin([abs(np.log(grain_px / grain)) for grain in self.GRAINS]))
        tile = self._tiles[nearest]
        y, x = rng.integers(0, self.SIZE, 2)
        rows = (np.arange(shape[0]) + y) % self.SIZE
        columns = (np.arange(shape[1]) + x) % self.SIZE
        cut: Floats = tile[rows[:, None], columns[None, :]]
        return cut


@dataclass
class Crop:
    """The neighbourhood of one body: ``left``, ``top`` in canvas pixels, polar coordinates.

    ``reach`` is 0 at the centre and 1 on the outline, ``distance`` about the signed distance to the
    outline in pixels (negative inside), ``x``, ``y`` the pixel offsets from the centre.
    """

    left: int
    top: int
    x: Floats
    y: Floats
    theta: Floats
    reach: Floats
    distance: Floats

    def distance_to(self, radii: Radii) -> Floats:
        """About the signed distance to another outline around the same centre."""
        away = np.hypot(self.x, self.y)
        index = (self.theta * np.float32(ANGLES / (2 * np.pi))).astype(np.int32) % ANGLES
        return np.asarray((away - radii[index]) * _lean(radii)[index], np.float32)

    @property
    def shape(self) -> tuple[int, int]:
        """Height and width in pixels."""
        return self.x.shape[0], self.x.shape[1]

    @property
    def inside(self) -> Floats:
        """1 inside, 0 outside, soft over one pixel."""
        return np.asarray(np.clip(0.5 - self.distance, 0, 1), np.float32)


def crop_around(size: int, centre: tuple[float, float], radii: Radii, margin: float) -> Crop | None:
    """Return the part of a ``size`` × ``size`` canvas near a body, None where nothing is seen.

    ``radii`` are in canvas pixels.
    """
    cx, cy = centre
    far = float(radii.max()) + margin
    left, top = max(0, int(cx - far)), max(0, int(cy - far))
    right, bottom = min(size, int(cx + far) + 2), min(size, int(cy + far) + 2)
    if right - left < 2 or bottom - top < 2:
        return None
    x = np.broadcast_to(
        (np.arange(left, right) - cx).astype(np.float32), (bottom - top, right - left)
    )
    y = np.broadcast_to(
        (np.arange(top, bottom) - cy).astype(np.float32)[:, None], (bottom - top, right - left)
    )
    x, y = np.ascontiguousarray(x), np.ascontiguousarray(y)
    away, theta = (np.asarray(part, np.float32) for part in cv2.cartToPolar(x, y))
    index = (theta * np.float32(ANGLES / (2 * np.pi))).astype(np.int32) % ANGLES
    rim = radii[index]
    return Crop(left, top, x, y, theta, away / rim, (away - rim) * _lean(radii)[index])


def _lean(radii: Radii) -> Radii:
    """How much nearer the outline is than it is along the ray, at each angle.

    In a notch, where the outline runs along the ray, that holds close by alone: from farther off it
    would be drawn as a line that goes on outwards.
    """
    slope = (np.roll(radii, -2) - np.roll(radii, 2)) / np.float32(4 * 2 * np.pi / ANGLES)
    return np.asarray(np.maximum(radii / np.hypot(radii, slope), 0.3), np.float32)


def band(distance: Floats, at: float, width: float) -> Floats:
    """A soft line where ``distance`` is ``at``."""
    off = (distance - np.float32(at)) / np.float32(max(width, 0.35))
    return np.asarray(np.exp(-0.5 * np.square(off)), np.float32)


def lay(
    canvas: Floats,
    crop: Crop,
    layer: Floats,
    opaque: float | Floats,
    blur: float = 0.0,
    cone: float = 0.0,
) -> None:
    """Add ``layer`` (h, w, 3) to the canvas; ``opaque`` (0 to 1) hides what lies beneath.

    ``blur`` is the blur's spread in pixels. ``cone`` is how much of it is a disc with a weighted
    rim, the trace of a point out of focus, and not a Gaussian: 0 none, else the rim's weight.
    """
    if blur > 0.3:
        layer = defocused(layer, blur, cone) if cone and blur > 1 else blurred(layer, blur)
        if isinstance(opaque, np.ndarray):
            opaque = blurred(opaque, blur)
    rows, columns = crop.shape
    part = canvas[crop.top : crop.top + rows, crop.left : crop.left + columns]
    if isinstance(opaque, np.ndarray):
        part *= 1 - opaque[:, :, None]
    part += layer
