"""Scores that mean something: the chance that a candidate is a body, from two opinions.

The network says how deep inside a body the candidate's middle lies; the judge of outlines says how
much the refined outline and what it holds look like a body. The two are joined by logistic
regression, fitted by maximum likelihood (Platt J (1999), Probabilistic outputs for support vector
machines, in: Advances in large margin classifiers, MIT Press, pp. 61-74) on the candidates of drawn
fields (``tests/accuracy/eye_scenes.py``, fields 4 to 13, and 24 plain ones).

The fitted start is -2.2 there. On patches drawn as wildly as those that the network learnt from,
the depth alone is right as often as it says; the start is put between the two, because a slide
of somebody else's looks less like either. ``python -m tests.benchmarks.reliability`` prints how
often the scores are right on other fields and on those of another renderer, with ``--fit`` what a
fit without that shift would be.
"""

from __future__ import annotations

import numpy as np
from scipy.special import expit, logit

START, BY_DEPTH, BY_JUDGE = -1.5, 2.10, 0.63
SUREST_DEPTH, SUREST_JUDGE, LEAST = 0.995, 0.99, 0.01


def opinions(depth: float, judged: float) -> tuple[float, float]:
    """Return the two opinions (0 to 1 each) as logits, neither surer than it can be known to be."""
    deep = logit(np.clip(depth, LEAST, SUREST_DEPTH))
    looks = logit(np.clip(judged, LEAST, SUREST_JUDGE))
    return float(deep), float(looks)


def chance_of(depth: float, judged: float) -> float:
    """Return how often a candidate of this depth and this judgement (0 to 1) is a body, 0 to 1."""
    deep, looks = opinions(depth, judged)
    return float(expit(START + BY_DEPTH * deep + BY_JUDGE * looks))
