"""A rule stated before counting on, and how far the count is with it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from counter.domain.sample import Filling, Sample
from counter.domain.tally_field import TalliedSquare, TallyField
from counter.statistics.stop_rule import counted_fillings, stop_words
from counter.statistics.working import working
from tests.hatchery import CHAMBER, LARVAE


def with_fillings(number: int) -> Sample:
    """A sample with so many fillings looked at, and an empty one that is not."""
    looked_at = tuple(
        Filling(k, (TallyField(k, "1 mm square", 1.0, (TalliedSquare({"umbo": 9}),), True),))
        for k in range(1, number + 1)
    )
    return Sample(LARVAE, CHAMBER, fillings=(*looked_at, Filling(number + 1)))


@pytest.mark.parametrize(
    ("done", "said"),
    [
        (2, "Stop rule: 3 fillings in all; 2 counted, 1 to go."),
        (3, "Stop rule: 3 fillings in all, all counted: stop here."),
        (5, "the first 3 stand"),
    ],
)
def test_the_rule_says_how_far_the_count_is(done: int, said: str) -> None:
    """Before it is met, when it is, and when somebody went on; also in the working."""
    sample = replace(with_fillings(done), stop_after=3)
    assert counted_fillings(sample) == done
    assert said in stop_words(sample)
    assert stop_words(sample) in working(sample)


def test_without_a_rule_nothing_is_said() -> None:
    """Neither beneath the total nor in the working."""
    assert stop_words(with_fillings(2)) == ""
    assert not any("Stop rule" in line for line in working(with_fillings(2)))
