"""Correcting five fields saves corrections on the sixth, and harms nothing elsewhere."""

from __future__ import annotations

from dataclasses import replace

import pytest
from numpy.random import Generator, default_rng

from counter.imaging.draw.settings import SceneSettings
from tests.benchmarks.hatcheries import large_algae, trochophores
from tests.benchmarks.learning import Run, Slide, run


def small(rng: Generator) -> SceneSettings:
    """A hatchery with algae as large as larvae, on small pictures."""
    return replace(large_algae(rng), width_px=600, height_px=450)


@pytest.fixture(scope="module")
def learnt() -> Run:
    return run(small, seed=1)


def test_the_sixth_field_needs_fewer_corrections(learnt: Run) -> None:
    """At least four of five gestures are saved."""
    assert learnt.before >= 3, "the finder as it ships is taken in"
    assert learnt.after <= 0.2 * learnt.before
    assert learnt.rescorer is not None
    assert learnt.rescorer.corrections >= sum(learnt.along[:2])


def test_a_stage_that_was_never_taught_is_still_found(learnt: Run) -> None:
    """Trochophores, the day before: at most one in ten more is missed than as shipped."""
    larvae = more = 0
    for seed in (5, 6):
        settings = replace(trochophores(default_rng(seed)), width_px=600, height_px=450)
        slide = Slide.drawn(settings, seed)
        larvae += len(slide.scene.larvae)
        more += slide.corrections(learnt.rescorer) - slide.corrections(None)
    assert larvae >= 20
    assert more <= larvae / 10
