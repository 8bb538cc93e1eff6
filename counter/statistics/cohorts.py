"""One group of lengths, or two? Two cohorts in a tank, or a torn screen, show as two humps.

The test is the dip: the largest distance between the lengths' distribution and the nearest one
with a single hump (Hartigan JA, Hartigan PM 1985, The dip test of unimodality, Ann. Stat.
13:70-84). It is held against the dip of as many evenly spread lengths, the single hump that is
hardest to tell from two, so that bell-shaped, skewed or graded lengths raise fewer alarms than
the level says (tests/accuracy: three in a hundred at most). A second group of a tenth or less is
not seen. Where it speaks, the two groups are described by a mixture of two normal
distributions (expectation maximisation, Dempster AP, Laird NM, Rubin DB 1977, J. R. Stat. Soc. B
39:1-38), started from the split with the smallest sum of squares; nothing is drawn at random.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

LEAST_MEASURED = 30
"""Fewer lengths than this show no humps."""
MOST_LENGTHS = 400
"""Of more lengths so many order statistics are taken, evenly, so that a correction stays quick."""
LEVEL = 0.05
CRITICAL = ((30, 0.459), (50, 0.457), (100, 0.450), (200, 0.446), (400, 0.442))
"""n, and √n times the dip that 5 % of evenly spread samples exceed: simulated, 20 000 samples each
from numpy's PCG64, seed 1985 (tests/accuracy draws them again)."""
_ROUNDS = 500
_STEADY = 1e-9

Values = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Cohort:
    """One of two groups of lengths: its ``share`` (0 to 1), mean and standard deviation in µm."""

    share: float
    mean_um: float
    sd_um: float


def cohorts(lengths_um: ArrayLike) -> tuple[Cohort, Cohort] | None:
    """Return the two groups that ``lengths_um`` (shape (n,)) fall into, the shorter one first.

    None where one hump explains them, or there are fewer than 30.
    """
    lengths = np.sort(np.asarray(lengths_um, dtype=np.float64))
    if lengths.size < LEAST_MEASURED:
        return None
    found, limit = dip_beside_critical(lengths)
    return _mixture(lengths) if found > limit else None


def dip_beside_critical(lengths_um: ArrayLike) -> tuple[float, float]:
    """Return √n times the dip of ``lengths_um`` (shape (n,), n at least 30), and what it exceeds
    where there are two groups.
    """
    taken = _thinned(np.sort(np.asarray(lengths_um, dtype=np.float64)))
    return dip(taken) * math.sqrt(taken.size), critical(taken.size)


def dip(lengths: ArrayLike) -> float:
    """Return the dip of ``lengths`` (shape (n,), n at least 1): 1/(2n) to 1/4.

    For a hump at x the distribution must be convex before and concave after it. Half the larger of
    what the greatest convex minorant before x and the least concave majorant after it miss is the
    dip for this hump; the smallest over all x is the dip. The first grows with x and the second
    falls, so their crossing is found by halving.
    """
    values, times = np.unique(np.asarray(lengths, dtype=np.float64), return_counts=True)
    above = np.cumsum(times) / times.sum()
    below = above - times / times.sum()
    low, high = 0, values.size - 1
    while high - low > 1:
        middle = (low + high) // 2
        if _missed(values, below, above, middle) < _missed_after(values, below, above, middle):
            low = middle
        else:
            high = middle
    missed = (
        max(_missed(values, below, above, at), _missed_after(values, below, above, at))
        for at in (low, high)
    )
    return max(min(missed), 1 / float(times.sum())) / 2


def critical(number: int) -> float:
    """Return what √n times the dip of ``number`` (30 or more) lengths of one hump hardly exceeds.

    Between the entries of :data:`CRITICAL` it is interpolated in 1/√n.
    """
    sizes, points = zip(*reversed(CRITICAL), strict=True)
    return float(np.interp(number**-0.5, np.asarray(sizes, dtype=np.float64) ** -0.5, points))


def _missed(values: Values, below: Values, above: Values, hump: int) -> float:
    """Return how far the distribution rises over its convex minorant before the hump."""
    if hump == 0:
        return 0.0
    minorant = _minorant(values[: hump + 1], below[: hump + 1])
    return float((above[:hump] - minorant[:hump]).max())


def _missed_after(values: Values, below: Values, above: Values, hump: int) -> float:
    """Return how far it falls under its concave majorant after the hump: the mirror image."""
    mirrored = values.size - 1 - hump
    return _missed(-values[::-1], 1 - above[::-1], 1 - below[::-1], mirrored)


def _minorant(x: Values, y: Values) -> Values:
    """Return the greatest convex function below the points, at ``x`` (increasing)."""
    xs, ys = x.tolist(), y.tolist()
    kept: list[int] = []
    for point in range(len(xs)):
        while len(kept) > 1 and _is_above(xs, ys, kept[-2], kept[-1], point):
            kept.pop()
        kept.append(point)
    return np.interp(x, x[kept], y[kept])


def _is_above(x: Sequence[float], y: Sequence[float], a: int, b: int, c: int) -> bool:
    """Whether point b lies on or above the line from a to c."""
    return (y[b] - y[a]) * (x[c] - x[a]) >= (y[c] - y[a]) * (x[b] - x[a])


def _thinned(lengths: Values) -> Values:
    """Return at most :data:`MOST_LENGTHS` of the sorted lengths, evenly spread over them."""
    if lengths.size <= MOST_LENGTHS:
        return lengths
    places = (np.arange(MOST_LENGTHS) + 0.5) * lengths.size / MOST_LENGTHS
    return lengths[places.astype(np.intp)]


def _mixture(lengths: Values) -> tuple[Cohort, Cohort]:
    """Return two normal distributions, the one with the smaller mean first."""
    least_sd = 0.01 * float(lengths.std()) or 1e-9
    first = np.zeros(lengths.size)
    first[: _best_split(lengths)] = 1.0
    belongs = np.stack([first, 1 - first])
    for _ in range(_ROUNDS):
        weight = belongs.sum(axis=1)
        mean = belongs @ lengths / weight
        spread = (belongs * (lengths - mean[:, None]) ** 2).sum(axis=1) / weight
        sd = np.maximum(np.sqrt(spread), least_sd)
        likely = np.log(weight / sd)[:, None] - (lengths - mean[:, None]) ** 2 / (
            2 * sd[:, None] ** 2
        )
        likely = np.exp(likely - likely.max(axis=0))
        before, belongs = belongs, likely / likely.sum(axis=0)
        if np.abs(belongs - before).max() < _STEADY:
            break
    found = sorted(zip(mean.tolist(), sd.tolist(), (weight / lengths.size).tolist(), strict=True))
    one, two = (Cohort(share, middle, scatter) for middle, scatter, share in found)
    return one, two


def _best_split(lengths: Values) -> int:
    """Return how many of the sorted lengths fall into the lower of two groups of least squares."""
    number = np.arange(1, lengths.size)
    sums = np.cumsum(lengths)
    lower, whole = sums[:-1], sums[-1]
    gained = lower**2 / number + (whole - lower) ** 2 / (lengths.size - number)
    return int(np.argmax(gained)) + 1
