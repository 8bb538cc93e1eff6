"""Pictures on which nothing could be seen, whatever lay before the lens: their 0 is no count."""

from __future__ import annotations

from counter.domain.rounding import for_people
from counter.domain.species import Target, TargetKind
from counter.imaging.photo import Photo, Pixels
from counter.imaging.slide import AnyPhoto

LEAST_PX = 4.0
"""A body that is no longer than so many pixels is a speck: it has no shape to be found by."""

FIRST_LOOK = 64
"""Every so many pixels each way are compared first: nearly every picture differs among these."""


def shows_nothing(photo: AnyPhoto, target: Target) -> str | None:
    """Return in a sentence why nothing can be seen on a photo with a scale; None where it can.

    Its pixels are too coarse for the smallest body, it is narrower than that, or all of its pixels
    are equal (of a slide that is not looked at).
    """
    um_per_px = photo.um_per_px
    width_px, height_px = photo.width_px, photo.height_px
    body = "an egg" if target.kind is TargetKind.EGGS else "a larva"
    if um_per_px is not None and target.low_um < LEAST_PX * um_per_px:
        across = for_people(target.low_um / um_per_px, 2)
        return (
            f"Is too coarse: at {um_per_px:.4g} µm per pixel {body} of {target.low_um:g} µm is "
            f"{across} px long, and none can be found. Check the scale and the lengths."
        )
    if um_per_px is not None and min(width_px, height_px) * um_per_px < target.low_um:
        width_um, height_um = (for_people(side * um_per_px, 2) for side in (width_px, height_px))
        return (
            f"Is only {width_px} × {height_px} px, which is {width_um} × {height_um} µm: no room "
            f"for {body}. Give the picture itself, and check the scale."
        )
    if isinstance(photo, Photo) and _is_even(photo.pixels):
        return (
            "Is one even tone all over: nothing can be seen on it, so its 0 is no count. "
            "Photograph it again, or leave it out."
        )
    return None


def _is_even(pixels: Pixels) -> bool:
    first = pixels[:1, :1]
    return bool((pixels[::FIRST_LOOK, ::FIRST_LOOK] == first).all() and (pixels == first).all())
