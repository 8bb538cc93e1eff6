"""Through the eyepiece: what the rim cuts is found, flagged, and counted by the rule for rims."""

from __future__ import annotations

from counter.domain.catalogue import species
from counter.domain.edges import EdgeRule, picture_frame
from counter.domain.progress import Silent
from counter.domain.species import TargetKind, target_of
from counter.imaging.detect import detect
from counter.imaging.draw.scene import draw_scene
from counter.imaging.draw.settings import Group, Kind, Light, SceneSettings
from counter.imaging.photo import Photo
from tests.accuracy.scenes import OYSTER

SIDE = 520
SLIDE = SceneSettings(
    width_px=SIDE + 40,
    height_px=SIDE,
    um_per_px=2.2,
    population=(Group(Kind.UMBO, 12),),
    light=Light(round_field=0.9, uneven=0.2),
    beyond_um=200.0,
)
FIELDS = 5


def test_bodies_on_the_rim_are_counted_as_often_as_they_should() -> None:
    """Counting all that is found is a fifth too much where larvae are large and the field small."""
    target = target_of(species(OYSTER), TargetKind.LARVAE)
    frame = picture_frame(SLIDE.width_px, SLIDE.height_px)
    found = counted = right = cut = 0
    for seed in range(FIELDS):
        drawn = draw_scene(SLIDE, seed)
        seen = detect(Photo(drawn.pixels).with_scale(drawn.um_per_px), target, Silent())
        assert seen.rim is not None
        rim = seen.rim
        for mark in seen.marks:
            assert mark.is_cut == rim.cuts(mark.outline_px)
            counted += rim.is_counted(mark.outline_px, frame, EdgeRule.TOP_LEFT)
        found += len(seen.marks)
        cut += sum(mark.is_cut for mark in seen.marks)
        right += sum(
            rim.is_counted(body.outline_px, frame, EdgeRule.TOP_LEFT) for body in drawn.larvae
        )
    assert cut >= 12
    assert abs(counted - right) <= 2
    assert found >= right + 5
