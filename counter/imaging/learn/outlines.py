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
_THETA = np.arange(ANGLES) * 2 * np.pi / ANGLES


def scaled(radius: NDArray[np.floating]) -> Radii:
    """Return ``radius`` with its longest diameter through the centre made 2."""
    across = radius + np.roll(radius, ANGLES // 2)
    return np.asarray(radius * 2 / across.max(), dtype=np.float32)


def wobble(rng: np.random.Generator, amount: float, orders: int = 7) -> NDArray[np.float64]:
    """Return a factor around 1 from low Fourier orders, ``amount`` its standard deviation."""
    factor = np.zeros(ANGLES)
    for order in range(2, orders + 1):
        strength = rng.normal() / order
        factor += strength * np.cos(order * _THETA + rng.uniform(0, 2 * np.pi))
    spread = float(factor.std()) or 1.0
    return np.clip(1 + amount * factor / spread, 0.55, 1.6)


def ellipse(aspect: float, power: float = 2.0) -> NDArray[np.float64]:
    """Return a (super)ellipse of half axes 1 and 1 / ``aspect``."""
    x, y = np.abs(np.cos(_THETA)), np.abs(np.sin(_THETA)) * aspect
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
        along = reach * np.cos(_THETA - at)
        beside = reach * np.sin(_THETA - at)
        hit = ball**2 - beside**2
        far = along + np.sqrt(np.clip(hit, 0, None))
        radius = np.where(hit > 0, np.maximum(radius, far), radius)
    return scaled(_softened(radius, 3.0))


def straight_hinge(rng: np.random.Generator) -> Radii:
    """A D: a round belly cut off by a straight line, corners rounded."""
    radius = ellipse(rng.uniform(0.85, 1.25), rng.uniform(1.9, 2.6))
    height = rng.uniform(0.42, 0.80)
    slope = rng.normal(0, 0.06)
    rise = -np.sin(_THETA - slope)
    line = np.where(rise > 1e-3, height / np.maximum(rise, 1e-3), np.inf)
    radius = np.minimum(radius, line)
    return scaled(_softened(radius, rng.uniform(4, 22)) * wobble(rng, rng.uniform(0, 0.015)))


def umbo(rng: np.random.Generator) -> Radii:
    """A grown shell: round to oval or triangular, one or two knobs, often lopsided or beaked."""
    if rng.random() < 0.4:
        return beaked(rng)
    radius = ellipse(rng.uniform(0.95, 1.3), rng.uniform(1.8, 2.7))
    top = -np.pi / 2 + rng.normal(0, 0.15)
    off = (_THETA - top + np.pi) % (2 * np.pi) - np.pi
    knob = rng.uniform(-0.06, 0.42) * np.exp(-0.5 * (off / rng.uniform(0.18, 0.6)) ** 2)
    three = rng.uniform(0, 0.06) * np.cos(3 * (_THETA - top))
    skew = rng.normal(0, 0.05) * np.cos(_THETA) + rng.normal(0, 0.04) * np.cos(2 * _THETA - 0.8)
    return scaled(radius * (1 + knob + three + skew) * wobble(rng, rng.uniform(0, 0.015)))


def beaked(rng: np.random.Generator) -> Radii:
    """A late larva: its umbo narrows to a beak, often bent aside, between shoulders that fall in.

    The beak is part of the length, and the first to be lost where an outline is rounded off.
    """
    radius = ellipse(rng.uniform(0.95, 1.25), rng.uniform(1.9, 2.5))
    top = -np.pi / 2 + rng.normal(0, 0.35)
    off = (_THETA - top + np.pi) % (2 * np.pi) - np.pi
    wide = rng.uniform(0.12, 0.42)
    bluntness = rng.uniform(1.0, 2.0)  # 1: a point, 2: rounded off
    high = min(0.4, 1.2 * wide)
    beak = rng.uniform(0.06, high) * np.exp(-((np.abs(off) / wide) ** bluntness))
    fallen = rng.uniform(0, 0.12) * np.exp(-np.square((np.abs(off) - 2.2 * wide) / (1.2 * wide)))
    softened = _softened(radius * (1 + beak - fallen), rng.uniform(1, 8))
    return scaled(softened * wobble(rng, rng.uniform(0, 0.015)))


def lens(rng: np.random.Generator) -> Radii:
    """A larva on its side: two valves edge on, one end blunter than the other."""
    base = ellipse(rng.uniform(1.35, 2.5), rng.uniform(1.3, 2.2))
    blunt = 1 + rng.uniform(0, 0.1) * np.cos(_THETA) + rng.uniform(0, 0.05) * np.cos(3 * _THETA)
    return scaled(base * blunt * wobble(rng, rng.uniform(0, 0.02)))


def biconvex(rng: np.random.Generator) -> Radii:
    """A larva on its side, valves bulging unlike: two bows that meet in points, sharp or blunt."""
    bulge = rng.uniform(0.28, 0.62) * np.array([1.0, rng.uniform(0.6, 1.0)])
    reach = np.full(ANGLES, np.inf)
    for deep, way in ((bulge[0], 1.0), (bulge[1], -1.0)):
        radius = (1 + deep**2) / (2 * deep)
        sine = way * np.sin(_THETA) * (radius - deep)
        reach = np.minimum(
            reach, -sine + np.sqrt(np.square(sine) + radius**2 - (radius - deep) ** 2)
        )
    blunt = 1 + rng.uniform(0, 0.08) * np.cos(_THETA)
    return scaled(_softened(reach, rng.uniform(1, 24)) * blunt * wobble(rng, rng.uniform(0, 0.015)))


def lobed(rng: np.random.Generator) -> Radii:
    """A large embryo of no even outline: bays and lobes, flat sides, a lumpy edge."""
    base = ellipse(rng.uniform(1.0, 1.8), rng.uniform(1.7, 2.8))
    lobes = wobble(rng, rng.uniform(0.04, 0.2), int(rng.integers(3, 7)))
    lumps = wobble(rng, rng.uniform(0, 0.05), int(rng.integers(8, 25)))
    return scaled(_softened(base * lobes * lumps, rng.uniform(3, 10)))


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
        hit = ball**2 - np.square(far * np.sin(_THETA - turn))
        edge = far * np.cos(_THETA - turn) + np.sqrt(np.clip(hit, 0, None))
        radius = np.where(hit > 0, np.maximum(radius, edge), radius)
    soft = _softened(radius, 3.0)
    whole = scaled(soft)
    grown = float(whole[0] / soft[0])
    balls = np.column_stack([out * np.cos(at), out * np.sin(at), size]) * grown
    return whole, balls


def gaping(rng: np.random.Generator) -> tuple[Radii, Radii, Radii]:
    """Two valves that hang together at the hinge: the union's outline, then that of each valve."""
    if rng.random() < 0.35:
        return open_book(rng)
    valve = straight_hinge(rng) if rng.random() < 0.5 else umbo(rng)
    points = np.column_stack([valve * np.cos(_THETA), valve * np.sin(_THETA)]).astype(np.float64)
    hinge = np.array([0.0, points[:, 1].min()])
    open_by = rng.uniform(0.1, 0.75)
    share = rng.uniform(0.3, 0.7)
    narrow = np.array([rng.uniform(0.6, 1.0), 1.0])
    valves = []
    for by, shrink in ((-open_by * share, 1.0), (open_by * (1 - share), rng.uniform(0.85, 1.0))):
        turn = np.array([[np.cos(by), -np.sin(by)], [np.sin(by), np.cos(by)]])
        valves.append(((points - hinge) * narrow * shrink) @ turn.T + hinge)
    middle = (valves[0].mean(axis=0) + valves[1].mean(axis=0)) / 2
    first, second = (_seen_from(each - middle) for each in valves)
    union = _softened(np.maximum(first, second), 2.0)
    grown = scaled(union) / union
    whole = scaled(union)
    grown = whole / union
    return whole, np.asarray(first * grown, np.float32), np.asarray(second * grown, np.float32)


def open_book(rng: np.random.Generator) -> tuple[Radii, Radii, Radii]:
    """Two valves side by side, open at the hinge between them: the union, then each valve.

    Seen from the middle of the hinge, each valve is one half; ajar they lean to one side.
    """
    power, aspect = rng.uniform(1.7, 2.6), rng.uniform(1.1, 2.8)
    tall = ellipse(aspect, power) * wobble(rng, rng.uniform(0, 0.02), 5)
    points = np.column_stack([tall * np.sin(_THETA), tall * np.cos(_THETA)])
    lean = rng.uniform(-0.1, 0.45) if rng.random() < 0.5 else 0.0
    valves = []
    for way in (-1.0, 1.0):
        turn = np.array(
            [[np.cos(way * lean), -np.sin(way * lean)], [np.sin(way * lean), np.cos(way * lean)]]
        )
        beside = points * (way, 1.0)
        beside[:, 0] += way * 0.98 / aspect
        moved = beside @ turn.T
        valves.append(_farthest(moved - (0.0, rng.normal(0, 0.02))))
    union = np.maximum(*valves)
    grown = scaled(union) / union
    first, second = (np.asarray(each * grown, np.float32) for each in valves)
    return scaled(union), first, second


def _farthest(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """How far out a closed outline that need not surround (0, 0) reaches at each even angle."""
    after = np.roll(points, -1, axis=0)
    reach = np.full(ANGLES, 0.05)
    for part in np.linspace(0, 1, 5)[:-1]:
        between = points + part * (after - points)
        at = np.arctan2(between[:, 1], between[:, 0]) % (2 * np.pi)
        index = np.round(at / (2 * np.pi) * ANGLES).astype(int) % ANGLES
        np.maximum.at(reach, index, np.hypot(between[:, 0], between[:, 1]))
    return _softened(reach, 1.5)


def _seen_from(points: NDArray[np.float64]) -> NDArray[np.float64]:
    """How far out a closed outline around (0, 0) reaches at each even angle."""
    at = np.arctan2(points[:, 1], points[:, 0]) % (2 * np.pi)
    order = np.argsort(at)
    far = np.hypot(points[:, 0], points[:, 1])
    return np.interp(_THETA, at[order], far[order], period=2 * np.pi)


def refractile(rng: np.random.Generator) -> Radii:
    """A rounded single cell."""
    base = ellipse(1 + abs(rng.normal(0, 0.1)), rng.uniform(1.9, 2.2))
    return scaled(base * wobble(rng, rng.uniform(0, 0.04), 5))


def pear(rng: np.random.Generator) -> Radii:
    """A trochophore."""
    lean = 1 + rng.uniform(0.02, 0.16) * np.cos(_THETA) + rng.uniform(0, 0.04) * np.cos(3 * _THETA)
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
    radius = np.interp(_THETA, at, out, period=2 * np.pi)
    return scaled(radius / ellipse(1.0) * ellipse(rng.uniform(1, 2.5)))


def _softened(radius: NDArray[np.float64], sigma: float) -> NDArray[np.float64]:
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
    return np.column_stack([radii[at] * np.cos(_THETA[at]), radii[at] * np.sin(_THETA[at])])


def turned(radii: Radii, by: float) -> Radii:
    """Return the outline turned by ``by`` radians."""
    return np.roll(radii, round(by / (2 * np.pi) * ANGLES))
