"""Candidates by what was seen on them, for the tests of the rules that compare them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from counter.imaging.bare import are_bare
from counter.imaging.judge import Traits
from counter.imaging.measure import Measures
from counter.imaging.net import CLASSES
from counter.imaging.weighed import Weighed

Floats = NDArray[np.float64]

LARVA = np.array([0.02, 0.9, 0.02, 0.06])
VAGUE = np.array([0.1, 0.5, 0.05, 0.35])
RIM = -0.5
EGG_UM = 85.0


def body(
    length_um: float,
    *,
    wide: float = 0.9,
    rim: float = RIM,
    looks: object = LARVA,
    fill: float | None = None,
    edge_px: float = 3.0,
    core: float = -0.2,
    texture: float = 0.1,
) -> Weighed:
    """A candidate of this length, width for its length, rim, shares of the classes, contrast inside
    (half of the rim's if not given), width of the edge, contrast of its middle and spread inside
    that does not follow the distance from it."""
    fill = abs(rim) / 2 if fill is None else fill
    traits = Traits(40.0, wide, rim, 1.0, core, fill, texture, 0.8, 0.0, 1.0, 1.0)
    measures = Measures(length_um, wide * length_um, 0.7 * wide * length_um**2, 0.0, 0.0)
    classes = np.asarray(looks)
    assert classes.shape == (len(CLASSES),)
    return Weighed(np.zeros((72, 2)), False, edge_px, measures, traits, 0.95, classes, 0.98, 0.99)


LARVAE = [body(150), body(160), body(170), body(180)]


def bare(*others: Weighed) -> list[bool]:
    """What is said of some candidates beside four shelled larvae."""
    found = are_bare([*LARVAE, *others], [False] * (len(LARVAE) + len(others)), EGG_UM)
    assert not found[: len(LARVAE)].any()
    return [bool(each) for each in found[len(LARVAE) :]]
