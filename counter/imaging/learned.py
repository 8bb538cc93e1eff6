"""The learned finder: candidates from the network, outlines refined at full resolution, judged."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from counter.domain.mark import Mark
from counter.domain.progress import Progress
from counter.domain.species import Target, TargetKind
from counter.imaging.around import Population
from counter.imaging.bridge import bridged
from counter.imaging.calibrated import COUNTED_FROM, chance_of
from counter.imaging.judge import Setting, Traits, score
from counter.imaging.measure import Measures, ferets_px, longest_px, measure_all
from counter.imaging.net import CLASSES, RAYS, NoNetworkError, ask, load
from counter.imaging.outline import POINTS, Refined, refine
from counter.imaging.rays import evenly_all, sample
from counter.imaging.round_stars import with_rim
from counter.imaging.round_view import mirrored
from counter.imaging.scene import (
    SURE_ENOUGH,
    Row,
    Scene,
    free_points,
    marks_of,
    noted,
    seen_traits,
    to_border,
    to_rim,
)
from counter.imaging.shape import forms_of
from counter.imaging.sight import Sight, sight_of
from counter.imaging.stars import Star, stars
from counter.imaging.weighed import Weighed

__all__ = ["NoNetworkError", "accepted", "candidates", "look", "population_of", "weigh"]

Floats = NDArray[np.float64]

EGG, LARVA, EMPTY = (CLASSES.index(name) for name in ("egg", "larva", "empty"))
EGG_LIKE, SHELLED, STEEP = 0.4, 0.65, 14.0
"""From which share of egg (of shell) on a body is no larva (no egg), and how sharply."""

MOSTLY = 0.6
"""Where more than this share of all bodies look like eggs, they are what was meant."""

ROUND = 0.84
"""An egg is at least this wide for its length."""

ALIKE = 1.2
"""Bodies of up to this many times the length of the egg-like ones are of one population."""

FEW = 3
"""Fewer egg-like bodies than this say nothing about how long the eggs on a picture are."""

LOOSEST = 0.85
"""A candidate's rough length may be this much below the shortest (or its inverse above)."""


SLIPPED = 1.2
"""An outline that became longer or shorter than the network's by more than this factor has slipped
onto another rim, such as that of a bright middle. On drawn larvae and eggs it changes by -3 to +7 %
(98 of 100)."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """A body by the network: rough outline (32, 2) in pixels of the picture, how sure it is.

    ``depth`` (0 to 1) is the network's answer in its middle, ``share`` how far the body, if it is
    one, is of the kind looked for, ``length_um`` the rough outline's longest extent, ``classes``
    (4) the shares of the network's classes.
    """

    outline: Floats
    depth: float
    share: float
    length_um: float
    classes: Floats


def candidates(
    scene: Scene, target: Target, sight: Callable[[], Sight] | None = None
) -> list[Candidate]:
    """Return what the network sees; arguments and errors as for :func:`look`."""
    looked = look(scene, target, sight)
    population = None if scene.around is None else scene.around.population
    wanted = _kind_shares(looked, target, population or population_of([looked], target))
    return [
        Candidate(outline, star.depth, share, longest, star.classes)
        for outline, star, share, longest in zip(
            looked.outlines, looked.found, wanted, looked.ferets_um[:, 0].tolist(), strict=True
        )
    ]


@dataclass(frozen=True, slots=True)
class Looked:
    """What the network sees on a scene: bodies of any kind.

    Of each the rough outline (n, 32, 2) in pixels of the picture, and in ``ferets_um`` (n, 2) its
    length and width.
    """

    found: list[Star]
    outlines: Floats
    ferets_um: Floats


def look(scene: Scene, target: Target, sight: Callable[[], Sight] | None = None) -> Looked:
    """Return what the network sees on a scene.

    ``sight`` is given where it was asked to look beforehand (:func:`counter.imaging.sight.looking`
    at the scene's photo). Raises :class:`NoNetworkError` when the network cannot be read.
    """
    photo = scene.photo
    light = None if scene.around is None else scene.around.light
    seen = sight() if sight is not None else sight_of(photo, target, light)
    height, width = seen.seen.shape[:2]
    per_px = np.array([photo.width_px / width, photo.height_px / height])
    found = stars(seen.answer)
    if scene.view.rim is not None:
        circle = scene.view.rim.scaled(scene.copy.factor / per_px)
        found = with_rim(found, stars(ask(load(), mirrored(seen.seen, circle))), circle)
    if not found:
        return Looked([], np.zeros((0, RAYS, 2)), np.zeros((0, 2)))
    outlines = (np.stack([star.outline for star in found]) + 0.5) * per_px - 0.5
    shown = np.flatnonzero(_are_seen(outlines, scene))
    outlines = outlines[shown]
    ferets_um = ferets_px(outlines) * scene.um_per_px
    return Looked([found[index] for index in shown], outlines, ferets_um)


def _are_seen(outlines: Floats, scene: Scene) -> NDArray[np.bool_]:
    """Which outlines lie in the field of view and not on a burned-in mark."""
    places = np.concatenate([outlines, outlines.mean(axis=1, keepdims=True)], axis=1)
    places = places / scene.copy.factor
    inside = sample(scene.view.mask, places[..., 0], places[..., 1]) > 127
    return np.asarray(inside.mean(axis=1) > (0.3 if scene.rim is None else 0.2))


def _kind_shares(looked: Looked, target: Target, population: Population) -> list[float]:
    """How far each candidate is of the kind looked for, by its class.

    With the species' own lengths, eggs beside larvae do not count as larvae, nor larvae as eggs;
    with lengths that a person gave, any body of that length counts. What is longer than the
    species' largest egg, or not round, is no egg; what looks shelled is one all the same where it
    is as short as the eggs beside it.
    """
    if not looked.found or not _by_kind(target):
        return [1.0] * len(looked.found)
    across_um = looked.ferets_um[:, 0]
    if target.kind is TargetKind.EGGS:
        shelled = _shelled(looked)
        if population.egg_um is None:
            shelled[_is_round(looked)] = 0
        else:
            shelled[across_um < ALIKE * population.egg_um] = 0
        return _leaning(1 - shelled, 1 - SHELLED)
    if population.is_one:
        return [1.0] * len(looked.found)
    return _leaning(1 - _egg_like(looked, target), 1 - EGG_LIKE)


def _by_kind(target: Target) -> bool:
    """Whether eggs and larvae are told apart: not where a person gave the lengths."""
    own = target.species.egg_um if target.kind is TargetKind.EGGS else target.species.larva_um
    return (target.low_um, target.high_um) == own


def _shelled(looked: Looked) -> Floats:
    """How far each candidate has a shell, 0 to 1."""
    shares = np.array([star.classes for star in looked.found]).reshape(-1, len(CLASSES))
    return np.asarray(shares[:, LARVA] + shares[:, EMPTY])


def _egg_like(looked: Looked, target: Target) -> Floats:
    """How far each candidate looks like an egg rather than a larva, 0 to 1."""
    egg = np.array([star.classes[EGG] for star in looked.found])
    egg_like = np.asarray(egg / (egg + _shelled(looked) + 1e-9))
    egg_like[(looked.ferets_um[:, 0] > target.species.egg_um[1]) | ~_is_round(looked)] = 0
    return egg_like


def _is_round(looked: Looked) -> NDArray[np.bool_]:
    return np.asarray(looked.ferets_um[:, 1] >= ROUND * looked.ferets_um[:, 0])


def _is_sure(looked: Looked) -> NDArray[np.bool_]:
    return np.array([star.depth > 0.5 for star in looked.found], bool)


def _leaning(share: Floats, half: float) -> list[float]:
    """From how much speaks for the kind looked for to how much of the score is left."""
    return [float(part) for part in 1 / (1 + np.exp(STEEP * (half - share)))]


def population_of(parts: Sequence[Looked], target: Target) -> Population:
    """Return what the bodies of a picture are, all of it together, of which ``parts`` are shown."""
    parts = [part for part in parts if part.found]
    if not parts or not _by_kind(target):
        return Population()
    sure = np.concatenate([_is_sure(part) for part in parts])
    across_um = np.concatenate([part.ferets_um[:, 0] for part in parts])
    if target.kind is TargetKind.EGGS:
        eggs = across_um[sure & (np.concatenate([_shelled(part) for part in parts]) < SHELLED)]
        return Population(egg_um=float(np.median(eggs)) if eggs.size >= FEW else None)
    egg_like = np.concatenate([_egg_like(part, target) for part in parts]) > EGG_LIKE
    return Population(is_one=_one_population(sure, across_um, egg_like))


def _one_population(
    sure: NDArray[np.bool_], across_um: Floats, egg_like: NDArray[np.bool_]
) -> bool:
    """Whether what looks like eggs is what was meant: trochophores have no shell yet.

    It is where nearly all bodies look so, or where the others are no longer than those.
    """
    if not (egg_like & sure).any():
        return False
    if float(egg_like[sure].mean()) > MOSTLY:
        return True
    eggs, rest = across_um[egg_like & sure], across_um[~egg_like & sure]
    return len(eggs) > 0.3 * len(rest) and bool(np.percentile(rest, 75) < ALIKE * np.median(eggs))


def accepted(
    weighed: Sequence[Weighed], scores: Sequence[float], scene: Scene, target: Target
) -> list[Mark]:
    """Return a mark for each candidate with a score (0 to 1) that is high enough."""
    rows: list[Row] = []
    for each, sure in zip(weighed, scores, strict=True):
        if sure >= COUNTED_FROM:
            odd = noted(each.outline, each.cut, each.edge_px, each.measures, sure, scene)
            rows.append((each.outline, each.measures, sure, odd))
    return marks_of(rows, target)


def weigh(
    scene: Scene,
    target: Target,
    progress: Progress,
    sight: Callable[[], Sight] | None = None,
) -> list[Weighed]:
    """Return every candidate of the target's lengths with its score, also those that are no mark.

    ``sight`` is what the network saw, as for :func:`look`. Raises :class:`NoNetworkError` when the
    network's file cannot be read.
    """
    progress.report(0.35, "looking for bodies")
    found = [each for each in candidates(scene, target, sight) if _may_fit(each, target)]
    progress.report(0.65, "following outlines")
    refined = _refined(found, scene)
    progress.report(0.85, "measuring")
    return _weighed(found, refined, scene, target) if found else []


def _may_fit(candidate: Candidate, target: Target) -> bool:
    if candidate.share < SURE_ENOUGH:
        return False
    return LOOSEST * target.low_um <= candidate.length_um <= target.high_um / LOOSEST


def _refined(found: list[Candidate], scene: Scene) -> Refined:
    """Lay the rough outlines on the rims; where a rim was lost, keep what the network saw."""
    outlines = np.array([each.outline for each in found]).reshape(-1, RAYS, 2)
    rough = scene.copy.from_full(outlines)
    free = free_points(rough, scene)
    refined = refine(list(rough), list(free), scene.photo.pixels, scene.copy, scene.flat)
    if not found:
        return refined
    longer = longest_px(refined.outlines) / np.array([each.length_um for each in found])
    longer = longer * scene.um_per_px
    lost = (longer < 1 / SLIPPED) | (longer > SLIPPED)
    kept = np.where(lost[:, None, None], evenly_all(outlines, POINTS), refined.outlines)
    return replace(refined, outlines=kept, touched=refined.touched & ~_on_ruling(kept, scene))


def _on_ruling(outlines: Floats, scene: Scene) -> NDArray[np.bool_]:
    """Which points lie on or by a ruling: what touches a body there is that, no neighbour."""
    inner = scene.copy.from_full(outlines)
    return np.asarray(sample(scene.ruled.covered, inner[..., 0], inner[..., 1]) > 0)


def _weighed(
    found: list[Candidate], refined: Refined, scene: Scene, target: Target
) -> list[Weighed]:
    size = (scene.photo.width_px, scene.photo.height_px)
    outlines = [to_border(outline, size) for outline in bridged(refined)]
    if scene.rim is not None:
        outlines = [to_rim(points, cut, scene.rim, scene.copy.factor) for points, cut in outlines]
    measured = measure_all(np.stack([points for points, _ in outlines]), scene.um_per_px)
    inner, seen = seen_traits(outlines, measured, refined, scene)
    looks = _judged(inner, seen, [cut for _, cut in outlines], scene)
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
        )
        for index, (each, (points, cut)) in enumerate(zip(found, outlines, strict=True))
        if _fits(measured[index], cut, target)
    ]


def _judged(
    inner: Floats, seen: Sequence[Traits], are_cut: Sequence[bool], scene: Scene
) -> list[float]:
    """How much each refined outline and what it holds look like a body, 0 to 1."""
    scores = []
    forms = forms_of(np.round(inner).astype(np.int32))
    for form, trait, cut in zip(forms, seen, are_cut, strict=True):
        setting = Setting(scene.flat.noise, scene.sizes, cut)
        scores.append(score(form, trait, setting) if form else 0.0)
    return scores


def _fits(measures: Measures, cut: bool, target: Target) -> bool:
    """Whether a length can be the target's; of a cut body only a part is seen."""
    low = 0.5 * target.low_um if cut else 0.92 * target.low_um
    return low <= measures.length_um <= 1.1 * target.high_um
