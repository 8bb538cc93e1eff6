"""Where an object is painted: its own box of samples, in its own axes and in µm."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import cached_property

import numpy as np
from numpy.random import Generator
from numpy.typing import ArrayLike
from scipy import fft
from scipy.special import expit

from counter.imaging.draw.shape import Layer, Shape

_SIDE = 384


def as_layer(values: ArrayLike) -> Layer:
    """Return ``values`` as an array of float32."""
    return np.asarray(values, dtype=np.float32)


class Grain:
    """Irregular structure of any size in µm, cut from one field of white noise."""

    def __init__(self, rng: Generator) -> None:
        self._white = rng.standard_normal((_SIDE, _SIDE), dtype=np.float32)
        self._spectrum = fft.rfft2(self._white)
        self._square = fft.fftfreq(_SIDE)[:, None] ** 2 + fft.rfftfreq(_SIDE)[None, :] ** 2
        self._blurred: dict[int, Layer] = {}

    def cut(self, rng: Generator, shape: tuple[int, int], sigma: float) -> Layer:
        """Return noise of mean 0 and deviation 1 with grains of ``sigma`` samples, (h, w)."""
        field = self._field(sigma)
        rows = (np.arange(shape[0]) + rng.integers(_SIDE)) % _SIDE
        columns = (np.arange(shape[1]) + rng.integers(_SIDE)) % _SIDE
        cut = field[np.ix_(rows, columns)]
        if rng.random() < 0.5:
            cut = cut[::-1]
        return np.ascontiguousarray(cut)

    def _field(self, sigma: float) -> Layer:
        step = max(1, round(4 * min(max(sigma, 0.25), 40.0)))
        if step not in self._blurred:
            kept = np.exp(-2 * (np.pi * step / 4) ** 2 * self._square)
            soft = fft.irfft2(self._spectrum * kept, s=self._white.shape)
            self._blurred[step] = np.asarray((soft - soft.mean()) / soft.std(), dtype=np.float32)
        return self._blurred[step]


@dataclass(frozen=True)
class Grid:
    """The samples (h, w) of one object's box.

    ``x_um`` and ``y_um`` are measured from the object's origin along its own, turned axes;
    ``step_um`` is the distance between two samples.
    """

    x_um: Layer
    y_um: Layer
    step_um: float
    rng: Generator
    grain: Grain
    _around: dict[int, tuple[Shape, Layer, Layer]] = field(default_factory=dict, repr=False)

    def distance(self, shape: Shape) -> Layer:
        """Return the distance to the outline of ``shape`` in µm, negative inside."""
        return self._of(shape)[1]

    def reach(self, shape: Shape) -> Layer:
        """Return 0 at the origin, 1 on the outline of ``shape``, more outside."""
        return self._of(shape)[2]

    def _of(self, shape: Shape) -> tuple[Shape, Layer, Layer]:
        if id(shape) not in self._around:
            self._around[id(shape)] = (shape, *shape.around(self.x_um, self.y_um))
        return self._around[id(shape)]

    @cached_property
    def shape(self) -> tuple[int, int]:
        """Rows and columns of the box."""
        return self.x_um.shape[0], self.x_um.shape[1]

    def cover(self, distance_um: Layer) -> Layer:
        """Return how much of each sample lies inside (distance below 0), from 0 to 1."""
        return as_layer(np.clip(0.5 - distance_um / np.float32(self.step_um), 0, 1))

    def band(self, distance_um: Layer, at_um: float, sigma_um: float) -> Layer:
        """Return a soft line, 1 where the distance is ``at_um``; never thinner than a sample.

        A line thinner than a sample is spread over one, and so much fainter.
        """
        sigma = max(sigma_um, 0.45 * self.step_um)
        line = np.exp(-0.5 * ((distance_um - at_um) / sigma) ** 2)
        return np.asarray(line * (sigma_um / sigma), dtype=np.float32)

    def rim(self, distance_um: Layer, depth_um: float, sigma_um: float) -> Layer:
        """Return a soft line at ``depth_um`` inside the outline that ends at the outline."""
        return self.band(distance_um, -depth_um, sigma_um) * self.cover(distance_um)

    def noise(self, grain_um: float) -> Layer:
        """Return irregular structure of deviation 1 with grains of about ``grain_um`` across."""
        return self.grain.cut(self.rng, self.shape, grain_um / 2.4 / self.step_um)

    def spots(self, grain_um: float, least: float = 1.0) -> Layer:
        """Return scattered granules: 0 between them, about 1 in them."""
        return as_layer(np.clip(self.noise(grain_um) - least, 0, 1.5))

    def blob(self, x_um: float, y_um: float, long_um: float, wide_um: float, turn: float) -> Layer:
        """Return a soft-edged oval, 1 inside, with half axes ``long_um`` and ``wide_um``."""
        x, y = self.x_um - np.float32(x_um), self.y_um - np.float32(y_um)
        cos, sin = np.float32(np.cos(turn)), np.float32(np.sin(turn))
        along, across = (x * cos + y * sin) / long_um, (y * cos - x * sin) / wide_um
        inside = 1 - np.hypot(along, across)
        return np.asarray(expit(inside * 7), dtype=np.float32)

    def soft_spot(self, x_um: float, y_um: float, sigma_um: float) -> Layer:
        """Return a round spot without an edge: 1 in its middle, fading with ``sigma_um``."""
        square = (self.x_um - np.float32(x_um)) ** 2 + (self.y_um - np.float32(y_um)) ** 2
        return as_layer(np.exp(-square / (2 * sigma_um**2)))

    def inside(self, shape: Shape) -> Layer:
        """Return how much of each sample lies inside ``shape``."""
        return self.cover(self.distance(shape))


@dataclass
class Body:
    """What an object does to the light: ``absorb`` (3, h, w) by colour, ``phase`` (h, w) in rad.

    A ray that passes keeps exp(-absorb) of its light; the phase makes rims and halos out of focus.
    """

    absorb: Layer
    phase: Layer

    @classmethod
    def clear(cls, grid: Grid) -> Body:
        """Return a body that does nothing."""
        return cls(np.zeros((3, *grid.shape), np.float32), np.zeros(grid.shape, np.float32))

    def stain(self, layer: ArrayLike, colour: tuple[float, float, float]) -> None:
        """Add ``layer`` (h, w) of absorbance in ``colour`` (red, green, blue)."""
        for plane, share in zip(self.absorb, colour, strict=True):
            plane += as_layer(layer) * np.float32(share)


Painter = Callable[[Grid, Shape], Body]
