"""Proposals of state: what they rest on, and where none is made."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from importlib import resources

import numpy as np
import pytest

from counter.domain import flags
from counter.domain.catalogue import species
from counter.domain.mark import Mark
from counter.domain.progress import Silent
from counter.domain.species import Target, TargetKind, target_of
from counter.imaging import states
from counter.imaging.crop_networks import load_crop_network
from counter.imaging.detect import detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, SceneSettings
from counter.imaging.draw.truth import Scene, TruthObject
from counter.imaging.photo import Photo, Pixels

OYSTER = species("eastern-oyster")
LARVAE = target_of(OYSTER, TargetKind.LARVAE)
EGGS = target_of(OYSTER, TargetKind.EGGS)
UM_PER_PX = 1.1
DARK = -0.6
"""How bright a body in a bright field is beside its surroundings."""

SETTINGS = SceneSettings(
    560, 430, UM_PER_PX, (Group(Kind.D_HINGE, 5), Group(Kind.EMPTY_SHELL, 5)), keep_inside=True
)


@pytest.fixture(scope="module")
def slide() -> Scene:
    """Five live larvae and five empty shells."""
    return draw_scene(SETTINGS, 4)


def mark_of(number: int, entry: TruthObject, turn: int, size: tuple[int, int]) -> Mark:
    """The mark of a drawn body on its picture turned by quarters (-1: mirrored)."""
    points = np.array([(entry.x_px, entry.y_px), *entry.outline_px])
    width, height = size
    if turn == -1:
        points[:, 0] = width - 1 - points[:, 0]
    for _ in range(max(turn, 0)):
        points = np.column_stack([points[:, 1], width - 1 - points[:, 0]])
        width, height = height, width
    outline = tuple((float(x), float(y)) for x, y in points[1:])
    x, y = (float(value) for value in points[0])
    return Mark(number, x, y, outline, entry.length_um, entry.width_um, entry.area_um2, "d-hinge")


def answers(scene: Scene, pixels: Pixels, turn: int = 0) -> list[float]:
    """How sure the machine is that each body is dead."""
    size = (SETTINGS.width_px, SETTINGS.height_px)
    marks = [mark_of(n, entry, turn, size) for n, entry in enumerate(scene.truth, 1)]
    found = states.proposed(Photo(pixels).with_scale(UM_PER_PX), marks, LARVAE)
    sure = []
    for mark in found:
        assert mark.proposal is not None
        assert mark.proposal.state is not None
        sure.append(mark.proposal.score if mark.proposal.state == "dead" else 0.0)
    return sure


def test_empty_shells_are_proposed_dead_and_larvae_with_a_gut_live(slide: Scene) -> None:
    """On a sharp bright-field picture, every one of them."""
    dead = [answer > 0 for answer in answers(slide, slide.pixels)]
    assert dead == [entry.kind is Kind.EMPTY_SHELL for entry in slide.truth]


@pytest.mark.parametrize("turn", [-1, 1, 2, 3])
def test_turning_and_mirroring_a_picture_change_no_proposal(slide: Scene, turn: int) -> None:
    """A slide has no upper side."""
    pixels = slide.pixels[:, ::-1] if turn == -1 else np.rot90(slide.pixels, turn)
    plain = answers(slide, slide.pixels)
    turned = answers(slide, np.ascontiguousarray(pixels), turn)
    assert [a > 0 for a in turned] == [a > 0 for a in plain]
    assert turned == pytest.approx(plain, abs=0.2)


def test_gain_black_level_and_depth_of_the_camera_change_no_proposal(slide: Scene) -> None:
    """The light is evened before the networks see it."""
    plain = answers(slide, slide.pixels)
    dimmer = (slide.pixels * 0.6 + 20).astype(np.uint8)
    assert answers(slide, dimmer) == pytest.approx(plain, abs=0.1)
    deep = slide.pixels.astype(np.uint16) * 257
    assert answers(slide, deep) == pytest.approx(plain, abs=0.05)


def test_what_cannot_show_its_state_gets_none_and_says_why(slide: Scene) -> None:
    """Cut by the border, out of focus, or too few pixels across."""
    size = (SETTINGS.width_px, SETTINGS.height_px)
    whole = mark_of(1, slide.truth[0], 0, size)
    photo = Photo(slide.pixels).with_scale(UM_PER_PX)

    def reason(mark: Mark, target: object = LARVAE) -> str:
        (found,) = states.proposed(photo, [mark], LARVAE if target is LARVAE else EGGS)
        assert found.proposal is not None
        assert (found.proposal.state is None) == bool(found.proposal.reason)
        return found.proposal.reason

    assert reason(whole) == ""
    assert reason(replace(whole, flags=frozenset({flags.CUT.key}))) == "cut"
    assert reason(replace(whole, flags=frozenset({flags.BLURRED.key}))) == "blurred"
    assert reason(replace(whole, length_um=19 * UM_PER_PX)) == "small"
    assert reason(replace(whole, length_um=24 * UM_PER_PX), EGGS) == "small"


def test_nothing_else_of_a_mark_changes(slide: Scene) -> None:
    """Least of all its stage, and no marks give none."""
    photo = Photo(slide.pixels).with_scale(UM_PER_PX)
    size = (SETTINGS.width_px, SETTINGS.height_px)
    marks = [mark_of(n, entry, 0, size) for n, entry in enumerate(slide.truth, 1)]
    found = states.proposed(photo, marks, LARVAE)
    assert [replace(mark, proposal=None) for mark in found] == marks
    assert states.proposed(photo, [], LARVAE) == []
    with pytest.raises(ValueError, match="scale"):
        states.proposed(Photo(slide.pixels), marks, LARVAE)


def test_one_mark_is_looked_at_as_among_all(slide: Scene) -> None:
    """Only its surroundings are read, near the border of the picture too."""
    photo = Photo(slide.pixels).with_scale(UM_PER_PX)
    size = (SETTINGS.width_px, SETTINGS.height_px)
    for number, entry in enumerate(slide.truth, 1):
        mark = mark_of(number, entry, 0, size)
        (among,) = states.proposed(photo, [mark], LARVAE)
        alone = states.looked_at(photo, mark, LARVAE)
        assert among.proposal is not None
        assert alone.proposal is not None
        assert replace(alone, proposal=None) == mark
        assert alone.proposal.state == among.proposal.state
        assert alone.proposal.score == pytest.approx(among.proposal.score, abs=0.05)
    with pytest.raises(ValueError, match="scale"):
        states.looked_at(Photo(slide.pixels), mark, LARVAE)


@pytest.mark.parametrize(
    ("chance", "said"),
    [(0.99, True), (0.85, True), (0.83, None), (0.5, None), (0.17, None), (0.15, False)],
)
def test_an_eye_spot_is_told_only_where_it_is_sure_enough(
    chance: float, said: bool | None, slide: Scene, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Nineteen in twenty should be right: under 84 % nothing is said, and the score is nought."""
    asked: list[str] = []

    def answered(name: str, _: Photo, marks: Sequence[Mark]) -> list[tuple[float, float]]:
        asked.append(name)
        return [(chance if name == "eyes" else 0.02, DARK)] * len(marks)

    monkeypatch.setattr(states, "_answers", answered)
    photo = Photo(slide.pixels).with_scale(UM_PER_PX)
    mark = mark_of(1, slide.truth[0], 0, (SETTINGS.width_px, SETTINGS.height_px))
    (found,) = states.proposed(photo, [replace(mark, length_um=290.0)], LARVAE)
    assert asked == ["shells", "eyes"]
    assert found.proposal is not None
    assert found.proposal.eye_spot is said
    sure = pytest.approx(max(chance, 1 - chance)) if said is not None else 0.0
    assert found.proposal.eye_spot_score == sure


def test_eye_spots_are_looked_for_only_in_live_larvae_old_enough(
    slide: Scene, monkeypatch: pytest.MonkeyPatch
) -> None:
    """From 85 % of the species' eyed length on, and from 60 pixels; the others cost no time."""
    looked: list[float] = []

    def answered(name: str, _: Photo, marks: Sequence[Mark]) -> list[tuple[float, float]]:
        if name == "eyes":
            looked.extend(mark.length_um for mark in marks)
            return [(0.99, DARK)] * len(marks)
        return [(0.98 if mark.length_um == 301.0 else 0.02, DARK) for mark in marks]

    monkeypatch.setattr(states, "_answers", answered)
    mark = mark_of(1, slide.truth[0], 0, (SETTINGS.width_px, SETTINGS.height_px))
    marks = [replace(mark, length_um=length) for length in (80.0, 234.0, 236.0, 301.0, 310.0)]
    states.proposed(Photo(slide.pixels).with_scale(1.1), marks, LARVAE)
    assert looked == [236.0, 310.0]
    looked.clear()
    states.proposed(Photo(slide.pixels).with_scale(5.0), marks, LARVAE)
    assert looked == [310.0]


@pytest.mark.parametrize(
    ("target", "chance", "shine", "state", "is_doubtful"),
    [
        (LARVAE, 0.98, 0.7, "dead", True),
        (LARVAE, 0.98, DARK, "dead", False),
        (LARVAE, 0.02, 0.7, "live", False),
        (EGGS, 0.98, 0.7, "fertilised", False),
    ],
    ids=["dead, in a dark field", "dead, in a bright one", "live", "an egg"],
)
def test_in_a_dark_field_nothing_is_surely_dead(
    target: Target, chance: float, shine: float, state: str, is_doubtful: bool,
    slide: Scene, monkeypatch: pytest.MonkeyPatch,
) -> None:  # fmt: skip
    """There a live larva's inside is as dark as an empty shell's."""
    monkeypatch.setattr(states, "_answers", lambda _, __, marks: [(chance, shine)] * len(marks))
    mark = mark_of(1, slide.truth[0], 0, (SETTINGS.width_px, SETTINGS.height_px))
    (found,) = states.proposed(Photo(slide.pixels).with_scale(UM_PER_PX), [mark], target)
    assert found.proposal is not None
    assert found.proposal.state == state
    assert found.proposal.is_doubtful is is_doubtful


@pytest.mark.parametrize("is_dark_field", [False, True])
def test_a_dark_field_is_told_by_bodies_brighter_than_their_surroundings(
    is_dark_field: bool,
) -> None:
    """The same picture as a negative: what was darker than the water is brighter."""
    larvae = SceneSettings(
        width_px=700, height_px=500, population=(Group(Kind.EMPTY_SHELL, 5),), keep_inside=True
    )
    drawn = draw_scene(larvae, 4)
    pixels = 255 - drawn.pixels if is_dark_field else drawn.pixels
    found = detect(
        Photo(np.asarray(pixels, np.uint8)).with_scale(larvae.um_per_px), LARVAE, Silent()
    ).marks
    dead = [each.proposal for each in found if each.proposal and each.proposal.state == "dead"]
    assert len(dead) >= 3
    assert all(each.is_doubtful for each in dead) or not is_dark_field
    assert is_dark_field or not all(each.is_doubtful for each in dead)


@pytest.fixture
def no_file(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    """The networks' files are gone."""

    class Gone:
        def joinpath(self, name: str) -> Gone:
            del name
            return self

        def read_bytes(self) -> bytes:
            raise FileNotFoundError

    load_crop_network.cache_clear()
    monkeypatch.setattr(resources, "files", lambda _: Gone())
    yield
    load_crop_network.cache_clear()


def test_a_missing_network_is_told_and_the_count_goes_on(slide: Scene, no_file: None) -> None:
    """Marks come without proposals, and a warning names the file."""
    del no_file
    photo = Photo(slide.pixels).with_scale(UM_PER_PX)
    mark = mark_of(1, slide.truth[0], 0, (SETTINGS.width_px, SETTINGS.height_px))
    with pytest.raises(states.NoStatesError, match=r"shells\.onnx.*install"):
        states.proposed(photo, [mark], LARVAE)
    assert states.looked_at(photo, mark, LARVAE) == mark
    found = detect(photo, LARVAE, Silent())
    assert found.marks
    assert all(mark.proposal is None for mark in found.marks)
    assert any("shells.onnx" in warning for warning in found.warnings)
