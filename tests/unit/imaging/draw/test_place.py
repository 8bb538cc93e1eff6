"""Objects lie apart, or against one another, where the settings want them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.random import default_rng
from scipy.spatial.distance import cdist

from counter.domain.edges import EdgeRule, is_counted, picture_frame
from counter.imaging.draw.place import Placed, field_circle, place
from counter.imaging.draw.settings import Group, Kind, Light, SceneSettings
from counter.imaging.draw.things import Thing, make

SETTINGS = SceneSettings(900, 700, 1.0, (Group(Kind.D_HINGE, 20),), apart_um=15.0)


def things(count: int) -> list[Thing]:
    """D-hinge larvae of 70 µm."""
    return [make(Kind.D_HINGE, 70.0, default_rng(seed)) for seed in range(count)]


def gaps(placed: list[Placed]) -> list[float]:
    """The distance of each outline to the nearest other one, in px."""
    outlines = [entry.outline_px(1.0) for entry in placed]
    return [
        min(float(cdist(own, other).min()) for other in outlines if other is not own)
        for own in outlines
    ]


def test_objects_keep_the_gap() -> None:
    """Without crowding every two outlines are at least the gap apart."""
    placed = place(things(20), SETTINGS, default_rng(1))
    assert min(gaps(placed)) >= 15.0


def test_crowded_objects_touch() -> None:
    """With crowding most outlines reach their neighbour's."""
    settings = replace(SETTINGS, crowding=1.0, overlap=0.05)
    placed = place(things(12), settings, default_rng(2))
    touching = [gap for gap in gaps(placed) if gap < 3.0]
    assert len(touching) >= 10


def test_a_full_slide_is_drawn_all_the_same() -> None:
    """Where no room is left, the roomiest place is taken."""
    placed = place(things(30), replace(SETTINGS, width_px=200, height_px=160), default_rng(3))
    assert len(placed) == 30


def test_a_round_field_holds_all_objects() -> None:
    """Middles, or whole objects, lie in the circle."""
    settings = replace(SETTINGS, light=Light(round_field=0.6), keep_inside=True)
    circle = field_circle(settings)
    assert circle is not None
    for entry in place(things(8), settings, default_rng(4)):
        x, y = entry.outline_px(1.0).T
        assert np.hypot(x - circle[0], y - circle[1]).max() <= circle[2]


def test_a_full_field_has_no_circle() -> None:
    """Without a round field the whole picture is seen."""
    assert field_circle(SETTINGS) is None


def test_in_focus_everything_lies_at_the_focus() -> None:
    """No defocus, no height; litter floats farther away than larvae."""
    flat = place(things(5), replace(SETTINGS, defocus_um=0.0), default_rng(5))
    assert {entry.height_um for entry in flat} == {0.0}
    mixed = things(15) + [make(Kind.ALGA, 8.0, default_rng(seed)) for seed in range(60)]
    deep = place(mixed, replace(SETTINGS, defocus_um=10.0), default_rng(6))
    spread = {
        kind: np.std([entry.height_um for entry in deep if entry.thing.kind is kind])
        for kind in (Kind.D_HINGE, Kind.ALGA)
    }
    assert spread[Kind.ALGA] > 1.5 * spread[Kind.D_HINGE]


def test_a_slide_that_goes_on_is_counted_without_bias() -> None:
    """With middles beyond the border the edge rule counts, on average, density × area.

    200 pictures; the mean number counted lies within 4 standard errors of what the density says.
    """
    settings = SceneSettings(260, 190, 1.0, beyond_um=60.0, apart_um=-1e3)
    larvae = things(12)
    expected = 12 * (260 * 190) / ((260 + 119) * (190 + 119))
    frame = picture_frame(260, 190)
    counts = [
        sum(
            is_counted([tuple(p) for p in entry.outline_px(1.0)[::12]], frame, EdgeRule.TOP_LEFT)
            for entry in place(larvae, settings, default_rng(seed))
        )
        for seed in range(200)
    ]
    error = np.std(counts) / np.sqrt(len(counts))
    assert abs(np.mean(counts) - expected) < 4 * error
