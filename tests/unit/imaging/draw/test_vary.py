"""Varied settings cover the bench and hang on the seed alone."""

from __future__ import annotations

import pytest

from counter.imaging.draw import (
    LITTER,
    Contrast,
    Kind,
    SceneSettings,
    draw_scene,
    varied_settings,
)

MANY = [varied_settings(seed) for seed in range(120)]


def test_the_same_seed_gives_the_same_settings() -> None:
    """And another seed others."""
    assert varied_settings(5) == varied_settings(5)
    assert varied_settings(5) != varied_settings(6)


def test_all_that_a_bench_may_see_occurs() -> None:
    """Every contrast, every kind but open shells; rulings, round fields, colour, JPEG or not."""
    assert {settings.light.contrast for settings in MANY} == set(Contrast)
    assert {group.kind for settings in MANY for group in settings.population} == {
        kind for kind in Kind if kind is not Kind.OPEN_SHELL
    }
    for found in (
        {settings.rulings is None for settings in MANY},
        {settings.light.round_field is None for settings in MANY},
        {settings.camera.colour for settings in MANY},
        {settings.camera.jpeg_quality is None for settings in MANY},
    ):
        assert found == {True, False}


def test_only_the_kinds_asked_for_are_to_be_counted() -> None:
    """Litter comes by itself, everything else is asked for."""
    settings = varied_settings(3, kinds=(Kind.UMBO,))
    assert {group.kind for group in settings.population} - set(LITTER) == {Kind.UMBO}


@pytest.mark.parametrize("seed", [0, 8, 13])
def test_varied_settings_can_be_drawn(seed: int) -> None:
    """Any of them gives a picture of the size asked for."""
    settings: SceneSettings = varied_settings(seed, 200, 150)
    assert draw_scene(settings, seed).pixels.shape[:2] == (150, 200)
