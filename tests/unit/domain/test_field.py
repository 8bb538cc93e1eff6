"""Fields: pictures and tallied squares."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.domain.edges import EdgeRule, Frame, is_counted, picture_frame
from counter.domain.field import PictureField
from counter.domain.flags import CUT
from counter.domain.mark import Mark
from counter.domain.picture import Picture
from counter.domain.ruled import RuledGrid
from counter.domain.scale import Scale
from counter.domain.tally_field import TalliedSquare, TallyField
from tests.hatchery import mark, picture

RULES = st.sampled_from(list(EdgeRule))
STAGES = st.sampled_from(["d-hinge", "umbo", "eyed"])


@st.composite
def fields(draw: st.DrawFn) -> PictureField:
    """A picture with larvae here and there, some across its borders."""
    places = draw(
        st.lists(
            st.tuples(st.floats(-5, 165), st.floats(-5, 95), STAGES, st.booleans()), max_size=8
        )
    )
    marks: list[Mark] = []
    for number, (x, y, stage, cut) in enumerate(places, start=1):
        one = mark(number, 70.0 + x, x_px=x, y_px=y, stage=stage)
        marks.append(replace(one, flags=frozenset({CUT.key})) if cut else one)
    return picture(*marks)


@given(fields(), RULES)
def test_a_mark_counts_unless_it_is_cut_and_the_rule_leaves_it_out(
    field: PictureField, rule: EdgeRule
) -> None:
    """Whole larvae always count; cut ones by the edge rule; each one once."""
    frame = picture_frame(160, 90)
    expected = [
        entry
        for entry in field.marks.values()
        if not entry.is_cut or is_counted(entry.outline_px, frame, rule)
    ]
    assert field.counted(rule) == tuple(expected)
    assert all(field.is_counted(entry, rule) for entry in expected)


@given(fields(), RULES)
def test_stages_add_up_to_what_is_counted(field: PictureField, rule: EdgeRule) -> None:
    """Every counted mark is in exactly one stage."""
    by_stage = field.count_by_stage(rule)
    assert sum(by_stage.values()) == len(field.counted(rule))
    assert all(count > 0 for count in by_stage.values())


@given(fields(), fields(), RULES)
def test_what_was_worked_out_is_never_carried_over_to_other_marks(
    one: PictureField, other: PictureField, rule: EdgeRule
) -> None:
    """A field with other marks counts those, also after the first was asked."""
    one.counted(rule)
    changed = replace(one, marks=other.marks)
    assert changed.counted(rule) == other.counted(rule)
    assert changed == replace(other, field_id=one.field_id)


@given(fields(), fields(), fields(), RULES, st.data())
def test_a_correction_counts_what_all_marks_would_count(
    field: PictureField, put: PictureField, later: PictureField, rule: EdgeRule, data: st.DataObject
) -> None:
    """What is carried over is what counting anew gives, after two corrections too: marks taken
    away, replaced and added, of those that the machine found and of others."""
    corrected = replace(field, found=field.marks)
    for new in (put.marks, later.marks):
        corrected.count_by_class(rule)
        corrected.count_by_told(rule)
        corrected.compared(rule)
        corrected.lengths_um(rule)
        gone = (
            data.draw(st.sets(st.sampled_from(sorted(corrected.marks)))) if corrected.marks else ()
        )
        keep = {key: one for key, one in corrected.marks.items() if key not in gone}
        corrected = corrected.with_marks(gone, new)
        anew = replace(corrected, marks={**keep, **new})
        assert list(corrected.marks.items()) == list(anew.marks.items())
        assert corrected.count_by_class(rule) == anew.count_by_class(rule)
        assert corrected.count_by_told(rule) == anew.count_by_told(rule)
        assert corrected.compared(rule) == anew.compared(rule)
        assert corrected.counted(rule) == anew.counted(rule)
        assert corrected.lengths_um(rule) == anew.lengths_um(rule)


def test_a_mark_that_is_not_there_cannot_go() -> None:
    """It is a mistake of the caller's, not to be passed over."""
    with pytest.raises(KeyError):
        picture(mark(1)).with_marks((2,), {})


@given(fields())
def test_each_rule_has_its_own_count(field: PictureField) -> None:
    """Asking for one rule does not change what another counts."""
    fresh = {rule: replace(field).counted(rule) for rule in EdgeRule}
    assert {rule: field.counted(rule) for rule in EdgeRule} == fresh


def test_classes_of_a_picture_are_stages_with_their_states() -> None:
    """As they would be tallied."""
    field = picture(mark(1), replace(mark(2), state="dead"), replace(mark(3), state="dead"))
    assert field.count_by_class(EdgeRule.TOP_LEFT) == {"d-hinge": 1, "d-hinge, dead": 2}
    assert field.count_by_stage(EdgeRule.TOP_LEFT) == {"d-hinge": 3}


SQUARES = st.lists(st.dictionaries(STAGES, st.integers(0, 50)), min_size=1, max_size=6)


@given(SQUARES, st.booleans())
def test_only_squares_that_are_done_count(squares: list[dict[str, int]], finished: bool) -> None:
    """Counts and area are those of the same squares, so that a density is never off by one."""
    field = TallyField(1, "square", 0.25, tuple(map(TalliedSquare, squares)), finished)
    done = squares if finished else squares[:-1]
    assert field.area_mm2 == 0.25 * len(done)
    total = sum(sum(square.values()) for square in done)
    assert sum(field.count_by_stage(EdgeRule.TOP_LEFT).values()) == total
    assert field.count_by_class(EdgeRule.TOP_LEFT) == field.count_by_stage(EdgeRule.TOP_LEFT)
    assert field.count_by_stage(EdgeRule.BOTTOM_RIGHT) == field.count_by_stage(EdgeRule.TOP_LEFT)


@pytest.mark.parametrize(
    ("file", "page", "name"),
    [
        ("field-01.png", 0, "field-01.png"),
        ("/bench/tank 3/field-01.png", 0, "field-01.png"),
        ("C:\\bench\\stack.tif", 2, "stack.tif · page 3"),
    ],
)
def test_a_picture_is_called_by_its_file_and_page(file: str, page: int, name: str) -> None:
    """The folder is left out; pages count from 1 for people."""
    assert Picture(file, page, 160, 90, Scale(1.25, "given"), 0.0225).name == name


def test_a_picture_knows_the_area_that_can_be_seen() -> None:
    """160 × 90 pixels of 1.25 µm."""
    assert picture().area_mm2 == pytest.approx(160 * 90 * 1.25**2 / 1e6)


def test_what_a_person_changed_is_told_from_what_the_machine_counted() -> None:
    """Taken away, placed, and moved: a moved mark is still the machine's."""
    field = picture(mark(1), mark(2), mark(3))
    found = replace(field, found=field.marks)
    assert not found.is_corrected
    moved = {**found.marks, 2: mark(2, x_px=50.0)}
    assert not replace(found, marks=moved).is_corrected
    marks = {key: one for key, one in moved.items() if key != 1} | {9: mark(9), 10: mark(10)}
    corrected = replace(found, marks=marks)
    assert corrected.is_corrected
    compared = corrected.compared(EdgeRule.TOP_LEFT)
    assert (compared.found, compared.kept, compared.counted) == (3, 2, 4)
    assert (compared.removed, compared.added) == (1, 2)


def test_a_picture_that_was_never_corrected_is_all_the_machine_s() -> None:
    """Also one of which the first count was not kept."""
    field = picture(mark(1), mark(2))
    assert not field.is_corrected
    compared = field.compared(EdgeRule.TOP_LEFT)
    assert (compared.removed, compared.added, compared.counted) == (0, 0, 2)


def test_lengths_leave_out_what_a_border_cuts() -> None:
    """And are worked out for each rule."""
    field = picture(mark(1, 72.0), replace(mark(2, 80.0), flags=frozenset({CUT.key})))
    assert list(field.lengths_um(EdgeRule.TOP_LEFT)) == [72.0]
    assert field.lengths_um(EdgeRule.TOP_LEFT) is field.lengths_um(EdgeRule.TOP_LEFT)


@pytest.mark.parametrize("rule", list(EdgeRule))
def test_the_edge_rule_holds_at_the_frame_of_what_is_shown(rule: EdgeRule) -> None:
    """Bands round the picture: a body on the upper border of what they leave is counted where the
    top counts, and left out where the bottom does; one that nothing cuts always counts."""
    inner = Frame(19.5, 9.5, 139.5, 69.5)
    whole = mark(1, x_px=80.0, y_px=40.0)
    outline = ((70.5, 9.5), (89.5, 9.5), (80.0, 25.0))
    cut = replace(mark(2, x_px=80.0, y_px=12.0), outline_px=outline, flags=frozenset({CUT.key}))
    field = picture(whole, cut)
    banded = replace(field, picture=replace(field.picture, shown=inner))
    assert field.picture.frame == picture_frame(160, 90)
    assert banded.picture.frame == inner
    assert banded.is_counted(whole, rule)
    assert banded.is_counted(cut, rule) == rule.value.startswith("top")
    assert field.is_counted(cut, rule)


def test_squares_that_reach_into_a_band_are_not_whole() -> None:
    """Rulings every 30 pixels: of the squares that the whole picture shows, those within."""
    grid = RuledGrid(160, 90, 0.0, 30.0, 0.1, 8, upright_px=0.0, level_px=0.0)
    field = picture(mark(1, x_px=75.0, y_px=45.0))
    plain = replace(field, picture=replace(field.picture, grid=grid))
    banded = replace(plain, picture=replace(plain.picture, shown=Frame(-0.5, -0.5, 159.5, 74.5)))
    assert len(plain.count_by_square(EdgeRule.TOP_LEFT)) == 5 * 2
    assert len(banded.count_by_square(EdgeRule.TOP_LEFT)) == 5 * 2
    shallow = replace(plain, picture=replace(plain.picture, shown=Frame(-0.5, 20.5, 159.5, 89.5)))
    assert len(shallow.count_by_square(EdgeRule.TOP_LEFT)) == 5
