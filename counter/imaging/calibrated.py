"""Scores that mean something: from the network's answer to the chance that a candidate is right."""

from __future__ import annotations

import numpy as np

DEPTHS = (0.0, 0.3, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)
CHANCES = (0.0, 0.1, 0.5, 0.65, 0.78, 0.93, 0.985, 1.0)


def chance_of(depth: float) -> float:
    """Return how often a candidate of this depth (0 to 1) is a body, 0 to 1."""
    return float(np.interp(depth, DEPTHS, CHANCES))
