"""What was learnt through one lens: scores shifted by how a candidate looks, never by much.

The score of the finder stays what it is (the prior); a rescorer adds to its logit a weighted sum of
the candidate's features (:mod:`counter.imaging.looks`), held within :data:`MOST_SHIFT`. The weights
are fitted in :mod:`counter.imaging.relearn`.
"""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, logit

from counter.domain.species import Target, TargetKind
from counter.imaging.calibrated import COUNTED_FROM
from counter.imaging.looks import STANDARD, features
from counter.imaging.net import NoNetworkError
from counter.imaging.scene import Scene
from counter.imaging.weighed import Weighed

Floats = NDArray[np.float64]

MOST_SHIFT = 6.0
"""The logit of a score is shifted by no more."""

SUREST, LEAST = 0.99, 0.01
"""Scores are held within these before they are shifted."""

ALL_BUT_ODD, LEAST_REACH, BEYOND = 0.95, 1.0, 0.4
"""Examples but for the oddest 5 % lie within reach of another; twice as far is all but unknown."""

ALIKE = 1.25
"""What was learnt looking for lengths from L µm holds up to this many times L, or less."""

LEAST_LIMIT, MARGIN, FEW = 0.5, 0.2, 4
"""A picture may be changed by half of its marks, or by that much more than the most where it was
taught; fewer changes than these are never too many."""

LAYOUT = 1
"""Raised when a feature is computed in another way: what was learnt before is then left aside."""


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
    one, other = scores >= COUNTED_FROM, others >= COUNTED_FROM
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
    apart = _to_nearest(looks, known, 1)
    beyond = np.maximum(0.0, apart / reach - 1)
    return np.asarray(np.exp(-((beyond / BEYOND) ** 2)))


def reach_of(known: Floats) -> float:
    """Return how near examples (m, k) lie to their nearest neighbours, all but the oddest."""
    if len(known) < 2:
        return LEAST_REACH
    apart = _to_nearest(known, known, 2)
    return max(LEAST_REACH, float(np.quantile(apart, ALL_BUT_ODD)))


def _to_nearest(looks: Floats, known: Floats, rank: int) -> Floats:
    """How far each of ``looks`` (n, k) is from the nearest of ``known`` (1), the next one (2)."""
    from scipy.spatial import cKDTree  # late: slow to load, and only a taught lens needs it

    apart, _ = cKDTree(known).query(looks, k=[rank])
    return np.asarray(apart)[:, 0]


def shifted(scores: Floats, by: Floats) -> Floats:
    """Return scores (0 to 1) with their logits shifted; no shift leaves a score exactly alone."""
    moved = expit(prior(scores) + by)
    return np.asarray(np.where(by == 0, scores, moved))


def prior(scores: Floats) -> Floats:
    """Return the logits of shipped scores, held within :data:`LEAST` and :data:`SUREST`."""
    return np.asarray(logit(np.clip(scores, LEAST, SUREST)))
