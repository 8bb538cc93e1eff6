"""Whole embryos where the network outlined one cell of them.

The first two cells of an oyster's egg are of unlike size and just touch, and before they part a
polar lobe stands out (the trefoil). The network's outline then often is that of the larger cell
alone, too short for an egg. What stands out from the water around it is the whole: two or three
balls with waists between them, together of no more than one egg's volume, since cleavage parts an
egg and adds nothing to it. Two whole eggs that touch are twice that.

The limits were set on drawn fields of cleaving eggs, and of eggs among litter; of real embryos too
few were at hand.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.balls import away_from, balls_of
from counter.imaging.kinds import ROUND
from counter.imaging.measure import ferets_px, longest_px
from counter.imaging.net import RAYS
from counter.imaging.rays import evenly
from counter.imaging.scene import Scene
from counter.imaging.shape import Ints, Sizes, contour_of, shape_of

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
Bytes = NDArray[np.uint8]

SMALLEST, SHORT, BOTH = 0.5, 0.97, 0.85
"""What is shorter than the first share of the shortest egg is no cell that is looked at. What is as
long as the second share of the picture's median egg, and as the shortest, is no cell; nor are two
that are as long as the third: of two cells of one egg, the smaller is 0.79 of it at most."""

REACH, LEVEL, OVER_NOISE = 1.05, 0.4, 3.5
"""Within so many lengths of the longest egg, what stands out by the second share of the cell's own
contrast, and so many times the noise, is of the embryo; a membrane around it is fainter."""

HOLES, THIN = 0.25, 0.1
"""Holes up to this share of the cell's area are pale granules. What is no thicker than twice the
second share of the shortest egg, as a membrane, is no cell."""

COVERED, AROUND, LEFT_OFF = 0.93, 0.06, 0.09
"""The balls, by the second share of the shortest egg larger, fill the first share of the whole.
What sticks out by the third, as a polar body does, is left off."""

LARGE, LEAST_BESIDE, WELL_COVERED = 0.8, 0.6, 0.98
"""Where the largest ball is this share of the median egg, it might be a small egg with dirt beside
it: then the second is the least share of the others, and the third of what all fill, as it is of
three balls, of which a flake is more easily made than of two."""

WAIST = (0.05, 0.02)
"""Between balls is a bay on either side, at least so deep in radii of a disc of the whole's area; a
slipper or a grain of sand has none."""

ALIKE, UNEVEN = 0.7, 0.4
"""The balls' contrasts are alike to the first share, and vary by no more than the second."""

VOLUME = (0.15, 1.3)
"""The balls' volumes together, in those of the median egg. They should be about one; what shrinks
in a fixative has less, and cells flattened by a cover slip look larger."""


@dataclass(frozen=True, slots=True)
class Embryo:
    """A whole embryo: its rough outline (32, 2) in pixels of the picture, and its length.

    ``cells`` are the numbers of the candidates that it takes the place of.
    """

    outline: Floats
    length_um: float
    cells: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Eggs:
    """The lengths that eggs may have and that of the picture's median egg, in working pixels."""

    sizes: Sizes
    median_px: float | None

    @property
    def whole_px(self) -> float:
        """What is as long is no cell of an egg."""
        return max(self.sizes.low_px, SHORT * (self.median_px or 0.0))

    @property
    def both_px(self) -> float:
        """Two that are as long are no cells of one egg."""
        return max(self.sizes.low_px, BOTH * (self.median_px or 0.0))

    def might_be_egg(self, ball: Floats) -> bool:
        """Whether a ball (3,) is as large as a small egg."""
        return bool(2 * ball[2] >= max(self.sizes.low_px, LARGE * (self.median_px or 0.0)))

    def may_hold(self, balls: Floats) -> bool:
        """Whether balls (n, 3) can be the parts of one egg."""
        if len(balls) < 2 or 2 * balls[0, 2] >= self.whole_px:
            return False
        if self.might_be_egg(balls[0]) and balls[-1, 2] < LEAST_BESIDE * balls[0, 2]:
            return False
        volume = float(((2 * balls[:, 2]) ** 3).sum())
        if self.median_px is None:
            return volume <= self.sizes.high_px**3
        return VOLUME[0] <= volume / self.median_px**3 <= VOLUME[1]


@dataclass(frozen=True, slots=True)
class _Around:
    """What lies around an outline: the contrast (h, w), its own side up, from (left, top) on.

    ``inside`` says which pixels the outline holds.
    """

    left: int
    top: int
    seen: NDArray[np.float32]
    inside: Flags


def embryos(outlines: Floats, egg_like: Flags, scene: Scene, egg_um: float | None) -> list[Embryo]:
    """Return the embryos that are seen where candidates have these outlines (n, 32, 2).

    ``outlines`` are in pixels of the picture; ``egg_like`` (n,) says which may be an egg or a cell
    of one. ``egg_um`` is the length of the picture's median egg; None where it shows too few.
    """
    points = scene.copy.from_full(outlines)
    lengths, widths = ferets_px(points).T
    step_um = scene.um_per_px * scene.copy.factor
    eggs = _Eggs(scene.sizes, None if egg_um is None else egg_um / step_um)
    odd = (lengths < eggs.whole_px) | (widths < ROUND * lengths)
    seeds = np.flatnonzero(egg_like & odd & (lengths >= SMALLEST * scene.sizes.low_px))
    found: list[Embryo] = []
    taken: set[int] = set()
    for seed in seeds[np.argsort(-lengths[seeds], kind="stable")].tolist():
        contour = None if seed in taken else _whole(points[seed], scene, eggs)
        cells = [] if contour is None else _held(points, contour)
        if contour is None or seed not in cells or taken & set(cells):
            continue
        across = np.sqrt(lengths[cells] * widths[cells])
        if np.count_nonzero(across >= eggs.both_px) > 1:
            continue  # two whole eggs touch
        taken |= set(cells)
        outline = scene.copy.to_full(evenly(contour, RAYS))
        length_um = float(longest_px(outline[None])[0]) * scene.um_per_px
        found.append(Embryo(outline, length_um, tuple(cells)))
    return found


def _held(points: Floats, contour: Floats) -> list[int]:
    """Of which outlines (n, 32, 2) the middle lies in a contour."""
    ring = contour.astype(np.float32)[:, None]
    middles = points.mean(axis=1).tolist()
    return [k for k, (x, y) in enumerate(middles) if cv2.pointPolygonTest(ring, (x, y), False) >= 0]


def _whole(points: Floats, scene: Scene, eggs: _Eggs) -> Floats | None:
    """The contour of the embryo that holds an outline, in working pixels; None where none does."""
    around = _around(points, scene)
    mask = _standing(around, scene)
    balls = np.zeros((0, 3)) if mask is None else balls_of(mask)
    if mask is None or not eggs.may_hold(balls):
        return None
    away = away_from(balls, mask.shape)
    nearest = away.min(axis=2)
    margin_px = max(1.0, AROUND * scene.sizes.low_px)
    doubtful = len(balls) > 2 or eggs.might_be_egg(balls[0])
    covered = WELL_COVERED if doubtful else COVERED
    if float((nearest[mask > 0] <= margin_px).mean()) < covered or not _are_alike(away, around):
        return None
    if float(longest_px(points[None])[0]) >= eggs.whole_px and not _holds(around, away):
        return None  # an egg, with something else beside it
    near = nearest <= max(1.5, LEFT_OFF * scene.sizes.low_px)
    contour = contour_of(np.where(near, mask, 0).astype(np.uint8))
    if contour is None or not _is_waisted(contour, scene.sizes):
        return None
    return np.asarray(contour + np.array([around.left, around.top], np.float64))


def _around(points: Floats, scene: Scene) -> _Around:
    """Crop the evened picture around an outline."""
    height, width = scene.flat.contrast.shape
    reach = REACH * scene.sizes.high_px
    middle = points.mean(axis=0).clip(0, (width - 1, height - 1))
    left, top = np.maximum(np.floor(middle - reach), 0).astype(int).tolist()
    right, bottom = np.ceil(middle + reach).astype(int).tolist()
    seen = scene.flat.contrast[top : min(bottom, height), left : min(right, width)]
    seen = np.asarray(cv2.GaussianBlur(seen, (0, 0), 0.8), np.float32)
    inside = np.zeros(seen.shape, np.uint8)
    cv2.fillPoly(inside, [np.round(points - (left, top)).astype(np.int32)], 1)
    side = np.float32(-1 if float(seen[inside > 0].sum()) < 0 else 1)
    return _Around(left, top, side * seen, inside > 0)


def _standing(around: _Around, scene: Scene) -> Bytes | None:
    """What stands out together with the outline (255); None where nothing does, or too much."""
    if not around.inside.any():
        return None
    own = float(np.median(around.seen[around.inside]))
    limit = max(LEVEL * own, OVER_NOISE * scene.flat.noise)
    over = np.where(around.seen > limit, 255, 0).astype(np.uint8)
    over = np.asarray(cv2.morphologyEx(over, cv2.MORPH_CLOSE, _disc(1)), np.uint8)
    over = _filled(over, HOLES * float(around.inside.sum()))
    disc = _disc(max(1, round(THIN * scene.sizes.low_px)))
    thick = cv2.morphologyEx(over, cv2.MORPH_OPEN, disc)
    thick = np.asarray(cv2.morphologyEx(thick, cv2.MORPH_CLOSE, disc), np.uint8) & over
    _, labels = cv2.connectedComponents(thick, connectivity=4)
    here = np.bincount(labels[around.inside])
    here[0] = 0
    whole = np.where(labels == here.argmax(), 255, 0).astype(np.uint8)
    goes_on = whole[[0, -1]].any() or whole[:, [0, -1]].any()
    return None if goes_on or not here.any() else whole


def _filled(mask: Bytes, largest: float) -> Bytes:
    """Fill holes up to this area in pixels."""
    _, labels, stats, _ = cv2.connectedComponentsWithStats(255 - mask, connectivity=4)
    small = stats[:, cv2.CC_STAT_AREA] <= largest
    small[0] = False
    return np.where(small[labels], 255, mask).astype(np.uint8)


def _disc(reach: int) -> Bytes:
    size = (2 * reach + 1, 2 * reach + 1)
    return np.asarray(cv2.getStructuringElement(cv2.MORPH_ELLIPSE, size), np.uint8)


def _are_alike(away: Floats, around: _Around) -> bool:
    """Whether all balls stand out about equally, and evenly."""
    seen = [around.seen[off <= 0.2 * off.min()] for off in np.moveaxis(away, 2, 0)]
    means = np.array([float(each.mean()) for each in seen])
    spreads = np.array([float(each.std()) for each in seen])
    return bool(means.min() >= ALIKE * means.max() and spreads.mean() <= UNEVEN * means.mean())


def _holds(around: _Around, away: Floats) -> bool:
    """Whether the outline holds most of every ball."""
    return all(around.inside[off <= 0].mean() > 0.5 for off in np.moveaxis(away, 2, 0))


def _is_waisted(contour: Ints, sizes: Sizes) -> bool:
    """Whether a contour of an egg's length has a bay on either side."""
    shape = shape_of(contour)
    if shape is None or not sizes.low_px <= shape.length_px <= sizes.high_px:
        return False
    return shape.notch >= WAIST[0] and shape.second_notch >= WAIST[1]
