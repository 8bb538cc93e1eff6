"""Outlines that slipped onto another rim than the one that the network saw."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from counter.imaging.measure import longest_px
from counter.imaging.outline import Refined
from counter.imaging.rays import sample
from counter.imaging.scene import Scene

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]

SLIPPED, SLIPPED_IN = 1.2, 0.93
"""An outline that became longer or shorter than the network's by more than ``SLIPPED`` has slipped
onto another rim, such as that of a bright middle. One that no neighbour reaches into has slipped at
less than ``SLIPPED_IN`` already if another rim lies outside of it: onto the dark edge of the soft
body inside a clear shell, on a coarse picture. On drawn larvae and eggs the outline changes by -3
to +7 % (98 of 100)."""

ON_IT, OUTSIDE = (0.88, 1.02), (1.06, 1.25)
ANOTHER_RIM = 0.45
"""Where outlines, drawn so many times as large, meet at least this share of the contrast that they
have on themselves, another rim lies outside. On drawn slides the share is 0.5 to 0.8 around a soft
body in its shell, up to 0.35 around a shell in water, and below 0 in phase contrast."""

PLACES = 10
"""At so many places from the low to the high end of each range is looked."""


def are_alone(centres: Floats, lengths_px: Floats) -> Flags:
    """Which of the bodies with these centres (n, 2) and lengths no other one can reach into."""
    half = lengths_px / 2
    near = [  # how many reach into each, itself among them
        np.count_nonzero(np.hypot(*(centres - centre).T) < half + reach)
        for centre, reach in zip(centres, half, strict=True)
    ]
    return np.asarray(np.array(near, int) == 1)


def are_slipped(refined: Refined, seen_px: Floats, alone: Flags, scene: Scene) -> Flags:
    """Which refined outlines (n, at least one) are no longer on the rim that the network saw.

    ``seen_px`` (n,) are the lengths that it saw, ``alone`` (n,) says which bodies nothing touches.
    """
    longer = longest_px(refined.outlines) / seen_px
    lost = (longer < 1 / SLIPPED) | (longer > SLIPPED)
    doubtful = alone & ~lost & (longer < SLIPPED_IN)
    lost[doubtful] = _has_another_rim(refined, doubtful, scene)
    return np.asarray(lost)


def _has_another_rim(refined: Refined, chosen: Flags, scene: Scene) -> Flags:
    """Which of the chosen outlines lie on no rim, or have one outside like their own; (chosen,)."""
    points = scene.copy.from_full(refined.outlines[chosen])
    middles = points.mean(axis=1, keepdims=True)
    means = []
    for low, high in (ON_IT, OUTSIDE):
        times = np.linspace(low, high, PLACES)[:, None, None, None]
        places = middles + times * (points - middles)
        seen = sample(scene.flat.contrast, places[..., 0], places[..., 1])
        means.append((seen * refined.polarity[chosen][:, None]).max(axis=0).mean(axis=1))
    own, other = means
    return np.asarray((own <= 0) | (other > ANOTHER_RIM * own))
