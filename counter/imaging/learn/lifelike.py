"""Bodies painted in the detail of the crops from which states are learnt, on a whole slide.

The usual painter of a slide (:mod:`bodies`) varies looks far beyond what is real. Here a larva has
a shell with a rim, tissue and a gut of grains, an empty shell its valves, an egg its yolk or cells.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from counter.imaging.learn import outlines
from counter.imaging.learn.bodies import Body
from counter.imaging.learn.body_looks import BodyClass
from counter.imaging.learn.canvas import Floats, Textures
from counter.imaging.learn.outlines import Radii
from counter.imaging.learn.state_eggs import (
    Layers,
    cleavage,
    paint_egg,
    paint_polar_bodies,
    union,
    yolk_shape,
)
from counter.imaging.learn.state_larvae import paint_empty, paint_live

SMALLER = 0.94
"""The outline is another than the one that found its place between neighbours."""

LEAST_PX = 9.5
"""Half a body's length on the canvas from which there is anything to see inside."""


def paint_lifelike(
    canvas: Floats, body: Body, rng: np.random.Generator, tex: Textures
) -> tuple[Body, float] | None:
    """Paint a larva, an empty shell or an egg in place of ``body``.

    Return it as it was painted, and by how much it changes the light inside its outline, on
    average. None, and nothing painted, where it is of another class, too small, or hardly on the
    canvas.
    """
    half = SMALLER * body.half_px
    low, high = (-0.8 * half, len(canvas) + 0.8 * half)
    if half < LEAST_PX or not all(low < at < high for at in body.centre):
        return None
    if body.look.kind is BodyClass.OTHER:
        return None
    layers, radii = _painted(canvas, body, half, rng, tex)
    inside = layers[0].crop.inside
    total = np.zeros(inside.shape, np.float32)
    for number, layer in enumerate(layers):
        if layer.layer.shape == total.shape:
            total += layer.layer * np.float32(layer.colour[1] * body.strength)
        hidden = body.look.opaque if number == 0 else 0.0
        layer.lay_on(canvas, body.strength, hidden, body.blur_px)
    change = float((np.abs(total) * inside).sum() / max(float(inside.sum()), 1.0))
    return replace(body, radii=radii, valves=(), balls=None), change


def _painted(
    canvas: Floats, body: Body, half: float, rng: np.random.Generator, tex: Textures
) -> tuple[list[Layers], Radii]:
    centre = body.centre
    if body.look.kind is BodyClass.LARVA:
        is_late = half > 20 and rng.random() < 0.3
        return paint_live(canvas, centre, half, rng, tex, is_late and rng.random() < 0.5, is_late)
    if body.look.kind is BodyClass.EMPTY:
        return paint_empty(canvas, centre, half, rng, tex)
    balls = None
    if rng.random() < 0.5:
        cells = cleavage(rng)
        if len(cells) > 2 and rng.random() < 0.5:  # two cells of unlike size are the hardest
            cells = cleavage(rng)
        radii, balls = union(cells)
        radii = radii * np.float32(half)
    else:
        radii = outlines.turned(yolk_shape(rng) * np.float32(half), rng.uniform(0, 2 * np.pi))
    egg = paint_egg(canvas, centre, radii, half, rng, tex, balls)
    if rng.random() < 0.3:
        paint_polar_bodies(egg, radii, half, rng)
    return [egg], radii
