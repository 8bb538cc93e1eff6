"""A candidate of the learned finder with its refined outline, its looks and its score."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from counter.imaging.judge import Traits
from counter.imaging.measure import Measures

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Weighed:
    """A candidate of a length that is looked for, whether it becomes a mark or not.

    ``outline`` (n, 2) is in pixels of the picture; ``cut`` says that the border cuts it.
    ``edge_px`` is how wide its rim is. ``depth`` and ``classes`` (4, sum 1) are the network's
    answer, ``judged`` how much it looks like a body (0 to 1), ``score`` the chance of all together
    that it is what is looked for (0 to 1). ``is_embryo`` says that it was recognised as a cleaving
    egg. ``closer`` is the logit of the closer look; None where none was taken.
    """

    outline: Floats
    cut: bool
    edge_px: float
    measures: Measures
    traits: Traits
    depth: float
    classes: Floats
    judged: float
    score: float
    is_embryo: bool = False
    closer: float | None = None
