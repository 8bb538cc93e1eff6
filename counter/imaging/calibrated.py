"""Scores that mean something: the chance that a candidate is a body, from two opinions.

The network says how deep inside a body the candidate's middle lies; the judge of outlines says how
much the refined outline and what it holds look like a body. The two are joined by logistic
regression, fitted by maximum likelihood on the candidates of 260 drawn fields of 26 kinds and 24
plain ones (``tests/accuracy/eye_scenes.py``, fields 4 to 13; Platt J (1999), Probabilistic outputs
for support vector machines, in: Advances in large margin classifiers, MIT Press, pp. 61-74).

The fitted start is -2.2 there. On patches drawn as wildly as those that the network learnt from,
the depth alone is right as often as it says; the start is put between the two, because a slide
of somebody else's looks less like either.
"""

from __future__ import annotations

import numpy as np
from scipy.special import expit, logit

START, BY_DEPTH, BY_JUDGE = -1.5, 2.10, 0.63
SUREST_DEPTH, SUREST_JUDGE, LEAST = 0.995, 0.99, 0.01


def chance_of(depth: float, judged: float) -> float:
    """Return how often a candidate of this depth and this judgement (0 to 1) is a body, 0 to 1."""
    deep = logit(np.clip(depth, LEAST, SUREST_DEPTH))
    looks = logit(np.clip(judged, LEAST, SUREST_JUDGE))
    return float(expit(START + BY_DEPTH * deep + BY_JUDGE * looks))
