"""Large larvae are cut by the border of a picture more often, so those measured are too small.

Miles RE (1974), in Harding EF, Kendall DG, Stochastic Geometry; Lantuéjoul C (1980), J. Microsc.
118:371-378 (both from memory): of bodies with a box of w × h, those whole within a frame of W × H
are the part (W - w)(H - h)/(W·H) of all, so each stands for the inverse. In a round field of
diameter D it is (1 - d/D)² for bodies of diameter d. Shells lie in all directions, so both sides
of the box are taken as the mean of length and width, the mean diameter of an ellipse to within a
few in a hundred.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from counter.domain.field import PictureField
from counter.domain.mark import Mark

LEAST_WHOLE = 0.05
"""Bodies nearly as large as the picture: no weight above 20."""
ROUND_BELOW = 0.97
"""A picture of which less than this part can be seen has a round field."""


def whole_share(diameters_um: NDArray[np.float64], field: PictureField) -> NDArray[np.float64]:
    """Return the probability of lying whole within the field for bodies of these diameters."""
    picture = field.picture
    um = picture.scale.um_per_px
    width, height = picture.frame.width * um, picture.frame.height * um
    seen = picture.area_mm2 * 1e6
    if seen < ROUND_BELOW * width * height:
        across = 2 * math.sqrt(seen / math.pi)
        share = np.square(np.clip(1 - diameters_um / across, 0, 1))
    else:
        sides = (np.clip(1 - diameters_um / side, 0, 1) for side in (width, height))
        share = np.prod(np.stack(list(sides)), axis=0)
    return np.maximum(share, LEAST_WHOLE)


def border_weights(field: PictureField, marks: Sequence[Mark]) -> NDArray[np.float64]:
    """Return how many bodies each of ``marks``, whole within ``field``, stands for: 1 to 20."""
    diameters = np.array([(mark.length_um + mark.width_um) / 2 for mark in marks])
    return 1.0 / whole_share(diameters, field)
