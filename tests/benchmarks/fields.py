"""Blind fields of many kinds, and what each way of finding makes of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np

from counter.domain.catalogue import species
from counter.domain.edges import EdgeRule, is_counted, picture_frame
from counter.domain.progress import Silent
from counter.domain.species import Target, TargetKind, target_of
from counter.imaging import classical
from counter.imaging.detect import detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.photo import Photo, Pixels
from counter.imaging.scene import prepare
from tests.accuracy import eye_scenes
from tests.accuracy.matching import Found, Outcome, Truth, compared, pairs_of
from tests.accuracy.slides import kinds as slides
from tests.benchmarks.textbook import textbook

OYSTER = "eastern-oyster"
NOTHING = Outcome(0, 0, 0, ())


@dataclass(frozen=True, slots=True)
class Field:
    """A drawn picture of one kind: what is looked for on it and what is there."""

    kind: str
    pixels: Pixels
    um_per_px: float
    target: Target
    truth: Truth

    @property
    def photo(self) -> Photo:
        """The picture with its scale."""
        return Photo(self.pixels).with_scale(self.um_per_px)

    @property
    def area_mm2(self) -> float:
        """The picture's area."""
        return float(np.prod(self.pixels.shape[:2])) * self.um_per_px**2 / 1e6


@dataclass(frozen=True, slots=True)
class Tally:
    """What one way of finding made of some fields.

    ``border_right`` of ``border`` bodies found on a border were counted, or left out, as the rule
    says of the body that was drawn.
    """

    outcome: Outcome = NOTHING
    border_right: int = 0
    border: int = 0
    area_mm2: float = 0.0

    def __add__(self, other: Tally) -> Tally:
        return Tally(
            self.outcome + other.outcome,
            self.border_right + other.border_right,
            self.border + other.border,
            self.area_mm2 + other.area_mm2,
        )


def learned_finder(field: Field) -> list[Found]:
    """What the program counts with."""
    return list(detect(field.photo, field.target, Silent()).marks)


def classical_finder(field: Field) -> list[Found]:
    """The program's fallback."""
    scene = prepare(field.photo, field.target, Silent())
    return list(classical.search(scene, field.target, Silent()))


def textbook_finder(field: Field) -> list[Found]:
    """The baseline."""
    return list(textbook(field.photo, field.target))


WAYS: dict[str, Callable[[Field], list[Found]]] = {
    "finder": learned_finder,
    "classical": classical_finder,
    "textbook": textbook_finder,
}


def drawn_fields(kind: str, numbers: range) -> Iterator[Field]:
    """Draw the fields of one kind; kinds of the second renderer begin with ``slide:``."""
    for number in numbers:
        if kind.startswith("slide:"):
            setting = slides.KINDS[kind.removeprefix("slide:")]
            target = target_of(species(OYSTER), TargetKind(setting.target))
            slide = slides.slide_of(kind.removeprefix("slide:"), number)
            yield Field(kind, slide.pixels, slide.um_per_px, target, slide)
        else:
            target = target_of(species(OYSTER), eye_scenes.target_of_kind(kind))
            rng = np.random.default_rng([number, *kind.encode()])
            scene = draw_scene(eye_scenes.KINDS[kind](rng), number)
            yield Field(kind, scene.pixels, scene.um_per_px, target, scene)


def every_kind() -> list[str]:
    """The kinds of the project's renderer, then those of the second one."""
    return [*eye_scenes.KINDS, *(f"slide:{kind}" for kind in slides.KINDS)]


def judged(field: Field, found: list[Found]) -> Tally:
    """Compare what was found on a field with what was drawn."""
    right, border = _at_border(field, found)
    return Tally(compared(field.truth, found, field.target), right, border, field.area_mm2)


def _at_border(field: Field, found: list[Found]) -> tuple[int, int]:
    """How many of the bodies found on a border the edge rule takes as it takes the drawn ones."""
    height, width = field.pixels.shape[:2]
    frame, rule = picture_frame(width, height), EdgeRule.TOP_LEFT
    wanted, pairs = pairs_of(field.truth, found, field.target)
    right = border = 0
    for i, j in pairs:
        outline = getattr(found[j], "outline_px", None)
        if not wanted[i].is_cut or outline is None:
            continue
        border += 1
        right += is_counted(outline, frame, rule) == is_counted(wanted[i].outline_px, frame, rule)
    return right, border


def measured(kind: str, numbers: range) -> dict[str, Tally]:
    """Return the tally of each way over the fields of one kind."""
    found = {way: Tally() for way in WAYS}
    for field in drawn_fields(kind, numbers):
        for way, work in WAYS.items():
            found[way] += judged(field, work(field))
    return found
