"""Pictures with so much light that the water is burned out to white, and pale rims with it."""

from __future__ import annotations

import numpy as np

from counter.imaging.photo import Pixels, white_level

BURNED_OUT = 0.3
"""From this share of a picture that is white in every channel it is said: common practice, no
source. Bright bodies of a dark field and a lamp's middle are far less."""

NEARLY = 0.996
"""JPEG leaves white not quite white."""

FEW = 500
"""About so many rows and columns are looked at, evenly spread."""


def exposure_words(pixels: Pixels) -> tuple[str, ...]:
    """Return what there is to say of a picture's light: a sentence where it is burned out."""
    step = max(1, min(pixels.shape[:2]) // FEW)
    few = pixels[::step, ::step]
    white = few >= NEARLY * white_level(few)
    share = float(np.mean(white if white.ndim == 2 else white.all(axis=2)))
    if share < BURNED_OUT:
        return ()
    return (
        f"{share:.0%} of the picture is burned out to white: pale rims are lost in it, and with "
        "them small larvae and empty shells. Photograph with less light or a shorter exposure.",
    )
