"""Bodies on the rim of a round view: the pieces that only show beside their mirror image."""

from __future__ import annotations

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.round_view import Circle
from counter.imaging.stars import Star

Floats = NDArray[np.float64]

SURE = 0.8
"""A star less sure than this does not show a body that the mirror may show."""


def with_rim(plain: list[Star], beside_mirror: list[Star], circle: Circle) -> list[Star]:
    """Return the stars of a picture, with those that the rim cuts from the mirrored one.

    Where more than half of a body is in the field, the network sees it without a mirror, and
    better: two halves back to back may pass for one small body between them. So a sure star of the
    plain picture stands, and any other gives way.
    """
    sure = [star for star in plain if star.depth > SURE]
    added = [
        star
        for star in beside_mirror
        if _is_cut(star.outline, circle) and not _is_known(star.outline, sure, circle)
    ]
    unsure = [star for star in plain if star.depth <= SURE]
    return [*sure, *(s for s in unsure if not _is_known(s.outline, added, circle)), *added]


def _is_cut(outline: Floats, circle: Circle) -> bool:
    away = np.hypot(outline[:, 0] - circle.x_px, outline[:, 1] - circle.y_px)
    return bool(away.max() > circle.radius_px > away.min())


def _is_known(outline: Floats, known: list[Star], circle: Circle) -> bool:
    """Whether the middle of what is seen lies in a known outline, or the other way round."""
    x, y = _seen_middle(outline, circle)
    own = outline.astype(np.float32)
    for other in known:
        there = _seen_middle(other.outline, circle)
        if cv2.pointPolygonTest(other.outline.astype(np.float32), (x, y), False) >= 0:
            return True
        if cv2.pointPolygonTest(own, there, False) >= 0:
            return True
    return False


def _seen_middle(outline: Floats, circle: Circle) -> tuple[float, float]:
    away = np.hypot(outline[:, 0] - circle.x_px, outline[:, 1] - circle.y_px)
    seen = outline[away <= circle.radius_px]
    x, y = (seen if len(seen) else outline).mean(axis=0)
    return float(x), float(y)
