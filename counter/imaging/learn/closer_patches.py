"""Crops for the closer look: candidates of the finder on drawn slides, bodies and what is none.

The finder itself chooses what is shown: whatever it takes for a body, rightly or not, outlined as
it outlines it.
"""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.domain.catalogue import species
from counter.domain.progress import Silent
from counter.domain.species import TargetKind, target_of
from counter.imaging.closer import crop_of
from counter.imaging.learn import light
from counter.imaging.learn.body_looks import BodyClass
from counter.imaging.learn.canvas import Floats, Textures
from counter.imaging.learn.patches import SIZE, draw_slide
from counter.imaging.learn.state_patches import BODY, UNKNOWN, StatePatch
from counter.imaging.learn.targets import Placed
from counter.imaging.learned import weigh_once
from counter.imaging.net import PX_ACROSS_SMALLEST
from counter.imaging.photo import Photo
from counter.imaging.scene import prepare
from counter.imaging.state_crops import lit
from counter.imaging.weighed import Weighed

WIDER, LIFELIKE = 0.8, 0.6
"""The share of slides with more litter and more kinds of it, and with bodies in detail."""

SIDES_PX, CHANCES = (512, 400, 300), (0.6, 0.25, 0.15)
"""How many pixels a camera puts on the side of a slide, and how often."""

RIGHT, WRONG = 0.5, 0.25
"""From this share that an outline and a body have in common it is that body's; up to the second,
of no body. In between it is neither."""


def draw_closer(rng: np.random.Generator, tex: Textures) -> list[StatePatch]:
    """Draw a slide, let the finder look at it, return a crop of each candidate; at times none."""
    slide = draw_slide(rng, tex, WIDER, LIFELIKE)
    side = int(rng.choice(SIDES_PX, p=CHANCES))
    picture = _levels(light.photograph(slide.light, side, rng, tex), rng)
    shortest = PX_ACROSS_SMALLEST * side / SIZE
    photo = Photo(picture).with_scale(1.0)
    target = target_of(species("eastern-oyster"), TargetKind.LARVAE, (shortest, 12 * shortest))
    found = weigh_once(prepare(photo, target, Silent()), target, Silent())
    bodies = [_raster(np.asarray(body.outline), SIZE) for body in slide.bodies]
    made = []
    for each in found:
        label = _label(each, SIZE / side, bodies, slide.bodies)
        grey, mask = crop_of(each, photo)
        given = np.asarray(lit(grey[None], mask[None], 255.0)[0], np.float32)
        labels = np.full(BODY + 1, UNKNOWN, np.int8)
        labels[BODY] = label
        made.append(StatePatch(given, labels, each.measures.length_um, each.depth))
    return made


def _levels(picture: Floats, rng: np.random.Generator) -> NDArray[np.uint8]:
    """The picture as the bytes of a file, more or less fully exposed."""
    top = max(float(np.percentile(picture[::2, ::2], 99.9)), 1e-3)
    scale = 255 / top * min(1.0, rng.uniform(0.3, 1.3))
    return np.asarray(np.clip(np.rint(picture * np.float32(scale)), 0, 255), np.uint8)


def _raster(outline: NDArray[np.float64], side: int) -> NDArray[np.bool_]:
    mask = np.zeros((side, side), np.uint8)
    cv2.fillPoly(mask, [np.round(outline * 16).astype(np.int32)], 1, shift=4)
    return mask > 0


def _label(
    each: Weighed, factor: float, bodies: Sequence[NDArray[np.bool_]], placed: Sequence[Placed]
) -> int:
    """1 for a body, 0 for none, else UNKNOWN; ``factor`` is pixels of a patch for one of its own.

    What lies over a body that is neither right nor wrong to find is unknown too, and so are bodies
    of no kind that is counted in a hatchery: the closer look tells larvae and eggs from the rest.
    """
    own = _raster((each.outline + 0.5) * factor - 0.5, len(bodies[0]) if bodies else SIZE)
    if not own.any():
        return UNKNOWN
    shares = [float((own & body).sum() / max((own | body).sum(), 1)) for body in bodies]
    best = int(np.argmax(shares)) if shares else -1
    if best < 0 or shares[best] < WRONG:
        unsure = any(
            bool((own & body).any()) and not at.sure
            for body, at in zip(bodies, placed, strict=True)
        )
        return UNKNOWN if unsure else 0
    known = placed[best].sure and placed[best].kind != BodyClass.OTHER
    return 1 if shares[best] >= RIGHT and known else UNKNOWN
