"""Eye spots against drawn truth where they are hard to see: the whole way from the picture.

Two renderers that train nothing draw late larvae with a spot and others without, whose gut has
dark lumps in which one could hide; in bright and dark field and in phase contrast, with rulings
across the bodies. Right, wrong and open are counted of what is old enough to be looked at.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np
import pytest

from counter.domain.catalogue import species
from counter.domain.mark import Mark
from counter.domain.progress import Silent
from counter.domain.species import Target, TargetKind, target_of
from counter.imaging.detect import detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import (
    Contrast,
    Group,
    Kind,
    Light,
    Rulings,
    RulingStyle,
    SceneSettings,
)
from counter.imaging.photo import Photo, Pixels
from counter.imaging.states import EYED_FROM
from tests.accuracy.slides.slide import Slide, SlideSettings, draw_slide

OYSTER = target_of(species("eastern-oyster"), TargetKind.LARVAE)
MUSSEL = target_of(species("blue-mussel"), TargetKind.LARVAE)
"""Its larvae are eyed from 220 µm, so that umbo larvae of the slides are old enough to be asked."""

LATE = (Group(Kind.EYED, 6), Group(Kind.PEDIVELIGER, 2), Group(Kind.UMBO, 8, (240.0, 296.0)))
"""Umbo larvae as long as the eyed ones: the length tells nothing."""

DARK = Light(Contrast.DARK_FIELD, (0.030, 0.036, 0.050), 0.2, 0.1)
PHASE = Light(Contrast.PHASE, (0.45, 0.45, 0.45), 0.15, 0.1)
LINES = Rulings(250.0, 9.0, 17.0)
GROOVES = Rulings(400.0, 30.0, 8.0, style=RulingStyle.BRIGHT_GROOVES)

SCENES: dict[str, tuple[Light, Rulings | None, float]] = {
    "bright field": (Light(), None, 2.6),
    "dark field": (DARK, None, 2.2),
    "phase contrast": (PHASE, None, 2.4),
    "lines across": (Light(), LINES, 2.4),
    "grooves across": (Light(), GROOVES, 2.4),
    "lines across in dark field": (DARK, LINES, 2.2),
    "few pixels": (Light(), None, 3.3),
}
BODIES = {"eyed": 6, "pediveliger": 3, "umbo": 22}
PLAIN = SlideSettings(BODIES, um_per_px=2.1)
SLIDES = {
    "bright field": PLAIN,
    "dark field": replace(PLAIN, light="dark"),
    "phase contrast": replace(PLAIN, light="phase"),
    "lines across": replace(PLAIN, rulings=("thin", 250)),
    "lines across in dark field": replace(PLAIN, light="dark", rulings=("thin", 250)),
    "noisy": replace(PLAIN, noise=0.03),
}

SCENE_FLOORS = {
    "bright field": (29, 0),
    "dark field": (29, 0),
    "phase contrast": (29, 0),
    "lines across": (21, 0),
    "grooves across": (25, 0),
    "lines across in dark field": (22, 1),
    "few pixels": (29, 0),
}
"""Of the 31 asked on two pictures: at least so many right, at most so many wrong."""

SLIDE_FLOORS = {
    "bright field": (12, 0),
    "dark field": (5, 0),
    "phase contrast": (9, 0),
    "lines across": (11, 0),
    "lines across in dark field": (5, 2),
    "noisy": (12, 0),
}
"""The same of the 14 or 15 asked on two slides; in this dark field spots shine as grains do."""

Truth = list[tuple[float, float, float, bool]]
"""Of each whole larva: x and y in pixels, length in µm, whether it has an eye spot."""


def scene(name: str, seed: int) -> tuple[Pixels, float, Truth]:
    """A picture by the first renderer, its µm per pixel, and its larvae."""
    light, rulings, um_per_px = SCENES[name]
    settings = SceneSettings(
        700, 540, um_per_px, LATE, light=light, rulings=rulings, defocus_um=2, keep_inside=True
    )
    drawn = draw_scene(settings, seed)
    truth = [(e.x_px, e.y_px, e.length_um, e.kind is not Kind.UMBO) for e in drawn.truth]
    return drawn.pixels, um_per_px, truth


def slide(name: str, seed: int) -> tuple[Pixels, float, Truth]:
    """The same by the second renderer."""
    drawn: Slide = draw_slide(SLIDES[name], seed)
    truth = [(e.x_px, e.y_px, e.length_um, e.kind != "umbo") for e in drawn.truth if not e.is_cut]
    return drawn.pixels, drawn.um_per_px, truth


def told(pixels: Pixels, um_per_px: float, truth: Truth, target: Target) -> Counter[str]:
    """How many are ``right``, ``wrong`` and ``open`` of those old enough to be asked."""
    marks = detect(Photo(pixels).with_scale(um_per_px), target, Silent()).marks
    (eyed_um,) = (entry.from_um for entry in target.species.stages if entry.stage == "eyed")
    counts: Counter[str] = Counter()
    for x, y, length_um, has_eye in truth:
        if length_um < EYED_FROM * eyed_um * 1.03:
            continue
        away = [float(np.hypot(m.x_px - x, m.y_px - y)) for m in marks]
        if min(away) < length_um / um_per_px / 4:
            counts[answer(marks[int(np.argmin(away))], has_eye)] += 1
    return counts


def answer(mark: Mark, has_eye: bool) -> str:
    """What is said of one larva's eye spot, against the truth."""
    if mark.proposal is None or mark.proposal.eye_spot is None:
        return "open"
    return "right" if mark.proposal.eye_spot == has_eye else "wrong"


@pytest.mark.parametrize("name", SCENES)
def test_an_eye_spot_is_told_from_lumps_in_the_gut(name: str) -> None:
    """Floors only rise."""
    counts = told(*scene(name, 21), OYSTER) + told(*scene(name, 22), OYSTER)
    right, wrong = SCENE_FLOORS[name]
    assert counts["right"] >= right, counts
    assert counts["wrong"] <= wrong, counts


@pytest.mark.parametrize("name", SLIDES)
def test_an_eye_spot_is_told_on_slides_of_the_other_renderer(name: str) -> None:
    """Floors only rise."""
    counts = told(*slide(name, 21), MUSSEL) + told(*slide(name, 22), MUSSEL)
    right, wrong = SLIDE_FLOORS[name]
    assert counts["right"] >= right, counts
    assert counts["wrong"] <= wrong, counts
