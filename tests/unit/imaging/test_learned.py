"""The learned finder on drawn slides with known truth."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest

from counter.domain.catalogue import species
from counter.domain.mark import Mark
from counter.domain.progress import Silent
from counter.domain.species import Target, TargetKind, target_of
from counter.imaging import followed, learned, net
from counter.imaging.detect import detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, SceneSettings
from counter.imaging.draw.truth import Scene
from counter.imaging.find import find
from counter.imaging.finders import find_on
from counter.imaging.measure import Measures
from counter.imaging.outline import Refined, refine
from counter.imaging.photo import Photo, Pixels
from counter.imaging.read import read_page
from counter.imaging.scene import prepare

SAMPLES = Path(__file__).parents[3] / "sample_images"
OYSTER = species("eastern-oyster")
LARVAE = target_of(OYSTER, TargetKind.LARVAE)
EGGS = target_of(OYSTER, TargetKind.EGGS)
OF_ONES_OWN = replace(LARVAE, low_um=40.0)
SLIDE = SceneSettings(
    width_px=620,
    height_px=480,
    population=(Group(Kind.D_HINGE, 6), Group(Kind.UMBO, 3), Group(Kind.ALGA, 10)),
    keep_inside=True,
)


def found(pixels: Pixels, target: Target = LARVAE, um_per_px: float = 1.24) -> list[Mark]:
    photo = Photo(pixels=pixels).with_scale(um_per_px)
    return list(find_on(prepare(photo, target, Silent()), target, Silent(), None).marks)


@pytest.fixture(scope="module")
def slide() -> Scene:
    return draw_scene(SLIDE, 12)


@pytest.fixture(scope="module")
def marks(slide: Scene) -> list[Mark]:
    return found(slide.pixels)


def test_every_larva_is_found_and_nothing_else(slide: Scene, marks: list[Mark]) -> None:
    """Nine larvae, ten algae: nine marks, each within a quarter length of its larva."""
    larvae = [truth for truth in slide.truth if truth.is_larva]
    assert len(marks) == len(larvae) == 9
    for truth in larvae:
        off = min(np.hypot(m.x_px - truth.x_px, m.y_px - truth.y_px) for m in marks)
        assert off < 0.25 * truth.length_um / slide.um_per_px


def test_lengths_are_within_a_few_percent(slide: Scene, marks: list[Mark]) -> None:
    """The maximum Feret diameter of each is off by under 5 %, of all by under 2 %."""
    errors = []
    for truth in (truth for truth in slide.truth if truth.is_larva):
        away = [np.hypot(mark.x_px - truth.x_px, mark.y_px - truth.y_px) for mark in marks]
        errors.append(marks[int(np.argmin(away))].length_um / truth.length_um - 1)
    assert np.abs(errors).max() < 0.05
    assert abs(np.mean(errors)) < 0.02


def _with_soft_bodies(scene: Scene, share: float, finer: int = 4) -> Pixels:
    """The picture with a dark line inside each shell, at ``share`` of the way to its rim: the edge
    of a soft body that has drawn back from a clear shell."""
    size = (finer * scene.pixels.shape[1], finer * scene.pixels.shape[0])
    fine = cv2.resize(scene.pixels, size, interpolation=cv2.INTER_CUBIC)
    lines = np.zeros(fine.shape[:2], np.uint8)
    for truth in scene.truth:
        rim = np.asarray(truth.outline_px)
        line = (rim.mean(axis=0) + share * (rim - rim.mean(axis=0)) + 0.5) * finer - 0.5
        cv2.polylines(lines, [np.round(8 * line).astype(np.int32)], True, 255, 6, cv2.LINE_AA, 3)
    dark = 1 - 0.6 * cv2.GaussianBlur(lines, (0, 0), 1.5)[..., None] / 255.0
    small = cv2.resize(fine * dark, scene.pixels.shape[1::-1], interpolation=cv2.INTER_AREA)
    return np.asarray(small, np.uint8)


@pytest.mark.parametrize("seed", [43, 44, 46])
def test_a_clear_shell_is_not_measured_at_the_soft_body_inside_it(seed: int) -> None:
    """Umbo larvae at 5 µm per pixel, where shell and soft body are two pixels apart: the outline
    does not slip onto the stronger inner line, which would make the larva a fifth too short."""
    umbo = replace(SLIDE, width_px=420, height_px=330, um_per_px=5.0, apart_um=40.0)
    drawn = draw_scene(replace(umbo, population=(Group(Kind.UMBO, 8),)), seed)
    seen = found(_with_soft_bodies(drawn, 0.85), um_per_px=5.0)
    assert len(seen) == 8
    for truth in drawn.truth:
        away = [np.hypot(mark.x_px - truth.x_px, mark.y_px - truth.y_px) for mark in seen]
        assert abs(seen[int(np.argmin(away))].length_um / truth.length_um - 1) < 0.15


def test_a_mirror_image_and_a_quarter_turn_count_the_same(slide: Scene, marks: list[Mark]) -> None:
    """What lies on the slide does not depend on how it lies; lengths agree to 4 %."""
    lengths = sorted(mark.length_um for mark in marks)
    for other in (cv2.flip(slide.pixels, 1), cv2.rotate(slide.pixels, cv2.ROTATE_90_CLOCKWISE)):
        turned = sorted(mark.length_um for mark in found(np.asarray(other, dtype=np.uint8)))
        assert turned == pytest.approx(lengths, rel=0.04)


def test_a_darker_picture_counts_the_same(slide: Scene, marks: list[Mark]) -> None:
    """Half the light, the same larvae."""
    darker = found(np.asarray(slide.pixels // 2, np.uint8))
    assert len(darker) == len(marks)


def test_a_slide_with_nothing_on_it_has_no_marks() -> None:
    """Water and a little noise."""
    empty = draw_scene(replace(SLIDE, population=()), 3)
    assert found(empty.pixels) == []


def test_eggs_beside_larvae_are_not_larvae_and_larvae_no_eggs() -> None:
    """Each target leaves the other's bodies out."""
    both = (Group(Kind.D_HINGE, 8), Group(Kind.EGG, 5))
    scene = draw_scene(replace(SLIDE, population=both), 5)
    assert len(found(scene.pixels)) == 8
    assert len(found(scene.pixels, EGGS)) == 5


def test_stained_eggs_are_eggs_though_their_grains_look_like_a_shell() -> None:
    """Every egg of the sample in an iodine-tinted drop is found: whole, fertilised, cleaving."""
    picture = SAMPLES / "eggs-amber.png"
    truth = json.loads((SAMPLES / "eggs-amber.truth.json").read_text(encoding="utf-8"))
    pixels = read_page(picture, 0).pixels
    assert len(found(pixels, EGGS, 0.95)) == truth["pages"][0]["eggs"]


def test_trochophores_alone_are_larvae() -> None:
    """They look like eggs, but nothing else is there to be counted."""
    scene = draw_scene(replace(SLIDE, population=(Group(Kind.TROCHOPHORE, 8),)), 6)
    assert len(found(scene.pixels)) == 8


def test_lengths_given_by_a_person_let_any_body_in() -> None:
    """Eggs count when the lengths asked for are theirs and no longer the species' own."""
    scene = draw_scene(replace(SLIDE, population=(Group(Kind.EGG, 7),)), 8)
    assert len(found(scene.pixels, target_of(OYSTER, TargetKind.LARVAE, (35.0, 90.0)))) == 7


def test_a_larva_cut_by_the_border_says_so() -> None:
    """Half a larva at the left edge is one mark with the flag."""
    scene = draw_scene(replace(SLIDE, population=(Group(Kind.UMBO, 1, (180.0, 180.0)),)), 9)
    (truth,) = scene.truth
    half = np.asarray(scene.pixels[:, round(truth.x_px) :], dtype=np.uint8)
    (mark,) = found(half)
    assert mark.is_cut
    assert mark.outline_px[0] is not None
    assert min(x for x, _ in mark.outline_px) == pytest.approx(-0.5)


def test_a_stump_at_the_border_is_doubted_more(monkeypatch: pytest.MonkeyPatch) -> None:
    """A part of a small larva keeps a fifth of the odds that it would have otherwise."""
    scene = draw_scene(replace(SLIDE, population=(Group(Kind.D_HINGE, 1, (68.0, 68.0)),)), 9)
    (truth,) = scene.truth
    cut = slice(round(truth.x_px + 0.2 * truth.length_um / SLIDE.um_per_px), None)
    photo = Photo(np.asarray(scene.pixels[:, cut], np.uint8)).with_scale(SLIDE.um_per_px)

    def sure(target: Target) -> float:
        scene = prepare(photo, target, Silent())
        (each,) = (e for e in learned.weigh(scene, target, Silent()) if e.score > 0.1)
        assert each.cut
        assert each.measures.length_um < 70
        return each.score

    whole = replace(LARVAE, species=replace(OYSTER, larva_um=(70.0, LARVAE.high_um)), low_um=70.0)
    less = sure(whole)
    monkeypatch.setattr(learned, "STUMP_ODDS", 1.0)
    usual = sure(whole)
    assert less / (1 - less) == pytest.approx(0.2 * usual / (1 - usual))


def test_without_the_network_the_older_finder_counts_and_says_so(
    slide: Scene, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A damaged installation still counts, with a warning that names the file."""

    def broken() -> None:
        raise net.NoNetworkError("The learned finder's file cannot be read.")

    monkeypatch.setattr("counter.imaging.sight.load", broken)
    photo = Photo(pixels=slide.pixels).with_scale(slide.um_per_px)
    seen = detect(photo, LARVAE, Silent())
    assert len(seen.marks) >= 8
    assert any("cannot be read" in warning for warning in seen.warnings)


def test_the_narrow_entrance_is_the_learned_finder(slide: Scene, marks: list[Mark]) -> None:
    """``find`` gives the same marks, and to each a proposal of its state."""
    photo = Photo(pixels=slide.pixels).with_scale(slide.um_per_px)
    assert list(find(photo, LARVAE, Silent())) == marks
    assert all(mark.proposal is not None for mark in marks)


def test_marks_do_not_depend_on_how_many_threads_follow_outlines(
    slide: Scene, marks: list[Mark], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Shared out among four threads they are the same as all at once."""
    monkeypatch.setattr(followed, "FEW", 2)
    monkeypatch.setattr(cv2, "getNumThreads", lambda: 4)
    again = found(slide.pixels)
    assert [mark.flags for mark in again] == [mark.flags for mark in marks]
    for one, other in zip(again, marks, strict=True):
        assert np.allclose(one.outline_px, other.outline_px, atol=1e-3)
        assert one.score == pytest.approx(other.score, abs=1e-6)


def test_an_outline_that_slipped_is_left_where_the_network_saw_it(
    slide: Scene, marks: list[Mark], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Where the rim followed is far from what the network saw, its own outline is kept."""

    def slipped(*given: Any) -> Refined:
        done = refine(*given)
        middles = done.outlines.mean(axis=1, keepdims=True)
        return replace(done, outlines=middles + 0.5 * (done.outlines - middles))

    monkeypatch.setattr(followed, "refine", slipped)
    scene = prepare(Photo(pixels=slide.pixels).with_scale(slide.um_per_px), LARVAE, Silent())
    lengths = [each.measures.length_um for each in learned.weigh(scene, LARVAE, Silent())]
    for mark in marks:
        assert min(abs(length / mark.length_um - 1) for length in lengths) < 0.08


def test_small_bodies_without_a_shell_are_trochophores(slide: Scene) -> None:
    """Up to a little over the shortest with one; with lengths of one's own the length alone says.

    Drawn larvae of which the network is made to see no shell, and their lengths changed.
    """
    photo = Photo(pixels=slide.pixels).with_scale(1.24)
    scene = prepare(photo, LARVAE, Silent())
    seen = [each for each in learned.weigh(scene, LARVAE, Silent()) if not each.cut]
    sure = [1.0] * len(seen)
    for share in (0.8, 1.3):
        shorter = [replace(each, measures=_times(each.measures, share)) for each in seen]
        bare = [replace(each, classes=np.array([0.12, 0.09, 0.02, 0.77])) for each in shorter]
        for bodies, target in ((shorter, LARVAE), (bare, LARVAE), (bare, OF_ONES_OWN)):
            marks = learned.accepted(bodies, sure, scene, target)
            is_naked = bodies is bare and target is LARVAE
            small = [mark for mark in marks if mark.length_um <= 1.3 * 55]
            assert (len(small) >= 3) == (share < 1)
            for mark in marks:
                unshelled = is_naked and mark in small
                stage = "trochophore" if unshelled else OYSTER.stage_of(mark.length_um)
                assert mark.stage == stage


def _times(measures: Measures, share: float) -> Measures:
    return replace(measures, length_um=share * measures.length_um)
