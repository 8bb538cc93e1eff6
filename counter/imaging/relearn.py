"""From what a technician corrected to a rescorer: ridge logistic regression round the finder.

The finder's own score is the prior: the fit starts from its logit and pays for every weight
(Hoerl AE, Kennard RW (1970), Ridge regression, Technometrics 12:55-67; le Cessie S, van Houwelingen
JC (1992), Ridge estimators in logistic regression, Applied Statistics 41:191-201). With few
examples it changes next to nothing; what it learnt is used only where it would have helped on
fields that it had not seen (cross-validation, a field or group of fields left out at a time), and
only on candidates that are like some example: another stage on another day stays as shipped.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit

from counter.domain.lesson import Example
from counter.domain.species import TargetKind
from counter.imaging.looks import STANDARD
from counter.imaging.rescore import (
    FEW,
    Rescorer,
    changes,
    familiar,
    prior,
    reach_of,
    shifted,
    shifts,
)

Floats = NDArray[np.float64]

RIDGE, RIDGE_OF_START = 2.0, 1.0
"""How much a weight, and what is added to all alike, costs: halves of these times its square."""

LEAST_CORRECTIONS = 6
"""Fewer decisions of the finder overruled say nothing about a lens."""

LEAST_FIELDS = 2
FOLDS = 5
STEPS = 30
SETTLED = 1e-8


@dataclass(frozen=True, slots=True)
class Learnt:
    """What came of the examples of a lens.

    ``rescorer`` is None where they don't help; ``why`` says it then in a few words. ``before`` and
    ``after`` are how many of the ``examples`` the finder gets wrong, alone and with what it learnt
    from the other fields; None where there was too little to try.
    """

    rescorer: Rescorer | None
    corrections: int
    examples: int
    before: int | None = None
    after: int | None = None
    why: str = ""


def learnt(
    lens: str, network: str, kind: TargetKind, low_um: float, examples: Sequence[Example]
) -> Learnt:
    """Return what the examples of one lens, network and target teach; their order changes nothing.

    ``low_um`` is the shortest length looked for.
    No examples: a :class:`Learnt` without rescorer, as for a lens that was never corrected.
    """
    ordered = sorted(examples, key=lambda each: (each.where, each.x_px, each.y_px))
    corrections = sum(each.overrules for each in ordered)
    fields = list(dict.fromkeys(each.where for each in ordered))
    if corrections < LEAST_CORRECTIONS or len(fields) < LEAST_FIELDS:
        why = f"it begins after {LEAST_CORRECTIONS} corrections on {LEAST_FIELDS} fields or more"
        return Learnt(None, corrections, len(ordered), why=why)
    looks = np.array([each.features for each in ordered])
    if looks.shape[1] != len(STANDARD):
        raise ValueError("examples of another layout of the features")
    scores = np.array([each.score for each in ordered])
    is_body = np.array([each.is_body for each in ordered], np.float64)
    groups = np.array([fields.index(each.where) % FOLDS for each in ordered])
    left_out = _left_out(looks, scores, is_body, groups)
    before, after = _wrong(scores, is_body), _wrong(left_out, is_body)
    if after >= before or _surprise(left_out, is_body) >= _surprise(scores, is_body):
        why = "it would not have helped on the fields corrected so far"
        return Learnt(None, corrections, len(ordered), before, after, why)
    start, weights = fitted(looks, prior(scores), is_body)
    rescorer = Rescorer(
        lens=lens,
        network=network,
        kind=kind,
        low_um=low_um,
        start=start,
        weights=tuple(float(weight) for weight in weights),
        corrections=corrections,
        examples=len(ordered),
        most_changed=_most_changed(ordered),
        known=tuple(each.features for each in ordered),
        reach=reach_of(looks),
    )
    return Learnt(rescorer, corrections, len(ordered), before, after)


def _most_changed(examples: Sequence[Example]) -> float:
    """The largest share of the marks of a field looked through that was corrected; 0 for none."""
    most = 0.0
    for _, group in groupby(examples, key=lambda each: each.where):
        field = list(group)
        if all(each.by_hand for each in field):
            continue
        changed, marks = changes(
            np.array([each.score for each in field]), np.array([float(e.is_body) for e in field])
        )
        if marks >= FEW:
            most = max(most, changed / marks)
    return most


def _left_out(looks: Floats, scores: Floats, is_body: Floats, groups: NDArray[np.intp]) -> Floats:
    """The scores that each example gets from what the other groups teach."""
    found = scores.copy()
    for group in np.unique(groups):
        out = groups == group
        known = looks[~out]
        start, weights = fitted(known, prior(scores[~out]), is_body[~out])
        by = shifts(looks[out], start, weights) * familiar(looks[out], known, reach_of(known))
        found[out] = shifted(scores[out], np.asarray(by))
    return found


def _wrong(scores: Floats, is_body: Floats) -> int:
    return int(((scores >= 0.5) != (is_body > 0.5)).sum())


def _surprise(scores: Floats, is_body: Floats) -> float:
    """The mean logarithmic loss."""
    held = np.clip(scores, 1e-3, 1 - 1e-3)
    return float(-np.mean(is_body * np.log(held) + (1 - is_body) * np.log(1 - held)))


def fitted(looks: Floats, logits: Floats, is_body: Floats) -> tuple[float, Floats]:
    """Return (start, weights) that fit labels (n) best beside prior ``logits`` (n), by Newton.

    ``looks`` is (n, features). No examples: all 0. The penalty makes the optimum unique and
    finite, whatever the labels are.
    """
    design = np.column_stack([np.ones(len(looks)), looks])
    cost = np.full(design.shape[1], RIDGE)
    cost[0] = RIDGE_OF_START
    weights = np.zeros(design.shape[1])
    value = _penalised(weights, design, logits, is_body, cost)
    for _ in range(STEPS):
        chance = expit(logits + design @ weights)
        slope = design.T @ (chance - is_body) + cost * weights
        bend = (design * (chance * (1 - chance))[:, None]).T @ design + np.diag(cost)
        step, share = np.linalg.solve(bend, slope), 1.0
        while share > SETTLED:
            moved = weights - share * step
            lower = _penalised(moved, design, logits, is_body, cost)
            if lower <= value:
                break
            share /= 2
        settled = value - lower < SETTLED
        weights, value = moved, min(value, lower)
        if settled:
            break
    return float(weights[0]), np.asarray(weights[1:])


def _penalised(
    weights: Floats, design: Floats, logits: Floats, is_body: Floats, cost: Floats
) -> float:
    """The negative log-likelihood with the ridge's price."""
    score = logits + design @ weights
    return float(np.sum(np.logaddexp(0, score) - is_body * score) + 0.5 * np.sum(cost * weights**2))
