"""The shelled bodies of a picture, what others are compared with, and what may be one of them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from counter.imaging.kinds import EMPTY, LARVA
from counter.imaging.weighed import Weighed

SURE_SHELL, SURE_DEPTH = 0.75, 0.8
"""From which share of the shelled classes, and from which depth, a body surely has a shell."""

FEWEST_SHELLED = 2
"""Fewer shelled bodies than this do not show what a shell's rim looks like on a picture."""

OBLONG = 0.85
"""What has no shell is oblong where it is narrower than this share of its length: trochophores are
rounder."""

PERHAPS_EMPTY = 0.2
"""What the network sees this much empty shell on may have a thin one."""


@dataclass(frozen=True, slots=True)
class Shelled:
    """Medians of a picture's shelled bodies: contrast at the rim, how much of it fills the inside,
    length, and how wide the edge is."""

    rim: float
    fill_share: float
    length_um: float
    edge_px: float


def usual_of(shelled: Sequence[Weighed]) -> Shelled:
    """The medians of bodies that have a shell, at least one."""
    return Shelled(
        float(np.median([abs(each.traits.rim) for each in shelled])),
        float(np.median([fill_share(each) for each in shelled])),
        float(np.median([each.measures.length_um for each in shelled])),
        float(np.median([each.edge_px for each in shelled])),
    )


def is_shelled(each: Weighed) -> bool:
    """Whether a candidate surely has a shell, all of which is seen."""
    return shell(each) > SURE_SHELL and each.depth > SURE_DEPTH and not each.cut


def shell(each: Weighed) -> float:
    """How far a candidate has a shell by the network's classes, 0 to 1."""
    return float(each.classes[LARVA] + each.classes[EMPTY])


def fill_share(each: Weighed) -> float:
    """A candidate's contrast inside as a share of that at its rim, at least 0."""
    return each.traits.fill / max(abs(each.traits.rim), 1e-6)
