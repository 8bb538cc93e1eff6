"""Proposed states against drawn truth, kind by kind: the whole way from the picture.

The scenes are drawn by the renderer that trains nothing. A body counts as right where its state is
proposed and true; where nothing is proposed it counts as open, and only so many may be.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from functools import cache

import numpy as np
import pytest

from counter.domain.catalogue import species
from counter.domain.mark import Mark
from counter.domain.progress import Silent
from counter.domain.species import TargetKind, target_of
from counter.imaging.detect import detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import EGGS, Contrast, Group, Kind, Light, SceneSettings
from counter.imaging.draw.truth import TruthObject
from counter.imaging.photo import Photo

OYSTER = species("eastern-oyster")
DARK = Light(Contrast.DARK_FIELD, (0.030, 0.036, 0.050), 0.2, 0.1)
SCENES = {
    "eggs": SceneSettings(
        840, 640, 0.9, tuple(Group(kind, 8) for kind in EGGS), defocus_um=2, keep_inside=True
    ),
    "larvae": SceneSettings(
        860, 650, 1.1,
        (Group(Kind.D_HINGE, 10), Group(Kind.UMBO, 4, (115.0, 150.0)), Group(Kind.ON_SIDE, 5),
         Group(Kind.EMPTY_SHELL, 12)),
        defocus_um=2, keep_inside=True,
    ),
    "larvae in dark field": SceneSettings(
        760, 570, 1.1, (Group(Kind.D_HINGE, 9), Group(Kind.EMPTY_SHELL, 9)), light=DARK,
        defocus_um=1, keep_inside=True,
    ),
    "eyed": SceneSettings(
        760, 600, 2.6,
        (Group(Kind.EYED, 8), Group(Kind.PEDIVELIGER, 4), Group(Kind.UMBO, 8, (238.0, 270.0))),
        defocus_um=2, keep_inside=True,
    ),
}  # fmt: skip

STATE = {
    Kind.EGG: "unfertilised",
    **dict.fromkeys(EGGS[1:], "fertilised"),
    Kind.EMPTY_SHELL: "dead",
}
RIGHT = {
    ("eggs", Kind.EGG): 1.0,
    ("eggs", Kind.POLAR_BODY): 0.9,
    ("eggs", Kind.TWO_CELLS): 0.9,
    ("eggs", Kind.FOUR_CELLS): 0.9,
    ("eggs", Kind.EIGHT_CELLS): 0.8,
    ("larvae", Kind.D_HINGE): 1.0,
    ("larvae", Kind.UMBO): 1.0,
    ("larvae", Kind.ON_SIDE): 0.95,
    ("larvae", Kind.EMPTY_SHELL): 0.9,
    ("larvae in dark field", Kind.D_HINGE): 0.95,
    ("larvae in dark field", Kind.EMPTY_SHELL): 0.8,
}
"""The least share of the bodies of a kind, of those whose state is proposed, that must be right."""

Pairs = list[tuple[TruthObject, Mark]]


@cache
def pairs(name: str, seed: int) -> Pairs:
    """Every drawn body with the mark that was found for it."""
    settings = SCENES[name]
    scene = draw_scene(settings, seed)
    kind = TargetKind.EGGS if name == "eggs" else TargetKind.LARVAE
    photo = Photo(scene.pixels).with_scale(settings.um_per_px)
    marks = detect(photo, target_of(OYSTER, kind), Silent()).marks
    found: Pairs = []
    for entry in scene.truth:
        away = [float(np.hypot(m.x_px - entry.x_px, m.y_px - entry.y_px)) for m in marks]
        nearest = int(np.argmin(away))
        if away[nearest] < entry.length_um / settings.um_per_px / 3:
            found.append((entry, marks[nearest]))
    assert len(found) > 0.9 * len(scene.truth)
    return found


def of(kind: Kind, found: Iterable[tuple[TruthObject, Mark]]) -> Counter[str]:
    """How many of a kind are ``right``, ``wrong`` and ``open``."""
    told: Counter[str] = Counter()
    for entry, mark in found:
        if entry.kind is kind and mark.proposal is not None:
            state = mark.proposal.state
            told["open" if state is None else "right" if state == STATE.get(kind, "live") else
                 "wrong"] += 1  # fmt: skip
    return told


@pytest.mark.parametrize(("name", "kind"), RIGHT)
def test_the_state_of_each_kind_is_proposed_rightly(name: str, kind: Kind) -> None:
    """The floors only rise; hardly any sharp body is left open."""
    told = of(kind, pairs(name, 3))
    assert told["right"] >= RIGHT[name, kind] * (told["right"] + told["wrong"]), told
    assert told["open"] <= 0.25 * sum(told.values()), told


def test_eye_spots_are_seen_in_eyed_larvae_and_not_in_others() -> None:
    """At least nineteen in twenty of what is said; nothing need be said of all."""
    right = wrong = 0
    for entry, mark in pairs("eyed", 3):
        assert mark.proposal is not None
        if mark.proposal.eye_spot is None:
            continue
        if mark.proposal.eye_spot == (entry.kind is not Kind.UMBO):
            right += 1
        else:
            wrong += 1
    assert right >= 0.95 * (right + wrong)
    assert right + wrong >= 17


def test_sure_proposals_are_right() -> None:
    """Of those that are at least 95 % sure, on all scenes, at least 97 in 100."""
    sure = [
        mark.proposal.state == STATE.get(entry.kind, "live")
        for name in SCENES
        for entry, mark in pairs(name, 3)
        if mark.proposal is not None and mark.proposal.score >= 0.95
    ]
    assert len(sure) > 60
    assert np.mean(sure) >= 0.97


def test_eggs_of_twenty_pixels_get_no_proposal() -> None:
    """A polar body of three pixels cannot be seen; saying so beats a guess."""
    settings = SceneSettings(420, 310, 2.6, (Group(Kind.POLAR_BODY, 8),), keep_inside=True)
    photo = Photo(draw_scene(settings, 2).pixels).with_scale(2.6)
    marks = detect(photo, target_of(OYSTER, TargetKind.EGGS), Silent()).marks
    assert marks
    assert {m.proposal.reason for m in marks if m.proposal is not None} <= {"small", "blurred"}
