"""Open empty shells count once: drawn ones, and pairs of marks that are nearly such."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import cv2
import numpy as np
import pytest
from numpy.typing import NDArray

from counter.domain import flags
from counter.domain.catalogue import species
from counter.domain.mark import Mark
from counter.domain.progress import Silent
from counter.domain.proposed import Proposal
from counter.domain.species import TargetKind, target_of
from counter.imaging.detect import Detection, detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, SceneSettings
from counter.imaging.draw.truth import Scene, TruthObject
from counter.imaging.gaping import with_open_shells_whole
from counter.imaging.measure import measure
from counter.imaging.photo import Photo
from counter.imaging.slide_search import search_in_blocks

Floats = NDArray[np.float64]

LARVAE = target_of(species("eastern-oyster"), TargetKind.LARVAE)
OPEN, LONG = Group(Kind.OPEN_SHELL, 6), Group(Kind.OPEN_SHELL, 4, (150.0, 220.0))
SETTINGS = SceneSettings(width_px=900, height_px=620, um_per_px=1.0, keep_inside=True)


@cache
def drawn(seed: int, *groups: Group) -> Scene:
    """A slide with these and three live D-hinge larvae."""
    return draw_scene(replace(SETTINGS, population=(*groups, Group(Kind.D_HINGE, 3))), seed)


def photo(scene: Scene) -> Photo:
    return Photo(scene.pixels).with_scale(scene.um_per_px)


@cache
def found(seed: int, *groups: Group) -> Detection:
    return detect(photo(drawn(seed, *groups)), LARVAE, Silent())


def on(truth: TruthObject, marks: tuple[Mark, ...]) -> list[Mark]:
    """The marks whose middle lies nearer than half its length to a body's."""
    return [
        mark
        for mark in marks
        if np.hypot(mark.x_px - truth.x_px, mark.y_px - truth.y_px) < truth.length_um / 2
    ]


def overlap(one: object, other: object) -> float:
    """How much of what two outlines cover both cover."""
    covered = np.zeros((2, 620, 900), np.uint8)
    for grid, outline in zip(covered, (one, other), strict=True):
        cv2.fillPoly(grid, [np.round(np.array(outline)).astype(np.int32)], 1)
    return float(covered.min(axis=0).sum() / covered.max(axis=0).sum())


@pytest.mark.parametrize("group", [OPEN, LONG], ids=["D-hinge", "umbo"])
def test_an_open_shell_is_one_dead_larva_round_both_valves(group: Group) -> None:
    """At least nine in ten count once, half of them put together; nothing else ever is."""
    shells = once = joined = 0
    for seed in (61, 64):
        marks = found(seed, group).marks
        assert [mark.mark_id for mark in marks] == list(range(1, len(marks) + 1))
        for truth in drawn(seed, group).truth:
            here = on(truth, marks)
            both = [mark for mark in here if flags.MERGED.key in mark.flags]
            assert all(_is_round(mark, truth) for mark in both)
            shells += truth.kind is Kind.OPEN_SHELL
            once += truth.kind is Kind.OPEN_SHELL and len(here) == 1
            joined += len(both)
    assert shells == 2 * group.count
    assert once >= 0.9 * shells
    assert joined >= 0.5 * shells


def test_where_a_person_gave_the_lengths_nothing_is_put_together() -> None:
    """What looks empty may be anything that is that long, as embryos in a dark field."""
    group = Group(Kind.OPEN_SHELL, 8, (70.0, 90.0))
    own = target_of(species("eastern-oyster"), TargetKind.LARVAE, (40.0, 400.0))
    marks = detect(photo(drawn(61, group)), own, Silent()).marks
    assert len(marks) >= 8
    assert not any(flags.MERGED.key in mark.flags for mark in marks)


def _is_round(mark: Mark, truth: TruthObject) -> bool:
    """Whether a mark lies round an open shell, is dead and calls for a look."""
    return (
        truth.kind is Kind.OPEN_SHELL
        and mark.proposed_state == "dead"
        and flags.CLUMP.key in mark.flags
        and overlap(mark.outline_px, truth.outline_px) > 0.92
        and abs(mark.length_um / truth.length_um - 1) < 0.03
    )


def test_on_a_large_picture_too_no_matter_where_its_parts_meet() -> None:
    whole = found(64, LONG).marks
    scene = drawn(64, LONG)
    parts = search_in_blocks(photo(scene), LARVAE, Silent(), block=(900, 310)).found.marks
    assert len(parts) == len(whole)
    merged = [sum(flags.MERGED.key in mark.flags for mark in marks) for marks in (parts, whole)]
    assert merged[0] == merged[1] >= 2


@pytest.mark.parametrize("seed", [204, 206])
def test_ajar_shells_that_lie_against_others_stay_as_many(seed: int) -> None:
    """Two dozen of about one length, four in five laid against another one."""
    settings = SceneSettings(
        1200, 900, 1.2, (Group(Kind.EMPTY_SHELL, 24, (70.0, 72.0)),), crowding=0.8
    )
    marks = detect(photo(draw_scene(settings, seed)), LARVAE, Silent()).marks
    assert len(marks) >= 23
    assert not any(flags.MERGED.key in mark.flags for mark in marks)


# --- pairs of marks

HALF = np.linspace(0, np.pi, 40)
VALVE = np.column_stack([50 * np.cos(HALF), 2 + 68 * np.sin(HALF) ** 0.7])
"""A valve 100 µm long with its hinge on the line y = 0, all of it below."""

PICTURE = Photo(np.zeros((400, 600), np.uint8)).with_scale(1.0)
EMPTY, ALIVE = Proposal("dead", 0.9), Proposal("live", 0.9)
UNSURE = Proposal(reason="unsure")


def turned(points: Floats, degrees: float) -> Floats:
    cos, sin = np.cos(np.radians(degrees)), np.sin(np.radians(degrees))
    return np.asarray(points @ np.array([[cos, sin], [-sin, cos]]))


def marked(points: Floats, proposal: Proposal | None = EMPTY, *keys: str) -> Mark:
    """A mark of this outline round (300, 200), clipped at the picture's border."""
    size = (PICTURE.width_px - 0.5, PICTURE.height_px - 0.5)
    outline = np.clip(points + np.array([300.0, 200.0]), -0.5, size)
    sizes = measure(outline, 1.0)
    return Mark(
        1, sizes.x_px, sizes.y_px, tuple(map(tuple, outline.tolist())), sizes.length_um,
        sizes.width_um, sizes.area_um2, "d-hinge", 0.8, flags=frozenset(keys), proposal=proposal,
    )  # fmt: skip


BELOW, ABOVE = VALVE, VALVE * (1, -1)


@pytest.mark.parametrize("degrees", [0.0, 37.0, 90.0, 200.0])
def test_two_mirrored_empty_valves_are_one_shell(degrees: float) -> None:
    one, other = (marked(turned(points, degrees)) for points in (BELOW, ABOVE))
    (joined,) = with_open_shells_whole([one, replace(other, score=0.9)], PICTURE)
    assert joined.flags == {flags.MERGED.key, flags.CLUMP.key}
    assert (joined.score, joined.stage, joined.proposal) == (0.9, one.stage, EMPTY)
    assert joined.area_um2 == pytest.approx(one.area_um2 + other.area_um2, rel=0.04)
    assert (joined.x_px, joined.y_px) == pytest.approx((300, 200), abs=1)


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (marked(BELOW), marked(0.96 * ABOVE, ALIVE)),
        (marked(BELOW, ALIVE), marked(ABOVE, ALIVE)),
        (marked(BELOW), marked(ABOVE, None)),
        (marked(BELOW, UNSURE), marked(0.96 * ABOVE, UNSURE)),
        (marked(BELOW), marked(0.9 * ABOVE)),
        (marked(BELOW), marked(ABOVE - (0.0, 6.0))),
        (marked(BELOW), marked(ABOVE * (0.72, 1.39) - (0.0, 1.0))),
        (marked(BELOW), marked(turned(BELOW - (0.0, 35.0), 90.0) - (0.0, 50.0))),
        (marked(BELOW), marked(BELOW * (1.0, 0.98))),
        (marked(BELOW), marked(ABOVE - (35.0, -5.0))),
    ],
    ids=[
        "one is alive", "both are", "nothing is said", "both unsure", "shorter", "apart",
        "as long, but across", "turned", "seen twice", "beside the hinge",
    ],
)  # fmt: skip
def test_two_bodies_that_touch_stay_two(one: Mark, other: Mark) -> None:
    assert with_open_shells_whole([one, other], PICTURE) == [one, other]


@pytest.mark.parametrize(
    ("told", "is_said"),
    [((EMPTY, ALIVE), EMPTY), ((UNSURE, ALIVE), UNSURE), ((UNSURE, UNSURE), UNSURE)],
    ids=["one is alive", "the other unsure", "both unsure"],
)
def test_mirror_images_in_every_way_are_one_shell_whatever_they_look_like(
    told: tuple[Proposal, Proposal], is_said: Proposal
) -> None:
    """As the pages of a book; where none looks empty, nothing is proposed."""
    one, other = (marked(points, each) for points, each in zip((BELOW, ABOVE), told, strict=True))
    (joined,) = with_open_shells_whole([one, other], PICTURE)
    assert joined.proposal == is_said
    assert joined.flags == {flags.MERGED.key, flags.CLUMP.key}


@pytest.mark.parametrize(
    "other",
    [0.96 * ABOVE, turned(ABOVE, 24.0), ABOVE * (1.0, 0.8)],
    ids=["a little shorter", "askew", "flatter"],
)
def test_what_is_no_mirror_image_in_every_way_must_look_empty(other: Floats) -> None:
    assert len(with_open_shells_whole([marked(BELOW), marked(other)], PICTURE)) == 1
    assert len(with_open_shells_whole([marked(BELOW), marked(other, ALIVE)], PICTURE)) == 2


def test_one_valve_may_be_told_badly() -> None:
    for told in (Proposal("live", 0.7), Proposal(reason="unsure")):
        assert len(with_open_shells_whole([marked(BELOW), marked(ABOVE, told)], PICTURE)) == 1


CUT = Proposal(reason="cut")


def test_a_shell_that_the_border_cuts_is_one_where_one_valve_is_whole() -> None:
    """Half of the upper valve is beyond the picture."""
    up = np.array([0.0, -168.0])
    one, other = marked(BELOW + up), marked(ABOVE + up, CUT, flags.CUT.key)
    assert other.area_um2 < 0.6 * one.area_um2
    (joined,) = with_open_shells_whole([other, one], PICTURE)
    assert joined.is_cut
    assert min(y for _, y in joined.outline_px) == pytest.approx(-0.5, abs=0.2)


def test_what_the_border_leaves_must_be_the_mirror_image_as_well() -> None:
    up = np.array([0.0, -168.0])
    narrow = marked(ABOVE * (0.6, 1.0) + up, CUT, flags.CUT.key)
    assert len(with_open_shells_whole([marked(BELOW + up), narrow], PICTURE)) == 2
    far = np.array([-300.0, 0.0])
    cut = [marked(points + far, CUT, flags.CUT.key) for points in (BELOW, ABOVE)]
    assert len(with_open_shells_whole(cut, PICTURE)) == 2


def test_each_valve_has_one_partner_and_the_others_keep_their_places() -> None:
    """Of three in a row, the two that mirror each other best are one shell."""
    third = marked(np.column_stack([VALVE[:, 0], -70 - 0.8 * VALVE[:, 1]]))
    alone = marked(0.5 * BELOW + (-200.0, 60.0), ALIVE)
    kept = with_open_shells_whole([third, marked(ABOVE), marked(BELOW), alone], PICTURE)
    assert [mark.mark_id for mark in kept] == [1, 2, 3]
    assert [flags.MERGED.key in mark.flags for mark in kept] == [False, True, False]


def test_nothing_found_joins_nothing() -> None:
    assert with_open_shells_whole([], PICTURE) == []


def test_doubt_stays_where_both_valves_are_doubtful() -> None:
    doubtful = flags.DOUBTFUL.key
    for one, other, stays in (((), (doubtful,), False), ((doubtful,), (doubtful,), True)):
        pair = [marked(BELOW, EMPTY, *one), marked(ABOVE, EMPTY, *other)]
        (joined,) = with_open_shells_whole(pair, PICTURE)
        assert (doubtful in joined.flags) == stays


def test_a_picture_without_a_scale_is_refused() -> None:
    with pytest.raises(ValueError, match="scale"):
        with_open_shells_whole([marked(BELOW), marked(ABOVE)], replace(PICTURE, um_per_px=None))
