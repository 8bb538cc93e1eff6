"""Finding and replacing the parts of a sample."""

from __future__ import annotations

from dataclasses import replace

import pytest

from counter.domain.lookup import (
    field_of,
    filling_of,
    filling_of_field,
    marks_of,
    picture_of,
    tally_of,
    with_field,
    with_filling,
    with_new_field,
)
from counter.domain.sample import Filling, Sample
from counter.domain.tally_field import TallyField
from counter.errors import CounterError
from tests.hatchery import CHAMBER, LARVAE, mark, picture

PICTURE = picture(mark(4), field_id=1)
TALLY = TallyField(2, "1 mm square", 1.0)
SAMPLE = Sample(
    LARVAE, CHAMBER, fillings=(Filling(1, (PICTURE,)), Filling(3, (TALLY,))), name="tank 3"
)


def test_parts_are_found_by_their_ids() -> None:
    """Wherever they are."""
    assert field_of(SAMPLE, 2) is TALLY
    assert picture_of(SAMPLE, 1) is PICTURE
    assert tally_of(SAMPLE, 2) is TALLY
    assert filling_of(SAMPLE, 3) is SAMPLE.fillings[1]
    assert filling_of_field(SAMPLE, 2) is SAMPLE.fillings[1]
    assert marks_of(PICTURE, [4, 4]) == (PICTURE.marks[4],) * 2


def test_what_is_not_there_is_named() -> None:
    """With what may have happened to it."""
    with pytest.raises(CounterError, match="Field 9 is no longer in the sample “tank 3”"):
        field_of(SAMPLE, 9)
    with pytest.raises(CounterError, match="Filling 2 is no longer"):
        filling_of(SAMPLE, 2)
    with pytest.raises(CounterError, match=r"Mark 5 is no longer on field-01\.png"):
        marks_of(PICTURE, [4, 5])
    with pytest.raises(CounterError, match="Field 2 is a tally"):
        picture_of(SAMPLE, 2)
    with pytest.raises(CounterError, match=r"“field-01\.png” is a picture"):
        tally_of(SAMPLE, 1)


def test_replacing_a_part_leaves_the_others() -> None:
    """The very same objects, and the same order."""
    done = replace(TALLY, finished=True)
    changed = with_field(SAMPLE, done)
    assert changed.fillings[1].fields == (done,)
    assert changed.fillings[0] is SAMPLE.fillings[0]
    filled = with_filling(SAMPLE, Filling(1, (), 250.0))
    assert filled.fillings == (Filling(1, (), 250.0), SAMPLE.fillings[1])
    assert SAMPLE.fillings[1].fields == (TALLY,)


def test_a_new_field_goes_last_in_its_filling_and_makes_an_unknown_one() -> None:
    """So that a counted picture always finds a place."""
    more = picture(field_id=5)
    assert with_new_field(SAMPLE, 1, more).fillings[0].fields == (PICTURE, more)
    assert with_new_field(SAMPLE, 7, more).fillings[2] == Filling(7, (more,))
