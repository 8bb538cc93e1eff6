"""The learned finder: candidates from the network, outlines refined at full resolution, judged."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from counter.domain import flags
from counter.domain.mark import Mark
from counter.domain.progress import Progress
from counter.domain.species import Target, TargetKind
from counter.imaging.calibrated import chance_of
from counter.imaging.find import DOUBTFUL_BELOW, Scene, is_on_ruling, made_mark, to_border
from counter.imaging.measure import Measures, measure
from counter.imaging.net import CLASSES, PX_ACROSS_SMALLEST, NoNetworkError, ask, load, seen_by_net
from counter.imaging.outline import POINTS, refine
from counter.imaging.rays import evenly, sample
from counter.imaging.stars import Star, stars

__all__ = ["NoNetworkError", "candidates", "search"]

Floats = NDArray[np.float64]

SURE_ENOUGH = 0.5
EGG, OTHER = CLASSES.index("egg"), CLASSES.index("other")
ALL_EGGS = 0.85
"""Where more than this share of all bodies look like eggs, they are what was meant."""

LOOSEST = 0.85
"""A candidate's rough length may be this much below the shortest (or its inverse above)."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A body by the network: rough outline (32, 2) in pixels of the picture, how sure it is.

    ``sure`` is the chance, 0 to 1, that it is a body of the kind looked for.
    """

    outline: Floats
    sure: float


def candidates(scene: Scene, target: Target) -> list[Candidate]:
    """Return what the network sees. Raises :class:`NoNetworkError` when the network cannot be read."""
    photo = scene.photo
    net = load()
    factor = target.low_um / PX_ACROSS_SMALLEST / scene.um_per_px
    seen = seen_by_net(photo.pixels, factor)
    per_px = np.array([photo.width_px / seen.shape[1], photo.height_px / seen.shape[0]])
    found = [star for star in stars(ask(net, seen)) if _is_seen(star, per_px, scene)]
    wanted = _kind_shares(found, target)
    return [
        Candidate((star.outline + 0.5) * per_px - 0.5, chance_of(star.depth) * share)
        for star, share in zip(found, wanted, strict=True)
    ]


def _is_seen(star: Star, per_px: Floats, scene: Scene) -> bool:
    """Whether a candidate lies in the field of view and not on a burned-in mark."""
    places = np.vstack([star.outline, star.outline.mean(axis=0, keepdims=True)])
    places = ((places + 0.5) * per_px - 0.5) / scene.copy.factor
    inside = sample(scene.view.mask, places[:, 0], places[:, 1]) > 127
    return bool(inside.mean() > 0.3)


def _kind_shares(found: list[Star], target: Target) -> list[float]:
    """How far each candidate is of the kind looked for, by its class.

    With the species' own lengths, eggs do not count as larvae nor larvae as eggs; with lengths that
    a person gave, any body of that length counts. Where nearly all bodies look like eggs
    (trochophores do), they are what was meant.
    """
    own = target.species.egg_um if target.kind is TargetKind.EGGS else target.species.larva_um
    if (target.low_um, target.high_um) != own or not found:
        return [1.0] * len(found)
    egg_like = np.array([star.classes[EGG] for star in found])
    if target.kind is TargetKind.EGGS:
        other = np.array([star.classes[OTHER] for star in found])
        return [float(share) for share in np.clip(1.6 * (egg_like + other), 0, 1)]
    if float((egg_like > 0.5).mean()) > ALL_EGGS:
        return [1.0] * len(found)
    return [float(share) for share in np.clip(1.6 * (1 - egg_like), 0, 1)]


def search(scene: Scene, target: Target, progress: Progress) -> list[Mark]:
    """Find the bodies of ``target`` on a prepared scene, as :func:`counter.imaging.find.search`.

    Raises :class:`NoNetworkError` when the network's file cannot be read.
    """
    progress.report(0.35, "looking for bodies")
    found = [each for each in candidates(scene, target) if _may_fit(each, scene, target)]
    progress.report(0.65, "following outlines")
    outlines = _refined(found, scene)
    progress.report(0.85, "measuring")
    marks = _marks(found, outlines, scene, target)
    progress.report(1.0, "done")
    return marks


def _may_fit(candidate: Candidate, scene: Scene, target: Target) -> bool:
    if candidate.sure < SURE_ENOUGH:
        return False
    longest = measure(candidate.outline, scene.um_per_px).length_um
    return LOOSEST * target.low_um <= longest <= target.high_um / LOOSEST


def _refined(found: list[Candidate], scene: Scene) -> Floats:
    """Lay the rough outlines on the rims, first widely, then closely."""
    factor = scene.copy.factor
    shift = (factor - 1) / 2
    rough = [(each.outline - shift) / factor for each in found]
    free = [_free(outline, scene) for outline in rough]
    return refine(rough, free, scene.photo.pixels, scene.copy, scene.flat).outlines


def _free(outline: Floats, scene: Scene) -> NDArray[np.bool_]:
    """Which points may be moved: not those at the picture's border or on a ruling."""
    height, width = scene.flat.contrast.shape
    points = evenly(outline, POINTS)
    inner = (points > 1.5).all(axis=1) & (points < (width - 2.5, height - 2.5)).all(axis=1)
    off_line = sample(scene.ruled.bands, points[:, 0], points[:, 1]) < 1
    return np.asarray(inner & off_line)


def _marks(found: list[Candidate], outlines: Floats, scene: Scene, target: Target) -> list[Mark]:
    size = (scene.photo.width_px, scene.photo.height_px)
    rows = []
    for each, outline in zip(found, outlines, strict=True):
        points, cut = to_border(outline, size, scene.copy.factor)
        measures = measure(points, scene.um_per_px)
        if not _fits(measures, cut, target):
            continue
        noted = {flags.CUT.key} if cut else set()
        if scene.ruled.lines and is_on_ruling(points, scene):
            noted.add(flags.ON_RULING.key)
        if each.sure < DOUBTFUL_BELOW:
            noted.add(flags.DOUBTFUL.key)
        rows.append((points, measures, each.sure, frozenset(noted)))
    rows.sort(key=lambda row: (row[1].y_px, row[1].x_px))
    return [made_mark(number, *row, target) for number, row in enumerate(rows, 1)]


def _fits(measures: Measures, cut: bool, target: Target) -> bool:
    """Whether a length can be the target's; of a cut body only a part is seen."""
    low = 0.5 * target.low_um if cut else 0.92 * target.low_um
    return low <= measures.length_um <= 1.1 * target.high_um
