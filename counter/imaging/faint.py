"""Glimmers: what is far fainter than all bodies of a picture, such as bodies far out of focus.

Bodies above or below the depth that the lens sees are spread over so much of the picture that
hardly any of their light is left; in a dark field they glimmer. Common practice, no source: nobody
counts them, because how many are seen depends on the lens and not on the drop.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from counter.imaging.ranks import percentile
from counter.imaging.weighed import Weighed

FEWEST_SURE, SURE_DEPTH, SURE_SCORE = 3, 0.8, 0.9
"""At least so many bodies, with a depth and a score above these, tell how strong bodies are."""

STRONG_PERCENT = 75.0
"""Bodies are as strong as this percentile of the sure ones: some of those may glimmer too."""

FAINT = 0.18
"""What is at most this share as strong as they is none. The faintest of 6,259 drawn bodies
of 58 kinds by two renderers, partly out of focus, has 0.34."""

FAINT_SHARE = 0.1
"""How much of its score such a candidate keeps."""


def are_faint(weighed: Sequence[Weighed]) -> NDArray[np.bool_]:
    """Which of a picture's candidates are far fainter than its bodies.

    None where fewer than :data:`FEWEST_SURE` bodies are sure.
    """
    strong = np.array([_contrast(each) for each in weighed])
    sure = np.array([each.depth > SURE_DEPTH and each.score > SURE_SCORE for each in weighed], bool)
    if sure.sum() < FEWEST_SURE:
        return np.zeros(len(weighed), bool)
    return np.asarray(strong <= FAINT * percentile(strong[sure], STRONG_PERCENT))


def _contrast(each: Weighed) -> float:
    """How strongly a candidate differs from the empty field, where it does most."""
    seen = each.traits
    return max(abs(seen.rim), abs(seen.core), abs(seen.fill))
