"""Scores that mean something: the chance that a candidate is a body, from two opinions.

The network says how deep inside a body the candidate's middle lies; the judge of outlines says how
much the refined outline and what it holds look like a body. The two are joined by logistic
regression, fitted by maximum likelihood (Platt J (1999), Probabilistic outputs for support vector
machines, in: Advances in large margin classifiers, MIT Press, pp. 61-74) on the candidates of 142
drawn fields of 58 kinds by two renderers, with nothing moved by hand.
``python -m tests.benchmarks.reliability --fit`` prints the three numbers (``--fit-closer`` those of
what is looked at more closely, see :mod:`closer`), and without them how often the scores are right,
and what each threshold would bring, on other fields of the same kinds.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import expit, logit

START, BY_DEPTH, BY_JUDGE = -0.23, 1.78, 0.28
COUNTED_FROM = 0.55
"""From this score a candidate is a mark. On the fields of both fits 19 of the marks are then spare
and 26 bodies missed, of 6,267, with the rules that came after."""

SUREST_DEPTH, SUREST_JUDGE, LEAST = 0.995, 0.99, 0.01

CLOSER_START, CLOSER_BY_DEPTH, CLOSER_BY_JUDGE, BY_CLOSER = -1.94, 1.34, 0.29, 0.7
"""The same for a candidate that was looked at more closely: with that network's logit, on 374 drawn
fields. What that logit weighs is held at three quarters of what would be likeliest there: on
pictures of a third hand, on which nothing was fitted, it errs more often than on these."""

CUT_START, CUT_BY_DEPTH, CUT_BY_JUDGE, CUT_BY_CLOSER = 0.27, 1.45, 0.11, 0.6
"""The same for one that the border cuts, of which less is seen, on 946 such candidates; what its
logit weighs is what would be likeliest."""

SUREST_CLOSER = 6.0
"""The closer look is not believed to be surer than this logit, either way."""


def opinions(depth: float, judged: float) -> tuple[float, float]:
    """Return the two opinions (0 to 1 each) as logits, neither surer than it can be known to be."""
    deep = logit(np.clip(depth, LEAST, SUREST_DEPTH))
    looks = logit(np.clip(judged, LEAST, SUREST_JUDGE))
    return float(deep), float(looks)


def chance_of(depth: float, judged: float) -> float:
    """Return how often a candidate of this depth and this judgement (0 to 1) is a body, 0 to 1."""
    deep, looks = opinions(depth, judged)
    return float(expit(START + BY_DEPTH * deep + BY_JUDGE * looks))


def closer_chance_of(depth: float, judged: float, closer: float, is_cut: bool = False) -> float:
    """The same with the closer look's logit as a third opinion, of a whole body or a cut one."""
    return float(expit(closer_weights(is_cut) @ closer_opinions(depth, judged, closer)))


def closer_weights(is_cut: bool = False) -> NDArray[np.float64]:
    """What the start and the three opinions weigh."""
    if is_cut:
        return np.array([CUT_START, CUT_BY_DEPTH, CUT_BY_JUDGE, CUT_BY_CLOSER])
    return np.array([CLOSER_START, CLOSER_BY_DEPTH, CLOSER_BY_JUDGE, BY_CLOSER])


def closer_opinions(depth: float, judged: float, closer: float) -> NDArray[np.float64]:
    """Return 1 and the three opinions as logits, none surer than it can be known to be."""
    seen = float(np.clip(closer, -SUREST_CLOSER, SUREST_CLOSER))
    return np.array([1.0, *opinions(depth, judged), seen])
