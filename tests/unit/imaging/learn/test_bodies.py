"""Bodies that count, as painted for training."""

from __future__ import annotations

import numpy as np
import pytest

from counter.imaging.learn import outlines
from counter.imaging.learn.bodies import Body, paint
from counter.imaging.learn.body_looks import BodyClass, any_look
from counter.imaging.learn.canvas import Textures


@pytest.mark.parametrize("kind", list(BodyClass))
def test_a_body_is_painted_where_it_lies(kind: BodyClass) -> None:
    """Painting changes the light inside the outline and hardly any far from it."""
    rng = np.random.default_rng(int(kind) + 20)
    tex = Textures(np.random.default_rng(0))
    for _ in range(4):
        look = any_look(rng, kind)
        radii = look.shape(rng) * np.float32(30)
        canvas = np.zeros((240, 240, 3), np.float32)
        change = paint(canvas, Body((90.0, 100.0), radii, look, 0.0, 0.0, 1.0), rng, tex)
        assert change > 0
        assert np.abs(canvas[60:140, 50:130]).sum() > 0
        assert not canvas[:, 200:].any()


def test_a_body_off_the_canvas_changes_nothing() -> None:
    """Its change of the light is 0."""
    rng = np.random.default_rng(1)
    look = any_look(rng, BodyClass.EGG)
    radii = outlines.egg(rng) * np.float32(10)
    canvas = np.zeros((64, 64, 3), np.float32)
    tex = Textures(np.random.default_rng(0))
    assert paint(canvas, Body((900.0, 900.0), radii, look, 0.0, 0.0, 1.0), rng, tex) == 0.0
    assert not canvas.any()


def test_half_a_length_is_half_the_longest_diameter() -> None:
    """A circle of radius 12 has a half length of 12."""
    look = any_look(np.random.default_rng(1), BodyClass.EGG)
    body = Body((0.0, 0.0), np.full(outlines.ANGLES, 12, np.float32), look, 0.0, 0.0, 1.0)
    assert body.half_px == pytest.approx(12.0)


def test_an_empty_shell_has_nothing_inside() -> None:
    """No gut and next to no fill, whatever the draw."""
    rng = np.random.default_rng(7)
    for _ in range(20):
        look = any_look(rng, BodyClass.EMPTY)
        assert look.gut == 0.0
        assert look.fill <= 0.06
