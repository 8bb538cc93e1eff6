"""Scores that mean something: from the network's answer to the chance that a candidate is right."""

from __future__ import annotations

import numpy as np

DEPTHS = (0.0, 0.2, 0.4, 0.6, 0.8, 1.0)
CHANCES = (0.0, 0.2, 0.5, 0.8, 0.98, 1.0)


def chance_of(depth: float) -> float:
    """Return how often a candidate of this depth (0 to 1) is a body, 0 to 1."""
    return float(np.interp(depth, DEPTHS, CHANCES))
