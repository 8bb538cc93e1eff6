"""Bodies painted in detail on a training slide."""

from __future__ import annotations

import cv2
import numpy as np
import pytest

from counter.imaging.learn import outlines
from counter.imaging.learn.bodies import Body
from counter.imaging.learn.body_looks import BodyClass, any_look
from counter.imaging.learn.canvas import Floats, Textures
from counter.imaging.learn.lifelike import LEAST_PX, paint_lifelike

SIDE = 320


def body(kind: BodyClass, half: float = 50.0, at: tuple[float, float] = (150.0, 170.0)) -> Body:
    rng = np.random.default_rng(int(kind))
    look = any_look(rng, kind)
    return Body(at, outlines.egg(rng) * np.float32(half), look, 0.0, 0.0, 1.0)


def canvas() -> Floats:
    return np.zeros((SIDE, SIDE, 3), np.float32)


@pytest.mark.parametrize("kind", [BodyClass.LARVA, BodyClass.EMPTY, BodyClass.EGG])
def test_what_is_painted_lies_in_the_outline_that_is_returned(kind: BodyClass) -> None:
    """The outline is another than the placed one, about the same middle and hardly longer."""
    tex = Textures(np.random.default_rng(0))
    for seed in range(6):
        slide = canvas()
        placed = body(kind)
        made = paint_lifelike(slide, placed, np.random.default_rng(seed), tex)
        assert made is not None
        painted, change = made
        assert painted.look is placed.look
        assert 0.8 * placed.half_px < painted.half_px <= placed.half_px
        assert change > 0
        mask = np.zeros((SIDE, SIDE), np.uint8)
        points = outlines.polygon(painted.radii, 90) + np.array(painted.centre)
        cv2.fillPoly(mask, [np.round(points).astype(np.int32)], 1)
        amount = np.abs(slide).sum(axis=2)
        assert amount[mask > 0].mean() > 3 * amount[mask == 0].mean()


@pytest.mark.parametrize(
    "other",
    [
        body(BodyClass.OTHER),
        body(BodyClass.LARVA, half=0.9 * LEAST_PX),
        body(BodyClass.LARVA, at=(-48.0, 170.0)),
    ],
    ids=["of no kind that is counted", "too small", "hardly on the canvas"],
)
def test_what_cannot_be_shown_in_detail_is_left_to_the_usual_painter(other: Body) -> None:
    slide = canvas()
    tex = Textures(np.random.default_rng(0))
    assert paint_lifelike(slide, other, np.random.default_rng(1), tex) is None
    assert not slide.any()
