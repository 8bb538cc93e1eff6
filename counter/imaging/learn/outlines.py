"""Outlines by chance, star-shaped around their centre, as radii at even angles.

All of them have a mean radius near 1 and their long axis along x; who places them scales and turns
them. The shapes only have to span what bodies on a slide look like from afar: they are drawn from
far wider ranges than living bodies show, so that the network learns bodies and not our drawings.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

ANGLES = 720
Radii = NDArray[np.float32]
THETA = np.arange(ANGLES) * 2 * np.pi / ANGLES


def scaled(radius: NDArray[np.floating]) -> Radii:
    """Return ``radius`` with its longest diameter through the centre made 2."""
    across = radius + np.roll(radius, ANGLES // 2)
    return np.asarray(radius * 2 / across.max(), dtype=np.float32)


def wobble(rng: np.random.Generator, amount: float, orders: int = 7) -> NDArray[np.float64]:
    """Return a factor around 1 from low Fourier orders, ``amount`` its standard deviation."""
    factor = np.zeros(ANGLES)
    for order in range(2, orders + 1):
        strength = rng.normal() / order
        factor += strength * np.cos(order * THETA + rng.uniform(0, 2 * np.pi))
    spread = float(factor.std()) or 1.0
    return np.clip(1 + amount * factor / spread, 0.55, 1.6)


def ellipse(aspect: float, power: float = 2.0) -> NDArray[np.float64]:
    """Return a (super)ellipse of half axes 1 and 1 / ``aspect``."""
    x, y = np.abs(np.cos(THETA)), np.abs(np.sin(THETA)) * aspect
    return np.asarray((x**power + y**power) ** (-1 / power))


def egg(rng: np.random.Generator) -> Radii:
    """Nearly round; sometimes squashed."""
    return scaled(ellipse(1 + abs(rng.normal(0, 0.05))) * wobble(rng, rng.uniform(0, 0.025)))


def cells(rng: np.random.Generator) -> Radii:
    """The union of 2 to 12 balls around the middle: a dividing embryo."""
    count = int(rng.choice([2, 2, 3, 4, 4, 6, 8, 12]))
    reach = rng.uniform(0.30, 0.55)
    turn = rng.uniform(0, 2 * np.pi)
    radius = np.full(ANGLES, 0.35)
    for index in range(count):
        at = turn + 2 * np.pi * index / count + rng.normal(0, 0.08)
        ball = (1 - reach) * rng.uniform(0.85, 1.12)
        along = reach * np.cos(THETA - at)
        beside = reach * np.sin(THETA - at)
        hit = ball**2 - beside**2
        far = along + np.sqrt(np.clip(hit, 0, None))
        radius = np.where(hit > 0, np.maximum(radius, far), radius)
    return scaled(softened(radius, 3.0))


def straight_hinge(rng: np.random.Generator) -> Radii:
    """A D: a round belly cut off by a straight line, corners rounded."""
    radius = ellipse(rng.uniform(0.85, 1.25), rng.uniform(1.9, 2.6))
    height = rng.uniform(0.42, 0.80)
    slope = rng.normal(0, 0.06)
    rise = -np.sin(THETA - slope)
    line = np.where(rise > 1e-3, height / np.maximum(rise, 1e-3), np.inf)
    radius = np.minimum(radius, line)
    return scaled(softened(radius, rng.uniform(4, 22)) * wobble(rng, rng.uniform(0, 0.015)))


def umbo(rng: np.random.Generator) -> Radii:
    """A grown shell: round to oval or triangular, one or two knobs, often lopsided or beaked."""
    if rng.random() < 0.4:
        return beaked(rng)
    radius = ellipse(rng.uniform(0.95, 1.3), rng.uniform(1.8, 2.7))
    top = -np.pi / 2 + rng.normal(0, 0.15)
    off = (THETA - top + np.pi) % (2 * np.pi) - np.pi
    knob = rng.uniform(-0.06, 0.42) * np.exp(-0.5 * (off / rng.uniform(0.18, 0.6)) ** 2)
    three = rng.uniform(0, 0.06) * np.cos(3 * (THETA - top))
    skew = rng.normal(0, 0.05) * np.cos(THETA) + rng.normal(0, 0.04) * np.cos(2 * THETA - 0.8)
    return scaled(radius * (1 + knob + three + skew) * wobble(rng, rng.uniform(0, 0.015)))


def beaked(rng: np.random.Generator) -> Radii:
    """A late larva: its umbo narrows to a beak, often bent aside, between shoulders that fall in.

    The beak is part of the length, and the first to be lost where an outline is rounded off.
    """
    radius = ellipse(rng.uniform(0.95, 1.25), rng.uniform(1.9, 2.5))
    top = -np.pi / 2 + rng.normal(0, 0.35)
    off = (THETA - top + np.pi) % (2 * np.pi) - np.pi
    wide = rng.uniform(0.12, 0.42)
    bluntness = rng.uniform(1.0, 2.0)  # 1: a point, 2: rounded off
    high = min(0.4, 1.2 * wide)
    beak = rng.uniform(0.06, high) * np.exp(-((np.abs(off) / wide) ** bluntness))
    fallen = rng.uniform(0, 0.12) * np.exp(-np.square((np.abs(off) - 2.2 * wide) / (1.2 * wide)))
    soft = softened(radius * (1 + beak - fallen), rng.uniform(1, 8))
    return scaled(soft * wobble(rng, rng.uniform(0, 0.015)))


def lens(rng: np.random.Generator) -> Radii:
    """A larva on its side: two valves edge on, one end blunter than the other."""
    base = ellipse(rng.uniform(1.35, 2.5), rng.uniform(1.3, 2.2))
    blunt = 1 + rng.uniform(0, 0.1) * np.cos(THETA) + rng.uniform(0, 0.05) * np.cos(3 * THETA)
    return scaled(base * blunt * wobble(rng, rng.uniform(0, 0.02)))


def biconvex(rng: np.random.Generator) -> Radii:
    """A larva on its side, valves bulging unlike: two bows that meet in points, sharp or blunt."""
    bulge = rng.uniform(0.28, 0.62) * np.array([1.0, rng.uniform(0.6, 1.0)])
    reach = np.full(ANGLES, np.inf)
    for deep, way in ((bulge[0], 1.0), (bulge[1], -1.0)):
        radius = (1 + deep**2) / (2 * deep)
        sine = way * np.sin(THETA) * (radius - deep)
        reach = np.minimum(
            reach, -sine + np.sqrt(np.square(sine) + radius**2 - (radius - deep) ** 2)
        )
    blunt = 1 + rng.uniform(0, 0.08) * np.cos(THETA)
    return scaled(softened(reach, rng.uniform(1, 24)) * blunt * wobble(rng, rng.uniform(0, 0.015)))


def lobed(rng: np.random.Generator) -> Radii:
    """A large embryo of no even outline: bays and lobes, flat sides, a lumpy edge."""
    base = ellipse(rng.uniform(1.0, 1.8), rng.uniform(1.7, 2.8))
    lobes = wobble(rng, rng.uniform(0.04, 0.2), int(rng.integers(3, 7)))
    lumps = wobble(rng, rng.uniform(0, 0.05), int(rng.integers(8, 25)))
    return scaled(softened(base * lobes * lumps, rng.uniform(3, 10)))


def cleaved(rng: np.random.Generator) -> tuple[Radii, NDArray[np.float64]]:
    """A dividing egg: its outline, and its cells (n, 3) as x, y and radius in the same measure."""
    count = int(rng.choice([2, 2, 2, 3, 4, 4, 6, 8, 8, 12, 16, 24]))
    size: NDArray[np.float64] = rng.uniform(0.85, 1.15, count)
    if count <= 4:
        at = np.arange(count) * 2 * np.pi / count + rng.normal(0, 0.08, count)
        at += float(rng.uniform(0, 2 * np.pi))
        if rng.random() < 0.4:  # unlike cells, as at an oyster's first cleavage
            size[0] *= rng.uniform(0.6, 0.9)
        out = np.ones(count) * float(rng.uniform(0.36, 0.5))
        size *= 0.62 if count == 2 else 0.55
    else:
        at = np.arange(count, dtype=np.float64) * 2.39996 + float(rng.uniform(0, 2 * np.pi))
        out = np.linspace(0.5, count - 0.5, count) / count
        out = np.sqrt(out, dtype=np.float64) * float(rng.uniform(0.6, 0.8))
        size *= float(rng.uniform(1.15, 1.6)) * count**-0.5
    radius = np.full(ANGLES, 0.3)
    for turn, far, ball in zip(at, out, size, strict=True):
        hit = ball**2 - np.square(far * np.sin(THETA - turn))
        edge = far * np.cos(THETA - turn) + np.sqrt(np.clip(hit, 0, None))
        radius = np.where(hit > 0, np.maximum(radius, edge), radius)
    soft = softened(radius, 3.0)
    whole = scaled(soft)
    grown = float(whole[0] / soft[0])
    balls = np.column_stack([out * np.cos(at), out * np.sin(at), size]) * grown
    return whole, balls


def refractile(rng: np.random.Generator) -> Radii:
    """A rounded single cell."""
    base = ellipse(1 + abs(rng.normal(0, 0.1)), rng.uniform(1.9, 2.2))
    return scaled(base * wobble(rng, rng.uniform(0, 0.04), 5))


def pear(rng: np.random.Generator) -> Radii:
    """A trochophore."""
    lean = 1 + rng.uniform(0.02, 0.16) * np.cos(THETA) + rng.uniform(0, 0.04) * np.cos(3 * THETA)
    return scaled(ellipse(rng.uniform(1.0, 1.3)) * lean * wobble(rng, rng.uniform(0, 0.03)))


def any_body(rng: np.random.Generator) -> Radii:
    """Any compact body: oval, rounded box, lumpy, chipped."""
    base = ellipse(rng.uniform(1.0, 1.7), rng.uniform(1.7, 3.2))
    return scaled(base * wobble(rng, rng.uniform(0.0, 0.08), int(rng.integers(3, 9))))


def ragged(rng: np.random.Generator) -> Radii:
    """A flake: angular, jagged."""
    corners = int(rng.integers(5, 16))
    at = np.sort(rng.uniform(0, 2 * np.pi, corners))
    out = rng.uniform(0.25, 1.0, corners)
    radius = np.interp(THETA, at, out, period=2 * np.pi)
    return scaled(radius / ellipse(1.0) * ellipse(rng.uniform(1, 2.5)))


def softened(radius: NDArray[np.float64], sigma: float) -> NDArray[np.float64]:
    """Blur around the circle, ``sigma`` in steps of half a degree."""
    spectrum = np.fft.rfft(radius)
    order = np.arange(len(spectrum))
    spectrum *= np.exp(-0.5 * (order * sigma * 2 * np.pi / ANGLES) ** 2)
    return np.fft.irfft(spectrum, ANGLES)


def polygon(radii: Radii, count: int) -> NDArray[np.float64]:
    """Return ``count`` points (x, y) of the outline around (0, 0)."""
    return _points(radii, (np.arange(count) * ANGLES / count).astype(int))


def tipped(radii: Radii, count: int) -> NDArray[np.float64]:
    """The same, with the ends of the longest diameter through (0, 0) where they lie in between.

    Even angles alone cut off the tips of a larva on its side, by some 3 in 100 of 48 points.
    """
    longest = int(np.argmax(radii + np.roll(radii, ANGLES // 2)))
    even = (np.arange(count) * ANGLES / count).astype(int)
    return _points(radii, np.union1d(even, [longest, (longest + ANGLES // 2) % ANGLES]))


def _points(radii: Radii, at: NDArray[np.intp]) -> NDArray[np.float64]:
    return np.column_stack([radii[at] * np.cos(THETA[at]), radii[at] * np.sin(THETA[at])])


def turned(radii: Radii, by: float) -> Radii:
    """Return the outline turned by ``by`` radians."""
    return np.roll(radii, round(by / (2 * np.pi) * ANGLES))
