"""The learned finder: candidates from the network, outlines refined at full resolution, judged."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from counter.domain.mark import Mark
from counter.domain.progress import Progress
from counter.domain.species import Target, TargetKind
from counter.imaging.bare import BARE_SHARE, are_bare, is_naked
from counter.imaging.bridge import bridged
from counter.imaging.bubbles import BUBBLE_SHARE, is_bubble, is_ring
from counter.imaging.calibrated import COUNTED_FROM, chance_of
from counter.imaging.candidates import Candidate, candidates
from counter.imaging.ciliates import are_ciliates
from counter.imaging.closer import looked_closer
from counter.imaging.crystals import CRYSTAL_SHARE, is_crystal
from counter.imaging.cut_bubbles import is_cut_bubble
from counter.imaging.faint import FAINT_SHARE, are_faint
from counter.imaging.followed import followed
from counter.imaging.judge import Setting, Traits, score
from counter.imaging.kinds import by_kind
from counter.imaging.measure import Measures, measure_all
from counter.imaging.net import NoNetworkError
from counter.imaging.outline import Refined
from counter.imaging.scene import (
    SURE_ENOUGH,
    Row,
    Scene,
    is_blurred,
    marks_of,
    noted,
    seen_traits,
    to_border,
    to_rim,
)
from counter.imaging.shape import Form, forms_of
from counter.imaging.sight import Sight
from counter.imaging.weighed import Weighed

__all__ = ["NoNetworkError", "accepted", "weigh"]

Floats = NDArray[np.float64]

LOOSEST = 0.85
"""A candidate's rough length may be this much below the shortest (or its inverse above)."""

STUMP_ODDS = 0.2
"""How much of its odds a stump keeps: of six in doubt on drawn slides one was a larva."""

CONVEX = Form(solidity=1.0, notch=0.0, second_notch=0.0)


def accepted(
    weighed: Sequence[Weighed], scores: Sequence[float], scene: Scene, target: Target
) -> list[Mark]:
    """Return a mark for each candidate with a score (0 to 1) that is high enough."""
    rows: list[Row] = []
    for each, sure in zip(weighed, scores, strict=True):
        if sure >= COUNTED_FROM:
            odd = noted(each.outline, each.cut, each.edge_px, each.measures, sure, scene)
            naked = is_naked(each) and by_kind(target)
            rows.append((each.outline, each.measures, sure, odd, naked))
    return marks_of(rows, target)


def weigh(
    scene: Scene,
    target: Target,
    progress: Progress,
    sight: Callable[[], Sight] | None = None,
) -> list[Weighed]:
    """Return every candidate of the target's lengths with its score, also those that are no mark.

    ``sight`` is what the network saw, as for :func:`looked.look`. Raises :class:`NoNetworkError`
    when the network's file cannot be read.
    """
    weighed = _less_faint(weigh_once(scene, target, progress, sight), scene)
    if not by_kind(target):
        return weighed  # where a person gave the lengths, any body of that length is meant
    closer = looked_closer(weighed, scene.photo)
    clear = [_less_clear(_less_stump(each, target), scene, target) for each in closer]
    return _less_bare(clear, scene, target)


def weigh_once(
    scene: Scene,
    target: Target,
    progress: Progress,
    sight: Callable[[], Sight] | None = None,
) -> list[Weighed]:
    """The same before anything is looked at more closely."""
    progress.report(0.35, "looking for bodies")
    found = [each for each in candidates(scene, target, sight) if _may_fit(each, target)]
    progress.report(0.65, "following outlines")
    refined = followed(found, scene)
    progress.report(0.85, "measuring")
    return _weighed(found, refined, scene, target) if found else []


def _may_fit(candidate: Candidate, target: Target) -> bool:
    if candidate.share < SURE_ENOUGH:
        return False
    return LOOSEST * target.low_um <= candidate.length_um <= target.high_um / LOOSEST


def _weighed(
    found: list[Candidate], refined: Refined, scene: Scene, target: Target
) -> list[Weighed]:
    size = (scene.photo.width_px, scene.photo.height_px)
    outlines = [to_border(outline, size) for outline in bridged(refined)]
    if scene.rim is not None:
        outlines = [to_rim(points, cut, scene.rim, scene.copy.factor) for points, cut in outlines]
    measured = measure_all(np.stack([points for points, _ in outlines]), scene.um_per_px)
    inner, seen = seen_traits(outlines, measured, refined, scene)
    embryos = [each.is_embryo for each in found]
    looks = _judged(inner, seen, [cut for _, cut in outlines], embryos, scene)
    return [
        Weighed(
            outline=points,
            cut=cut,
            edge_px=float(refined.edge_px[index]),
            measures=measured[index],
            traits=seen[index],
            depth=each.depth,
            classes=each.classes,
            judged=looks[index],
            score=chance_of(each.depth, looks[index]) * each.share,
            is_embryo=each.is_embryo,
        )
        for index, (each, (points, cut)) in enumerate(zip(found, outlines, strict=True))
        if _fits(measured[index], cut, target)
    ]


def _less_faint(weighed: list[Weighed], scene: Scene) -> list[Weighed]:
    """Take most of the score from glimmers; not on a block of a larger picture, as for the bare."""
    if scene.around is not None:
        return weighed
    return [
        _lessened(each, FAINT_SHARE, faint)
        for each, faint in zip(weighed, are_faint(weighed).tolist(), strict=True)
    ]


def _less_bare(weighed: list[Weighed], scene: Scene, target: Target) -> list[Weighed]:
    """Take most of the score from bodies without a shell, among shelled ones or wherever they lie.

    Those among shelled ones not on a block of a larger picture: which larvae are shelled must be
    the same all over it.
    """
    if target.kind is not TargetKind.LARVAE:
        return weighed
    blurred = [is_blurred(each.edge_px, each.measures, scene) for each in weighed]
    bare = are_ciliates(weighed, blurred)
    if scene.around is None:
        bare |= are_bare(weighed, blurred, target.species.egg_um[1])
    return [
        _lessened(each, BARE_SHARE, is_bare)
        for each, is_bare in zip(weighed, bare.tolist(), strict=True)
    ]


def _lessened(each: Weighed, share: float, is_so: bool) -> Weighed:
    return replace(each, score=share * each.score) if is_so else each


def _less_stump(each: Weighed, target: Target) -> Weighed:
    """Doubt more what the border leaves less of than the shortest larva has."""
    is_stump = each.cut and target.kind is TargetKind.LARVAE
    if not is_stump or each.measures.length_um >= target.low_um:
        return each
    odds = STUMP_ODDS * each.score
    return replace(each, score=odds / (odds + 1 - each.score))


def _less_clear(each: Weighed, scene: Scene, target: Target) -> Weighed:
    """Take most of the score from a bubble, from a thin ring among larvae and from a crystal."""
    is_thin = target.kind is TargetKind.LARVAE and is_ring(each)
    if is_thin or is_bubble(each) or is_cut_bubble(each, scene):
        return _lessened(each, BUBBLE_SHARE, True)
    return _lessened(each, CRYSTAL_SHARE, is_crystal(each))


def _judged(
    inner: Floats,
    seen: Sequence[Traits],
    are_cut: Sequence[bool],
    are_embryos: Sequence[bool],
    scene: Scene,
) -> list[float]:
    """How much each refined outline and what it holds look like a body, 0 to 1.

    That a whole embryo's outline has waists does not speak against it.
    """
    scores = []
    forms = forms_of(np.round(inner).astype(np.int32))
    for form, trait, cut, is_embryo in zip(forms, seen, are_cut, are_embryos, strict=True):
        setting = Setting(scene.flat.noise, scene.sizes, cut)
        if is_embryo:
            scores.append(score(CONVEX, replace(trait, jagged=0.0), setting))
        else:
            scores.append(score(form, trait, setting) if form else 0.0)
    return scores


def _fits(measures: Measures, cut: bool, target: Target) -> bool:
    """Whether a length can be the target's; of a cut body only a part is seen."""
    low = 0.5 * target.low_um if cut else 0.92 * target.low_um
    return low <= measures.length_um <= 1.1 * target.high_um
