"""The closer look at candidates: bodies as drawn, and what is none."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from importlib import resources

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from counter.domain.catalogue import species
from counter.domain.progress import Silent
from counter.domain.species import TargetKind, target_of
from counter.imaging import closer
from counter.imaging.calibrated import COUNTED_FROM, chance_of, closer_chance_of
from counter.imaging.closer import (
    FIRM_NO,
    KEPT,
    SURE_DEPTH,
    chance_seen_closer,
    crop_of,
    is_narrow,
    looked_closer,
)
from counter.imaging.crop_networks import load_crop_network
from counter.imaging.detect import detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, SceneSettings
from counter.imaging.draw.truth import Scene
from counter.imaging.judge import Traits
from counter.imaging.measure import measure_all
from counter.imaging.net import NoNetworkError
from counter.imaging.photo import Photo
from counter.imaging.weighed import Weighed

LARVAE = target_of(species("eastern-oyster"), TargetKind.LARVAE)
SLIDE = SceneSettings(
    width_px=1000, height_px=640, population=(Group(Kind.D_HINGE, 9), Group(Kind.DEBRIS, 6))
)
DEPTH, JUDGED = 0.7, 0.9
TRAITS = Traits(40.0, 0.9, 0.5, 1.0, -0.2, 0.3, 0.1, 0.8, 0.0, 1.0, 1.0)


@pytest.fixture(scope="module")
def slide() -> Scene:
    """Larvae and debris."""
    return draw_scene(SLIDE, 5)


def candidate(outline: NDArray[np.float64], photo: Photo) -> Weighed:
    """A candidate with this outline, of which the finder is in doubt."""
    (measures,) = measure_all(outline[None], photo.um_per_px or 1.0)
    classes, first = np.full(4, 0.25), chance_of(DEPTH, JUDGED)
    return Weighed(outline, False, 2.0, measures, TRAITS, DEPTH, classes, JUDGED, first)


def larvae_of(scene: Scene, photo: Photo) -> list[Weighed]:
    """A candidate on each drawn larva that the border does not cut."""
    return [
        candidate(np.asarray(body.outline_px, np.float64), photo)
        for body in scene.larvae
        if not body.is_cut
    ]


def photo_of(scene: Scene) -> Photo:
    return Photo(scene.pixels).with_scale(SLIDE.um_per_px)


def test_drawn_larvae_in_doubt_become_sure_and_bubbles_do_not(slide: Scene) -> None:
    """The finder gives both the same chance; the closer look tells them apart."""
    photo = photo_of(slide)
    seen = looked_closer(larvae_of(slide, photo), photo)
    assert len(seen) > 4
    assert np.median([each.closer or 0.0 for each in seen]) > 2
    assert all(each.score > chance_of(DEPTH, JUDGED) for each in seen if (each.closer or 0) > 1)

    picture = np.full((300, 420, 3), 190, np.uint8)
    cv2.circle(picture, (210, 150), 40, (25, 25, 25), -1, cv2.LINE_AA)
    cv2.circle(picture, (210, 150), 22, (225, 225, 225), -1, cv2.LINE_AA)
    bubble = Photo(np.asarray(cv2.GaussianBlur(picture, (0, 0), 1.2), np.uint8)).with_scale(1.0)
    turns = np.linspace(0, 2 * np.pi, 72, endpoint=False)
    ring = np.array([210.0, 150.0]) + 40 * np.column_stack([np.cos(turns), np.sin(turns)])
    (refused,) = looked_closer([candidate(ring, bubble)], bubble)
    assert refused.closer is not None
    assert refused.closer < 0
    assert refused.score < chance_of(DEPTH, JUDGED)


def test_only_what_is_in_doubt_is_looked_at(slide: Scene) -> None:
    """The surest keep their scores; the rest, whole or cut, are joined as the formulas say."""
    photo = photo_of(slide)
    doubtful, *others = larvae_of(slide, photo)
    halved = replace(doubtful, score=0.5 * doubtful.score)
    sure, cut = replace(others[0], depth=SURE_DEPTH), replace(others[1], cut=True)
    looked = looked_closer([sure, doubtful, cut, halved], photo)
    assert looked[0] is sure
    assert looked[2].closer is not None
    joined = closer_chance_of(DEPTH, JUDGED, looked[2].closer, is_cut=True)
    assert looked[2].score == pytest.approx(joined)
    assert looked[1].closer is not None
    joined = closer_chance_of(DEPTH, JUDGED, looked[1].closer)
    assert looked[1].score == pytest.approx(joined)
    assert looked[3].score == pytest.approx(0.5 * joined)
    assert looked_closer([], photo) == []


def test_what_is_as_narrow_as_a_larva_on_its_side_is_only_made_surer() -> None:
    """A smooth spindle that is no body to the closer look keeps the finder's chance."""
    picture = np.full((200, 330, 3), 200, np.uint8)
    cv2.ellipse(picture, (165, 100), (60, 26), 20, 0, 360, (60, 60, 60), -1, cv2.LINE_AA)
    photo = Photo(np.asarray(cv2.GaussianBlur(picture, (0, 0), 1.0), np.uint8)).with_scale(1.0)
    points = np.asarray(cv2.ellipse2Poly((165, 100), (60, 26), 20, 0, 359, 5), np.float64)
    each = candidate(points, photo)
    assert is_narrow(each)
    (looked,) = looked_closer([each], photo)
    assert looked.closer is not None
    joined = closer_chance_of(DEPTH, JUDGED, looked.closer)
    assert looked.score == pytest.approx(max(joined, each.score))
    assert looked.score >= each.score


def test_a_firm_no_leaves_little_of_the_score(
    slide: Scene, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Just above it the opinions are joined as ever."""
    photo = photo_of(slide)
    firm, soft, *_ = (each for each in larvae_of(slide, photo) if not is_narrow(each))
    answers = np.array([FIRM_NO - 0.1, FIRM_NO + 0.1], np.float32)
    monkeypatch.setattr(closer, "logits_of", lambda *_: answers)
    seen = looked_closer([firm, soft], photo)
    joined = [closer_chance_of(DEPTH, JUDGED, float(answer)) for answer in answers]
    assert seen[0].score == pytest.approx(KEPT * joined[0])
    assert seen[1].score == pytest.approx(joined[1])


@pytest.mark.parametrize(
    ("depth", "larva", "keeps"),
    [(0.93, 0.99, True), (0.93, 0.9, False), (0.8, 0.99, False)],
    ids=["sure of both", "not of the larva", "not of a body"],
)
def test_what_the_network_is_sure_of_stays_a_mark_whatever_else_is_said(
    depth: float, larva: float, keeps: bool
) -> None:
    """A velum lies across its rim, so that the outline looks bad, and the closer look sees litter;
    of what the border cuts only the numbers speak."""
    turn = np.linspace(0, 2 * np.pi, 72, endpoint=False)
    outline = np.column_stack([60 + 30 * np.cos(turn), 60 + 26 * np.sin(turn)])
    rest = (1 - larva) / 3
    found = replace(
        candidate(outline, Photo(np.full((120, 120), 200, np.uint8)).with_scale(1.24)),
        depth=depth,
        judged=0.01,
        classes=np.array([rest, larva, rest, rest]),
    )
    for logit in (FIRM_NO, FIRM_NO - 1):
        assert (chance_seen_closer(found, logit) >= COUNTED_FROM) is keeps
    cut = chance_seen_closer(replace(found, cut=True), FIRM_NO)
    assert cut == closer_chance_of(depth, 0.01, FIRM_NO, is_cut=True)


def test_an_embryo_is_only_made_surer_except_by_a_firm_no(
    slide: Scene, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The closer look did not learn cells that just touch."""
    photo = photo_of(slide)
    wide = [each for each in larvae_of(slide, photo) if not is_narrow(each)][:3]
    answers = np.array([FIRM_NO - 0.1, FIRM_NO + 0.1, 3.0], np.float32)
    monkeypatch.setattr(closer, "logits_of", lambda *_: answers)
    seen = looked_closer([replace(each, is_embryo=True) for each in wide], photo)
    joined = [closer_chance_of(DEPTH, JUDGED, float(answer)) for answer in answers]
    assert [each.score for each in seen] == pytest.approx(
        [KEPT * joined[0], chance_of(DEPTH, JUDGED), joined[2]]
    )


def test_bits_and_a_finer_camera_change_little(slide: Scene) -> None:
    """The same light in 16 bits says the same; so, nearly, does a picture twice as fine."""
    photo = photo_of(slide)
    found = larvae_of(slide, photo)
    usual = np.array([each.closer for each in looked_closer(found, photo)])
    deep = Photo(slide.pixels.astype(np.uint16) * 257).with_scale(SLIDE.um_per_px)
    again = np.array([each.closer for each in looked_closer(found, deep)])
    assert np.abs(again - usual).max() < 0.1
    twice = np.asarray(cv2.resize(slide.pixels, None, fx=2, fy=2), np.uint8)
    fine = Photo(twice).with_scale(SLIDE.um_per_px / 2)
    larger = [candidate((each.outline + 0.5) * 2 - 0.5, fine) for each in found]
    finer = np.array([each.closer for each in looked_closer(larger, fine)])
    assert np.median(np.abs(finer - usual)) < 1.0


def test_a_photo_without_a_scale_is_a_slip_of_the_caller(slide: Scene) -> None:
    photo = photo_of(slide)
    with pytest.raises(ValueError, match="scale"):
        crop_of(larvae_of(slide, photo)[0], Photo(slide.pixels))


@pytest.fixture
def no_closer(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The network's file is gone; the others are there."""
    files = resources.files

    class Part:
        def joinpath(self, name: str) -> object:
            if "closer" in name:
                raise FileNotFoundError(name)
            return files("resources").joinpath(name)

    load_crop_network.cache_clear()
    monkeypatch.setattr(resources, "files", lambda _: Part())
    yield
    load_crop_network.cache_clear()


def test_without_the_file_the_older_finder_counts_and_says_so(
    slide: Scene, no_closer: None
) -> None:
    del no_closer
    photo = photo_of(slide)
    with pytest.raises(NoNetworkError, match=r"closer\.onnx.*install"):
        closer.looked_closer(larvae_of(slide, photo), photo)
    found = detect(photo, LARVAE, Silent())
    assert any("closer.onnx" in warning for warning in found.warnings)
    assert found.marks
