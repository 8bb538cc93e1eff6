"""A drawn scene agrees with its truth, is reproducible, and its truth hangs on nothing else."""

from __future__ import annotations

from dataclasses import replace

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import ndimage

from counter.imaging.draw import (
    Camera,
    Contrast,
    Group,
    Kind,
    Light,
    Rulings,
    Scene,
    SceneSettings,
    draw_scene,
)
from counter.imaging.draw.shape import feret

CLEAN = SceneSettings(
    width_px=340,
    height_px=300,
    um_per_px=1.0,
    light=Light(uneven=0.0, vignette=0.0),
    camera=Camera(blur_px=0.4, shot_noise=0.0, read_noise=0.0),
    defocus_um=0.0,
    keep_inside=True,
)
MEASURED = [
    Kind.EGG,
    Kind.TWO_CELLS,
    Kind.FOUR_CELLS,
    Kind.EIGHT_CELLS,
    Kind.D_HINGE,
    Kind.UMBO,
    Kind.EYED,
    Kind.ON_SIDE,
    Kind.EMPTY_SHELL,
    Kind.BUBBLE,
]


def clean(kind: Kind, um_per_px: float, seed: int) -> Scene:
    """One object alone on an even, silent, sharp slide."""
    settings = replace(CLEAN, um_per_px=um_per_px, population=(Group(kind, 1),))
    return draw_scene(settings, seed)


def silhouette(scene: Scene) -> NDArray[np.bool_]:
    """The pixels of the largest dark thing, its clear inside filled, halfway up its rim."""
    grey = scene.pixels.astype(float).mean(axis=2)
    ground = float(np.median(grey))
    dark = ndimage.binary_fill_holes(grey < ground - 22)
    labels, count = ndimage.label(dark)
    sizes = ndimage.sum_labels(dark, labels, range(1, count + 1))
    return np.asarray(labels == 1 + int(np.argmax(sizes)))


@pytest.mark.parametrize("kind", MEASURED)
@pytest.mark.parametrize("seed", [3, 4])
def test_what_is_drawn_has_the_size_and_place_that_the_truth_says(kind: Kind, seed: int) -> None:
    """A threshold on a clean picture finds length, width, area and centre of the truth."""
    um_per_px = 0.5 if kind in MEASURED[:4] else 1.2
    scene = clean(kind, um_per_px, seed)
    (truth,) = scene.truth
    seen = silhouette(scene)
    rows, columns = np.nonzero(seen)
    length_px, width_px = feret(np.stack([columns, rows], axis=1).astype(float))
    pixel = um_per_px
    assert (length_px + 1) * pixel == pytest.approx(truth.length_um, abs=2.5 * pixel)
    assert (width_px + 1) * pixel == pytest.approx(truth.width_um, abs=2.5 * pixel)
    assert seen.sum() * pixel**2 == pytest.approx(truth.area_um2, rel=0.05)
    assert columns.mean() == pytest.approx(truth.x_px, abs=0.8)
    assert rows.mean() == pytest.approx(truth.y_px, abs=0.8)


@pytest.mark.parametrize(
    ("contrast", "colour"),
    [
        (Contrast.BRIGHT_FIELD, (0.8, 0.8, 0.8)),
        (Contrast.DARK_FIELD, (0.02, 0.02, 0.03)),
        (Contrast.PHASE, (0.5, 0.5, 0.5)),
    ],
)
@pytest.mark.parametrize(("kind", "length_um"), [(Kind.UMBO, 150.0), (Kind.EGG, 100.0)])
def test_the_outline_lies_halfway_up_the_edge(
    contrast: Contrast, colour: tuple[float, float, float], kind: Kind, length_um: float
) -> None:
    """Whatever the contrast, the light is halfway between slide and rim within 0.4 px of truth."""
    settings = replace(
        CLEAN,
        width_px=230,
        height_px=200,
        population=(Group(kind, 1, (length_um, length_um)),),
        light=Light(contrast, colour, uneven=0.0, vignette=0.0),
    )
    scene = draw_scene(settings, 6)
    (truth,) = scene.truth
    outline = np.array(truth.outline_px, np.float32)[:, None]
    depth = np.array(
        [[cv2.pointPolygonTest(outline, (x, y), True) for x in range(230)] for y in range(200)]
    )
    grey = scene.pixels.astype(float).mean(axis=2)
    steps = np.arange(-2.5, 2.0, 0.25)
    profile = np.array([grey[np.abs(depth - step) < 0.25].mean() for step in steps])
    slide = profile[0]
    rise = np.abs(profile - slide) / np.abs(profile - slide).max()
    first = int(np.argmax(rise > 0.5))
    halfway = np.interp(0.5, rise[first - 1 : first + 1], steps[first - 1 : first + 1])
    assert abs(halfway) < 0.4


@pytest.mark.parametrize("kind", list(Kind))
def test_every_kind_can_be_seen(kind: Kind) -> None:
    """Each kind changes the picture inside its outline and not far away from it."""
    settings = replace(
        CLEAN,
        width_px=360,
        population=(Group(kind, 1),),
        um_per_px=3.0 if kind is Kind.FIBRE else 1,
    )
    scene = draw_scene(settings, 8)
    empty = draw_scene(replace(settings, population=()), 8)
    changed = np.abs(scene.pixels.astype(int) - empty.pixels).max(axis=2)
    (truth,) = scene.truth
    assert int(changed.max()) > 40
    rows, columns = np.nonzero(changed > 12)
    away = np.hypot(columns - truth.x_px, rows - truth.y_px) * scene.um_per_px
    assert away.max() < 0.75 * truth.length_um + 12


def test_the_same_seed_draws_the_same_picture() -> None:
    """Same settings and seed: the same pixels and truth; another seed: another slide."""
    settings = replace(CLEAN, population=(Group(Kind.D_HINGE, 3), Group(Kind.DEBRIS, 2, (10, 40))))
    first, again, other = (draw_scene(settings, seed) for seed in (5, 5, 6))
    np.testing.assert_array_equal(first.pixels, again.pixels)
    assert first.truth == again.truth
    assert first.truth != other.truth


def test_the_truth_does_not_hang_on_light_noise_or_rulings() -> None:
    """With one seed the objects stay where they are under any light, noise or rulings."""
    settings = replace(CLEAN, population=(Group(Kind.D_HINGE, 4),))
    other = replace(
        settings,
        light=Light(contrast=Contrast.DARK_FIELD, colour=(0.02, 0.02, 0.03), uneven=0.5),
        camera=Camera(shot_noise=0.05, bits=16, colour=False),
        rulings=Rulings(period_um=120.0),
    )
    assert draw_scene(settings, 2).truth == draw_scene(other, 2).truth


def test_an_empty_slide_has_an_empty_truth() -> None:
    """No population: a picture of the background, nothing in the truth."""
    scene = draw_scene(replace(CLEAN, population=()), 1)
    assert scene.truth == ()
    assert scene.pixels.shape == (300, 340, 3)
    assert int(np.ptp(scene.pixels[:, :, 1])) < 20


def test_the_objects_that_a_border_cuts_are_known() -> None:
    """``is_cut`` is true exactly where the outline leaves the picture."""
    settings = replace(CLEAN, population=(Group(Kind.D_HINGE, 30),), keep_inside=False)
    truth = draw_scene(settings, 9).truth
    for entry in truth:
        x, y = np.array(entry.outline_px).T
        leaves = min(x.min(), y.min()) < -0.5 or x.max() > 339.5 or y.max() > 299.5
        assert entry.is_cut == leaves
    assert 0 < sum(entry.is_cut for entry in truth) < len(truth)
    inside = draw_scene(replace(settings, keep_inside=True), 9).truth
    assert not any(entry.is_cut for entry in inside)


def test_what_does_not_reach_into_the_picture_is_not_in_the_truth() -> None:
    """With middles beyond the border, objects outside are missing and halves are cut."""
    settings = replace(
        CLEAN, population=(Group(Kind.D_HINGE, 30),), keep_inside=False, beyond_um=90.0
    )
    truth = draw_scene(settings, 3).truth
    assert 5 < len(truth) < 30
    for entry in truth:
        x, y = np.array(entry.outline_px).T
        assert x.max() > -1
        assert y.max() > -1
        assert x.min() < 340
        assert y.min() < 300
    assert any(entry.x_px < 0 or entry.y_px < 0 or entry.x_px > 339 for entry in truth)


def test_a_round_field_is_black_outside_and_its_area_is_known() -> None:
    """Corners are black; the visible area is the circle's; nothing lies in the dark."""
    light = Light(round_field=0.8, uneven=0.0)
    scene = draw_scene(replace(CLEAN, light=light, population=(Group(Kind.EGG, 5),)), 3)
    radius_um = 0.8 * 340 / 2
    assert scene.pixels[0, 0].max() == 0
    assert scene.pixels[150, 170].min() > 100
    assert scene.visible_mm2 == pytest.approx(np.pi * radius_um**2 * 1e-6, rel=0.01)
    for entry in scene.truth:
        assert np.hypot(entry.x_px - 169.5, entry.y_px - 149.5) < radius_um


def test_dark_field_is_bright_on_dark() -> None:
    """In dark field the background is nearly black and the shell's rim shines."""
    light = Light(contrast=Contrast.DARK_FIELD, colour=(0.02, 0.02, 0.03))
    scene = draw_scene(replace(CLEAN, light=light, population=(Group(Kind.UMBO, 1),)), 4)
    assert np.median(scene.pixels) < 15
    assert float(np.percentile(scene.pixels, 99)) > 90


def test_a_camera_of_16_bits_and_a_grey_one() -> None:
    """16 bits fill the range of 16 bits; a grey camera gives a picture without colours."""
    settings = replace(CLEAN, camera=Camera(bits=16, colour=False))
    scene = draw_scene(settings, 4)
    assert scene.pixels.dtype == np.uint16
    assert scene.pixels.shape == (300, 340)
    assert scene.pixels.max() > 40000
