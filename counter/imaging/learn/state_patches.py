"""Crops with known states, as the network that proposes states is given them."""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import NDArray

from counter.imaging.learn import light, litter, outlines
from counter.imaging.learn.bodies import Body, paint
from counter.imaging.learn.body_looks import BodyClass, any_look
from counter.imaging.learn.canvas import Floats, Textures, blurred
from counter.imaging.learn.outlines import Radii
from counter.imaging.learn.state_eggs import (
    Layers,
    cleavage,
    paint_egg,
    paint_polar_bodies,
    paint_specks,
    union,
    yolk_shape,
)
from counter.imaging.learn.state_larvae import paint_empty, paint_live
from counter.imaging.state_crops import CLOSE_SIDE, SIDE, crop, lit

UNKNOWN = -1
DEAD, FERTILISED, EYE, BODY = range(4)
"""The network's outputs: the chance of each (as a logit)."""


@dataclass(frozen=True)
class View:
    """What is drawn and how closely: one view for each training.

    The slide around a body is painted on ``canvas`` × ``canvas`` pixels, of which the body is
    ``length`` long, more than in the crop of ``side``. Bodies are ``lengths_px`` long on the
    camera, out of focus by ``blur`` of half their length (one standard deviation), and of ``kinds``
    with these chances; ``rulings`` is the chance that rulings lie about. Only ``answers`` are
    labelled.
    """

    canvas: int
    length: float
    side: int
    lengths_px: tuple[float, float]
    blur: float
    rulings: float
    kinds: dict[str, float]
    answers: tuple[int, ...]


WHOLE = View(
    canvas=144, length=92.0, side=SIDE, lengths_px=(20.0, 220.0), blur=0.06, rulings=0.12,
    kinds={"egg": 0.22, "polar": 0.16, "cells": 0.12, "live": 0.24, "eyed": 0.08, "empty": 0.18},
    answers=(DEAD, FERTILISED),
)  # fmt: skip
CLOSE = View(
    canvas=216, length=138.0, side=CLOSE_SIDE, lengths_px=(60.0, 260.0), blur=0.035,
    rulings=0.25, kinds={"late": 0.5, "eyed": 0.5}, answers=(EYE,),
)  # fmt: skip


@dataclass(frozen=True)
class StatePatch:
    """``given`` (2, side, side): the light and the mask; ``labels`` (4,): 0, 1 or UNKNOWN.

    ``length_px`` is how long the body was on the camera, ``blur`` how far out of focus, as a
    share of half its length.
    """

    given: NDArray[np.float32]
    labels: NDArray[np.int8]
    length_px: float
    blur: float


def draw_state(rng: np.random.Generator, tex: Textures, view: View = WHOLE) -> StatePatch:
    """Draw one body with its surroundings; the same state of ``rng`` gives the same crop."""
    size, kinds = view.canvas, view.kinds
    canvas = np.zeros((size, size, 3), np.float32)
    half = view.length / 2 * rng.uniform(0.97, 1.03)
    centre = (float(rng.normal(size / 2, 1.0)), float(rng.normal(size / 2, 1.0)))
    if rng.random() < view.rulings:
        litter.rulings(canvas, rng, tex)
    _surround(canvas, view.length / 2, rng, tex)
    kind = str(rng.choice(list(kinds), p=list(kinds.values())))
    layers, radii, known = _body(kind, canvas, centre, half, rng, tex)
    labels = np.full_like(known, UNKNOWN)
    labels[[*view.answers]] = known[[*view.answers]]
    blur = abs(rng.normal(0, view.blur)) if rng.random() < 0.45 else 0.0
    strength = float(np.exp(rng.normal(0, 0.3)))
    opaque = rng.uniform(0, 1) if rng.random() < 0.5 else 0.0
    dark = np.zeros_like(canvas)
    for number, layer in enumerate(layers):
        under = dark if layer.only_absorbs else canvas
        layer.lay_on(under, strength, opaque if number == 0 else 0.0, blur * half)
    lamp = light.lamp(rng, size, tex)
    seen = light.expose(canvas, lamp, rng) * np.exp(-dark)
    length_px = float(np.exp(rng.uniform(*np.log(view.lengths_px))))
    picture = _camera(seen, view.length, length_px, rng)
    given = _cropped(picture, len(picture) / size, view.side, centre, radii, rng)
    return StatePatch(given, labels, length_px, blur)


def _body(
    kind: str,
    canvas: Floats,
    centre: tuple[float, float],
    half: float,
    rng: np.random.Generator,
    tex: Textures,
) -> tuple[list[Layers], Radii, NDArray[np.int8]]:
    labels = np.full(BODY + 1, UNKNOWN, np.int8)
    if kind in ("egg", "polar", "cells"):
        labels[FERTILISED] = kind != "egg"
        turn = rng.uniform(0, 2 * np.pi)
        balls = None
        if kind == "cells":
            radii, balls = union(cleavage(rng))
            radii *= np.float32(half)
        else:
            radii = outlines.turned(yolk_shape(rng) * np.float32(half), turn)
        layers = paint_egg(canvas, centre, radii, half, rng, tex, balls)
        if kind == "polar" or (kind == "cells" and rng.random() < 0.5):
            paint_polar_bodies(layers, radii, half, rng)
        elif rng.random() < 0.25:
            paint_specks(layers, half, rng)
        return [layers], radii, labels
    labels[DEAD] = kind == "empty"
    labels[EYE] = kind == "eyed"
    if kind == "empty":
        return *paint_empty(canvas, centre, half, rng, tex), labels
    is_eyed, is_late = kind == "eyed", kind == "late"
    return *paint_live(canvas, centre, half, rng, tex, is_eyed, is_late), labels


def _surround(canvas: Floats, size: float, rng: np.random.Generator, tex: Textures) -> None:
    """Neighbours and litter at the rim of a crop whose body is half ``size`` long."""
    middle_px = len(canvas) / 2
    if rng.random() < 0.45:
        for _ in range(int(rng.integers(1, 4))):
            look = any_look(rng, BodyClass(int(rng.integers(4))))
            half = size * rng.uniform(0.5, 1.3)
            at = rng.uniform(0, 2 * np.pi)
            out = size + half * rng.uniform(0.8, 1.3)
            middle = (middle_px + out * np.cos(at), middle_px + out * np.sin(at))
            turn = rng.uniform(0, 2 * np.pi)
            radii = outlines.turned(look.shape(rng) * np.float32(half), turn)
            paint(canvas, Body(middle, radii, look, turn, 0.0, 1.0), rng, tex)
    if rng.random() < 0.4:
        for _ in range(int(rng.integers(1, 4))):
            put = litter.KINDS[int(rng.integers(len(litter.KINDS)))]
            at = rng.uniform(0, 2 * np.pi)
            out = size * rng.uniform(1.05, 1.8)
            place = (middle_px + out * np.cos(at), middle_px + out * np.sin(at))
            put(canvas, place, size * rng.uniform(0.05, 0.35), rng, tex)


def _camera(seen: Floats, drawn_px: float, length_px: float, rng: np.random.Generator) -> Floats:
    """Return the picture (s, s, 3) that the camera takes with the body ``length_px`` long.

    It was drawn ``drawn_px`` long.
    """
    u = rng.uniform
    reach = min(length_px, drawn_px)
    side = max(16, round(len(seen) * reach / drawn_px))
    if rng.random() < 0.8:
        seen = blurred(seen, u(0.3, 1.3) * drawn_px / max(length_px, 30.0) + 0.2)
    picture = np.asarray(cv2.resize(seen, (side, side), interpolation=cv2.INTER_AREA), np.float32)
    finer = reach / length_px
    amount = (u(0, 0.03) if rng.random() < 0.8 else u(0.02, 0.09)) * finer
    picture = light.noisy(picture, rng, amount)
    if rng.random() < 0.35:
        picture = light.through_jpeg(picture, rng)
    if rng.random() < 0.15:
        picture = np.clip(picture, 0, u(0.75, 1.0) * float(picture.max()))
    return np.asarray(picture, np.float32)


def _cropped(
    picture: Floats,
    factor: float,
    across: int,
    centre: tuple[float, float],
    radii: Radii,
    rng: np.random.Generator,
) -> NDArray[np.float32]:
    """Crop the body as the finder would have outlined it: a little off, a little large or small.

    ``factor`` is how many pixels of ``picture`` one of the canvas is, ``across`` the crop's side.
    """
    points = outlines.polygon(radii, 60)
    length = float((radii + np.roll(radii, outlines.ANGLES // 2)).max())
    off = rng.normal(0, 0.012, 2) * length
    shape = (points * (1 + rng.normal(0.01, 0.025)) + off + centre + 0.5) * factor - 0.5
    middle = (np.array(centre) + rng.normal(0, 0.02, 2) * length + 0.5) * factor - 0.5
    size = length * factor * (1 + rng.normal(0.01, 0.025))
    levels = 255 / max(float(picture.max()), 1e-3) * rng.uniform(0.3, 1.0)
    shown = np.clip(np.rint(picture * levels), 0, 255).astype(np.uint8)
    grey, mask = crop(shown, (float(middle[0]), float(middle[1])), size, shape, across)
    return np.asarray(lit(grey[None], mask[None], 255.0)[0], np.float32)
