"""Fillings and samples: counts and volumes that belong together."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from counter.domain.edges import EdgeRule
from counter.domain.sample import Dilution, Filling, Sample
from counter.domain.tally_field import TalliedSquare, TallyField
from counter.errors import UsageError
from tests.hatchery import CHAMBER, LARVAE, WELL, mark, picture

PARTS = st.floats(0.001, 1000.0)


def tallied(*counts: int) -> TallyField:
    """Squares of 1 mm that are done."""
    squares = tuple(TalliedSquare({"umbo": count}) for count in counts)
    return TallyField(1, "square", 1.0, squares, finished=True)


@given(PARTS, st.floats(0.0, 1000.0))
def test_a_dilution_thins_by_all_parts_over_the_parts_of_sample(
    sample: float, water: float
) -> None:
    """(A + B) / A, never below 1."""
    factor = Dilution(sample, water).factor
    assert factor == pytest.approx(1 + water / sample)
    assert factor >= 1


def test_without_a_dilution_nothing_is_thinner() -> None:
    """The default is undiluted."""
    assert Dilution().factor == 1.0
    assert Dilution(1, 9).factor == 10.0


@given(st.lists(st.lists(st.integers(0, 20), min_size=1, max_size=4), max_size=5))
def test_a_filling_adds_up_counts_and_volumes_of_its_fields(fields: list[list[int]]) -> None:
    """Count and volume come from the same fields."""
    filling = Filling(1, tuple(tallied(*counts) for counts in fields))
    assert filling.count(EdgeRule.TOP_LEFT) == sum(map(sum, fields))
    assert filling.volume_ul(CHAMBER) == pytest.approx(sum(map(len, fields)) * 1.0)


def test_pictures_and_squares_of_one_filling_add_up() -> None:
    """A filling may be looked at in both ways."""
    field = picture(mark(1, stage="eyed"), mark(2, stage="umbo"))
    filling = Filling(1, (field, tallied(3)))
    assert filling.count_by_stage(EdgeRule.TOP_LEFT) == {"eyed": 1, "umbo": 4}
    assert filling.volume_ul(CHAMBER) == pytest.approx(field.area_mm2 + 1.0)


def test_a_filling_that_nobody_looked_at_has_no_volume() -> None:
    """Nothing seen is nothing counted, not a zero."""
    assert Filling(1).volume_ul(CHAMBER) == 0.0
    assert Filling(1, aliquot_ul=250.0).volume_ul(WELL) == 0.0


def test_a_whole_volume_is_its_aliquot_or_its_certificate() -> None:
    """What was pipetted in stands over what the vessel holds; neither is refused with a remedy."""
    filling = Filling(1, (picture(mark(1)),))
    assert replace(filling, aliquot_ul=250.0).volume_ul(WELL.certified(400.0)) == 250.0
    assert filling.volume_ul(WELL.certified(400.0)) == 400.0
    with pytest.raises(UsageError, match="type the volume"):
        filling.volume_ul(WELL)


def test_a_sample_hands_out_its_pictures_and_what_counts_on_them() -> None:
    """In order of fillings and fields; tallies have no marks."""
    first, second = picture(mark(1), field_id=1), picture(mark(1), mark(2), field_id=3)
    fillings = (Filling(1, (first, tallied(3))), Filling(2, (second,)))
    sample = Sample(LARVAE, CHAMBER, fillings=fillings)
    assert list(sample.picture_fields()) == [first, second]
    assert [entry.mark_id for entry in sample.counted_marks()] == [1, 1, 2]
