"""What was learnt through one lens: scores shifted by how a candidate looks, never by much.

The score of the finder stays what it is (the prior); a rescorer adds to its logit a weighted sum of
the candidate's features, held within :data:`MOST_SHIFT`. Features are standardised with constants
that ship with the program, so that what is kept with a lens does not depend on the pictures of the
day. The weights are fitted in :mod:`counter.imaging.relearn`.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

import cv2
import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree
from scipy.special import expit, logit

from counter.domain.species import Target, TargetKind
from counter.imaging.net import CLASSES, NoNetworkError
from counter.imaging.scene import SURE_ENOUGH, Scene
from counter.imaging.weighed import Weighed

Floats = NDArray[np.float64]

MOST_SHIFT = 6.0
"""The logit of a score is shifted by no more."""

SUREST, LEAST = 0.99, 0.01
"""Scores are held within these before they are shifted."""

FARTHEST = 3.0
"""A standardised feature is held within this: one odd look does not decide alone."""

ALL_BUT_ODD, LEAST_REACH, BEYOND = 0.95, 1.0, 0.4
"""Examples but for the oddest 5 % lie within reach of another; twice as far is all but unknown."""

ALIKE = 1.25
"""What was learnt looking for lengths from L µm holds up to this many times L, or less."""

LEAST_LIMIT, MARGIN, FEW = 0.5, 0.2, 4
"""A picture may be changed by half of its marks, or by that much more than the most where it was
taught; fewer changes than these are never too many."""

LAYOUT = 1
"""Raised when a feature is computed in another way: what was learnt before is then left aside."""

STANDARD: dict[str, tuple[float, float]] = {
    "depth": (3.0, 1.2),
    "judged": (3.0, 1.6),
    "egg": (-2.8, 1.8),
    "empty": (-3.3, 1.0),
    "other": (-2.8, 1.8),
    "length": (0.65, 0.6),
    "length bent": (0.3, 0.6),
    "aspect": (0.84, 0.1),
    "soft": (-2.6, 0.45),
    "rim": (-0.8, 0.35),
    "core": (-1.0, 0.5),
    "fill": (0.7, 0.2),
    "texture": (0.2, 0.08),
    "symmetry": (0.58, 0.22),
    "outside": (0.0, 0.1),
    "jagged": (-5.6, 0.5),
    "firm": (1.0, 0.06),
    "closed": (1.0, 0.04),
    "dark": (-0.4, 0.25),
    "red": (0.05, 0.06),
    "blue": (-0.1, 0.09),
}
"""Each feature's usual value and spread, from the candidates of the drawn scenes in the tests."""


@lru_cache(maxsize=1)
def network_version() -> str:
    """Return what tells this network, and the features taken beside it, from every other.

    Raises :class:`NoNetworkError` when the network's file is missing.
    """
    try:
        data = resources.files("resources").joinpath("model/finder.onnx").read_bytes()
    except OSError as error:
        raise NoNetworkError(
            "The learned finder's file resources/model/finder.onnx cannot be read; install the "
            "program again to get it back."
        ) from error
    return f"{hashlib.sha256(data).hexdigest()[:16]}/{LAYOUT}"


@dataclass(frozen=True, slots=True)
class Adjusted:
    """Scores (0 to 1) of candidates, by how many corrections they were adjusted, and warnings."""

    scores: tuple[float, ...]
    by: int = 0
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Rescorer:
    """What a lens has taught.

    ``weights`` are those of the features in the order of :data:`STANDARD`, ``start`` is added to
    all alike. ``network``, ``kind`` and the shortest length looked for, ``low_um``, say which
    finder and target it belongs to. ``corrections`` were made by hand; ``examples`` is how many
    candidates they and the fields looked through give. ``most_changed`` is the largest share of
    the marks on a field looked through that was corrected. ``known`` are the features of the
    examples, ``reach`` how near to one of them a candidate is like it.
    """

    lens: str
    network: str
    kind: TargetKind
    low_um: float
    start: float
    weights: tuple[float, ...]
    corrections: int
    examples: int
    most_changed: float
    known: tuple[tuple[float, ...], ...]
    reach: float

    def fits(self, target: Target) -> bool:
        """Whether it was learnt for such a target with the network that is installed.

        Raises :class:`NoNetworkError` when the network's file is missing.
        """
        return (
            self.kind is target.kind
            and are_alike(self.low_um, target.low_um)
            and self.network == network_version()
        )

    def adjusted(self, weighed: Sequence[Weighed], scene: Scene) -> Adjusted:
        """Return the adjusted scores of the candidates of one picture.

        Where that would change many more of the marks than a person did where it was taught, the
        picture shows something else (another stage, another animal): the scores stay as shipped,
        with a warning.
        """
        if not weighed:
            return Adjusted((), self.corrections)
        shipped = np.array([each.score for each in weighed])
        moved = shifted(shipped, self.shifts(features(weighed, scene)))
        changed, marks = changes(shipped, moved)
        limit = max(LEAST_LIMIT, self.most_changed + MARGIN)
        if changed >= FEW and changed > limit * marks:
            said = (
                f"What corrections taught about the lens “{self.lens}” would change {changed} of "
                f"{marks} marks here, far more than where it was taught; it was left aside on this "
                "picture."
            )
            return Adjusted(tuple(shipped.tolist()), 0, (said,))
        return Adjusted(tuple(moved.tolist()), self.corrections)

    def shifts(self, looks: Floats) -> Floats:
        """Return by how much the logits change, for features (n, :data:`STANDARD`)."""
        known = np.array(self.known).reshape(-1, len(STANDARD))
        by = shifts(looks, self.start, np.array(self.weights))
        return np.asarray(by * familiar(looks, known, self.reach))


def as_shipped(weighed: Sequence[Weighed]) -> Adjusted:
    """Return the finder's own scores."""
    return Adjusted(tuple(each.score for each in weighed))


def changes(scores: Floats, others: Floats) -> tuple[int, int]:
    """Return how many candidates are marks by one of two scores alone, and by any of them."""
    one, other = scores >= SURE_ENOUGH, others >= SURE_ENOUGH
    return int((one != other).sum()), int((one | other).sum())


def are_alike(one_low_um: float, other_low_um: float) -> bool:
    """Whether two shortest lengths let the network see pictures at about the same scale."""
    return max(one_low_um, other_low_um) <= ALIKE * min(one_low_um, other_low_um)


def shifts(looks: Floats, start: float, weights: Floats) -> Floats:
    """Return start + looks · weights, within :data:`MOST_SHIFT`."""
    return np.asarray(np.clip(start + looks @ weights, -MOST_SHIFT, MOST_SHIFT))


def familiar(looks: Floats, known: Floats, reach: float) -> Floats:
    """Return how far candidates are like some example, 0 to 1, for features (n, k) and (m, k).

    1 within ``reach`` of one, falling to nothing beyond: what was never seen stays as shipped.
    """
    if not len(looks) or not len(known):
        return np.zeros(len(looks))
    apart, _ = cKDTree(known).query(looks)
    beyond = np.maximum(0.0, np.asarray(apart) / reach - 1)
    return np.asarray(np.exp(-((beyond / BEYOND) ** 2)))


def reach_of(known: Floats) -> float:
    """Return how near examples (m, k) lie to their nearest neighbours, all but the oddest."""
    if len(known) < 2:
        return LEAST_REACH
    apart, _ = cKDTree(known).query(known, k=[2])
    return max(LEAST_REACH, float(np.quantile(np.asarray(apart), ALL_BUT_ODD)))


def shifted(scores: Floats, by: Floats) -> Floats:
    """Return scores (0 to 1) with their logits shifted; no shift leaves a score exactly alone."""
    moved = expit(prior(scores) + by)
    return np.asarray(np.where(by == 0, scores, moved))


def prior(scores: Floats) -> Floats:
    """Return the logits of shipped scores, held within :data:`LEAST` and :data:`SUREST`."""
    return np.asarray(logit(np.clip(scores, LEAST, SUREST)))


def features(weighed: Sequence[Weighed], scene: Scene) -> Floats:
    """Return how candidates look: (n, number of :data:`STANDARD`), standardised, 4 decimals."""
    tints = _tints(weighed, scene)
    rows = np.array([_row(each, tint, scene) for each, tint in zip(weighed, tints, strict=True)])
    usual = np.array(list(STANDARD.values()))
    rows = (rows.reshape(-1, len(usual)) - usual[:, 0]) / usual[:, 1]
    return np.asarray(np.round(np.clip(rows, -FARTHEST, FARTHEST), 4))


def _row(each: Weighed, tint: tuple[float, float, float], scene: Scene) -> tuple[float, ...]:
    seen = each.traits
    rim = max(seen.rim, 1e-6)
    shares = dict(zip(CLASSES, np.log(each.classes + 0.02), strict=True))
    length = float(np.log2(max(seen.length_px, 1e-6) / scene.sizes.low_px))
    radius_px = np.sqrt(max(each.measures.area_um2, 1e-9) / np.pi) / scene.um_per_px
    return (
        float(logit(np.clip(each.depth, 0.01, 0.995))),
        float(logit(np.clip(each.judged, 0.01, 0.99))),
        shares["egg"] - shares["larva"],
        shares["empty"] - shares["larva"],
        shares["other"] - shares["larva"],
        length,
        (length - 0.8) ** 2,
        seen.aspect,
        float(np.log(max(each.edge_px, 0.05) / radius_px)),
        float(np.log(rim)),
        seen.core / rim,
        seen.fill / rim,
        seen.texture / rim,
        seen.symmetry,
        seen.outside / rim,
        float(np.log(max(seen.jagged, 3e-4))),
        seen.firm,
        seen.rim_share,
        *tint,
    )


def _tints(weighed: Sequence[Weighed], scene: Scene) -> list[tuple[float, float, float]]:
    """How much darker than the water each body is (log), and redder and bluer than green."""
    pixels, seen = scene.copy.pixels, scene.view.mask > 0
    step = max(1, int(np.sqrt(pixels.shape[0] * pixels.shape[1] / 40_000)))
    some = pixels[::step, ::step][seen[::step, ::step]]
    if not some.size:
        return [(0.0, 0.0, 0.0)] * len(weighed)
    least = 0.02 * scene.copy.top
    water = np.median(some.reshape(len(some), -1).astype(np.float64), axis=0)
    tints = []
    for each in weighed:
        mean = _mean_inside(scene.copy.from_full(each.outline), pixels)
        logs = np.log((mean[: len(water)] + least) / (water + least))
        red, green, blue = logs if len(logs) == 3 else (logs[0],) * 3
        tints.append((float(logs.mean()), float(red - green), float(blue - green)))
    return tints


def _mean_inside(outline: Floats, pixels: NDArray[np.generic]) -> Floats:
    """The mean colour inside an outline (n, 2) given in the pixels of ``pixels``."""
    height, width = pixels.shape[:2]
    low = np.clip(np.floor(outline.min(axis=0)).astype(int), 0, (width - 1, height - 1))
    high = np.clip(np.ceil(outline.max(axis=0)).astype(int) + 1, low + 1, (width, height))
    mask = np.zeros((high[1] - low[1], high[0] - low[0]), np.uint8)
    cv2.fillPoly(mask, [np.round(outline - low).astype(np.int32)], 255)
    part = np.ascontiguousarray(pixels[low[1] : high[1], low[0] : high[0]])
    return np.asarray(cv2.mean(part, mask), np.float64)
