"""The chamber's squares where the lines that were taken out of the contrast make no grid.

At a scale far from the true one a groove is no line but a wide band, or its two flanks are lines of
their own. Then the rulings are looked for on the picture as it is, whatever its scale: just there
it matters that they contradict it.
"""

from __future__ import annotations

import math

from counter.domain.ruled import RuledGrid
from counter.imaging.photo import Photo

LEAST_LINES = 3
"""So many lines must have been seen: most pictures show none, and cost nothing."""


def ruled_again(photo: Photo, lines: int) -> RuledGrid | None:
    """Return the rulings of a photo on which ``lines`` were seen; None if not regular, or few."""
    if lines < LEAST_LINES:
        return None
    from counter.imaging.rulings import find_rulings  # late: scipy.signal is slow to load

    found = find_rulings(photo.grey())
    if found is None:
        return None
    x, y = (photo.width_px - 1) / 2, (photo.height_px - 1) / 2
    turn = math.radians(found.angle_deg)
    upright, level = found.starts_px
    return RuledGrid(
        width_px=photo.width_px,
        height_px=photo.height_px,
        angle_deg=found.angle_deg,
        period_px=found.period_px,
        error_px=found.error_px,
        lines=found.lines,
        upright_px=None if upright is None else upright + x * math.cos(turn) + y * math.sin(turn),
        level_px=None if level is None else level + y * math.cos(turn) - x * math.sin(turn),
    )
