"""A ladder of bodies that the picture's border cuts or just misses, on each of its sides.

One drawn picture is cropped, so that its border passes at a known distance from a body's outline:
from 3 pixels inside it to 6 outside. What is nearer than three quarters of a pixel is not asserted,
because the camera blurs by as much.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

import numpy as np
import pytest
from numpy.typing import NDArray

from counter.domain.edges import EdgeRule, is_counted, picture_frame
from counter.domain.mark import Mark
from counter.domain.progress import Silent
from counter.domain.species import Target, TargetKind
from counter.imaging import classical
from counter.imaging.detect import detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Camera, Contrast, Group, Kind, Light, SceneSettings
from counter.imaging.photo import Photo, Pixels
from counter.imaging.polygon import contains
from counter.imaging.scene import prepare
from tests.accuracy.scenes import Setting, target_for
from tests.accuracy.test_finder import FLOORS

Floats = NDArray[np.float64]

RUNGS = (-3.0, -2.25, -1.75, -1.25, 1.25, 1.75, 2.25, 3.0, 4.5, 6.0)
SURE_PX = 0.75


def _field(*population: Group, **rest: object) -> SceneSettings:
    size: dict[str, object] = {"width_px": 900, "height_px": 680, "keep_inside": True, **rest}
    return SceneSettings(population=population, **size)  # type: ignore[arg-type]


DARK, GREY = (0.03, 0.03, 0.04), (0.62, 0.62, 0.62)
YOUNG = (Group(Kind.D_HINGE, 6), Group(Kind.UMBO, 4))

LADDERS: dict[str, Setting] = {
    "usual pixels": Setting(_field(*YOUNG)),
    "fine pixels": Setting(_field(*YOUNG, um_per_px=0.6, width_px=1700, height_px=1250)),
    "coarse pixels": Setting(_field(*YOUNG, um_per_px=4.0, width_px=500, height_px=420)),
    "late": Setting(_field(Group(Kind.EYED, 6), um_per_px=2.0, width_px=1000)),
    "eggs": Setting(_field(Group(Kind.EGG, 16)), TargetKind.EGGS),
    "out of focus": Setting(_field(*YOUNG, defocus_um=12)),
    "dark field": Setting(_field(*YOUNG, light=Light(contrast=Contrast.DARK_FIELD, colour=DARK))),
    "phase": Setting(_field(*YOUNG, light=Light(contrast=Contrast.PHASE, colour=GREY))),
    "JPEG": Setting(_field(*YOUNG, camera=Camera(jpeg_quality=35))),
}


def _crops(setting: Setting) -> Iterator[tuple[Photo, Floats]]:
    """Yield a crop for each rung and side, and the outline (n, 2) that its border passes by."""
    drawn = draw_scene(setting.settings, 61)
    bodies = drawn.eggs if setting.kind == TargetKind.EGGS else drawn.larvae
    outlines = [np.array(entry.outline_px) for entry in bodies]
    height, width = drawn.pixels.shape[:2]
    for at, rung in enumerate(RUNGS):
        for side in range(4):
            boxes = [_box(outline, side, rung, (width, height)) for outline in outlines]
            shares = [(right - left) * (low - top) for left, top, right, low in boxes]
            wide = [place for place, px in enumerate(shares) if px > 0.5 * width * height]
            place = wide[at % len(wide)]
            left, top, right, low = boxes[place]
            pixels: Pixels = np.ascontiguousarray(drawn.pixels[top:low, left:right])
            yield Photo(pixels).with_scale(drawn.um_per_px), outlines[place] - (left, top)


def _box(
    outline: Floats, side: int, rung: float, size: tuple[int, int]
) -> tuple[int, int, int, int]:
    """Left, top, right and bottom of the crop whose ``side`` lies ``rung`` pixels off a body."""
    axis, sides = side % 2, [0, 0, *size]
    if side < 2:
        sides[side] = round(float(outline[:, axis].min()) + 0.5 - rung)
    else:
        sides[side] = round(float(outline[:, axis].max()) + 0.5 + rung)
    return sides[0], sides[1], sides[2], sides[3]


def _gap(outline: Floats, photo: Photo) -> float:
    """How many pixels of water lie between an outline and the nearest border; negative: none."""
    ends = np.array([photo.width_px, photo.height_px]) - 0.5
    return float(min((outline + 0.5).min(), (ends - outline).min()))


def _is_right(outline: Floats, marks: Sequence[Mark], photo: Photo) -> bool:
    """Whether the mark of a body is cut like it, and counted like it by each edge rule."""
    here = [mark for mark in marks if contains(outline, mark.x_px, mark.y_px)]
    if len(here) != 1 or here[0].is_cut != (_gap(outline, photo) < 0):
        return False
    frame = picture_frame(photo.width_px, photo.height_px)
    found, drawn = here[0].outline_px, [(float(x), float(y)) for x, y in outline]
    return all(
        is_counted(found, frame, each) == is_counted(drawn, frame, each) for each in EdgeRule
    )


def _learned(photo: Photo, target: Target) -> Sequence[Mark]:
    return detect(photo, target, Silent()).marks


def _classical(photo: Photo, target: Target) -> Sequence[Mark]:
    return classical.search(prepare(photo, target, Silent()), target, Silent())


def _share_right(name: str, find: Callable[[Photo, Target], Sequence[Mark]]) -> float:
    setting = LADDERS[name]
    target = target_for(setting)
    right = [
        _is_right(outline, find(photo, target), photo)
        for photo, outline in _crops(setting)
        if abs(_gap(outline, photo)) >= SURE_PX
    ]
    assert len(right) > 0.7 * 4 * len(RUNGS)
    return float(np.mean(right))


@pytest.mark.parametrize("name", list(LADDERS))
def test_a_body_is_cut_where_the_border_cuts_it_and_not_beside_it(name: str) -> None:
    """Of 40 bodies a kind at least the floor's share is right, on all sides, by all four rules."""
    assert _share_right(name, _learned) >= FLOORS["border"][name]


def test_without_the_network_so_it_is() -> None:
    """The older finder follows the rims near the border in the same way."""
    assert _share_right("usual pixels", _classical) >= FLOORS["border"]["without the network"]
