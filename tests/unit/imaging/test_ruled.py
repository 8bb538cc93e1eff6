"""The squares on a picture come from the lines that counting found, exact enough for the scale."""

from __future__ import annotations

import functools
import math
from dataclasses import replace
from typing import Any

import pytest

from counter.domain.catalogue import species
from counter.domain.progress import Silent
from counter.domain.ruled import RuledGrid
from counter.domain.species import TargetKind, target_of
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, Rulings, RulingStyle, SceneSettings
from counter.imaging.photo import Photo
from counter.imaging.scene import prepare

LARVAE = target_of(species("eastern-oyster"), TargetKind.LARVAE)
CROWD = (Group(Kind.D_HINGE, 5), Group(Kind.UMBO, 2), Group(Kind.FIBRE, 1), Group(Kind.DEBRIS, 2))
LINES = Rulings(offset_um=(260.0, 410.0))
SCENE = SceneSettings(width_px=620, height_px=450, um_per_px=4.0, population=CROWD, rulings=LINES)
GROOVES = replace(LINES, style=RulingStyle.BRIGHT_GROOVES, width_um=58.0)


@functools.cache
def photo_of(settings: SceneSettings, seed: int = 3) -> Photo:
    """A drawn field."""
    return Photo(draw_scene(settings, seed).pixels)


def grid_of(settings: SceneSettings, um_per_px: float | None = None) -> RuledGrid | None:
    """The rulings that are found while a drawn field is counted at a scale."""
    photo = photo_of(settings).with_scale(um_per_px or settings.um_per_px)
    return prepare(photo, LARVAE, Silent()).grid


CASES: dict[str, dict[str, Any]] = {
    "thin dark lines": {},
    "turned": {"rulings": replace(LINES, angle_deg=33.0), "um_per_px": 5.2},
    "turned the other way": {"rulings": replace(LINES, angle_deg=-41.0), "um_per_px": 5.2},
    "wide bright grooves": {"rulings": replace(GROOVES, angle_deg=1.0)},
    "grooves, turned": {"rulings": replace(GROOVES, angle_deg=-17.0), "um_per_px": 4.8},
    "fine squares": {"rulings": replace(LINES, period_um=400.0, angle_deg=12.0)},
}


@pytest.mark.parametrize("case", CASES)
def test_period_angle_and_place_are_those_drawn(case: str) -> None:
    """The period within 0.3 %, every line within two pixels of where it was drawn."""
    settings = replace(SCENE, **CASES[case])
    drawn = settings.rulings
    assert drawn is not None
    found = grid_of(settings)
    assert found is not None
    assert found.um_per_px(drawn.period_um) == pytest.approx(settings.um_per_px, rel=3e-3)
    assert found.angle_deg == pytest.approx(drawn.angle_deg, abs=0.15)
    period_px = drawn.period_um / settings.um_per_px
    for known, offset_um in zip((found.upright_px, found.level_px), drawn.offset_um, strict=True):
        assert known is not None
        off = (known - offset_um / settings.um_per_px + period_px / 2) % period_px - period_px / 2
        assert off == pytest.approx(0.0, abs=2.0)


@pytest.mark.parametrize("angle_deg", [-1.3, -0.6, 0.4, 0.5, 0.9, 1.7])
@pytest.mark.parametrize("rulings", [LINES, GROOVES], ids=["dark lines", "bright grooves"])
def test_a_slide_that_lies_a_little_askew_shows_all_its_lines(
    rulings: Rulings, angle_deg: float
) -> None:
    """On a large picture, where half a degree off a line leaves itself by ten pixels."""
    large = replace(SCENE, width_px=1900, height_px=1300, um_per_px=1.6)
    askew = replace(large, rulings=replace(rulings, angle_deg=angle_deg))
    found = grid_of(askew)
    assert found is not None
    assert found.lines >= 5
    assert found.angle_deg == pytest.approx(angle_deg, abs=0.05)
    assert found.um_per_px(1000.0) == pytest.approx(1.6, rel=2e-3)


@pytest.mark.parametrize("times", [2.0, 0.5, 4.0])
def test_the_rulings_are_found_at_a_wrong_scale_too(times: float) -> None:
    """Or nothing could be said about the scale in use."""
    found = grid_of(SCENE, SCENE.um_per_px * times)
    assert found is not None
    assert found.um_per_px(1000.0) == pytest.approx(SCENE.um_per_px, rel=5e-3)


@pytest.mark.parametrize(
    "rulings",
    [None, replace(LINES, period_um=1900.0), replace(LINES, crossed=False, period_um=1200.0)],
    ids=["none", "one line each way", "one line one way"],
)
def test_lines_that_nothing_checks_are_no_rulings(rulings: Rulings | None) -> None:
    """Never a guess."""
    assert grid_of(replace(SCENE, rulings=rulings)) is None


def test_lines_one_way_have_a_period_but_no_squares() -> None:
    """Strips tell the scale."""
    found = grid_of(replace(SCENE, rulings=replace(LINES, crossed=False, period_um=500.0)))
    assert found is not None
    assert not found.has_squares
    assert math.isclose(found.um_per_px(500.0), SCENE.um_per_px, rel_tol=3e-3)
