"""The story of the demo hatchery is plausible."""

from __future__ import annotations

from itertools import pairwise

import pytest

from counter.commands.hatchery.story import STORY, mean_length_um


@pytest.mark.practice
@pytest.mark.parametrize(("day", "low", "high"), [(2, 60, 70), (6, 160, 180), (9, 250, 275)])
def test_larvae_have_the_length_of_their_age(day: int, low: float, high: float) -> None:
    """Eastern oyster: day 2, 60-70 µm; day 6, 160-180 µm; day 9, 250-275 µm (common practice)."""
    assert low <= mean_length_um(day) <= high


def test_numbers_never_rise_and_shares_are_whole() -> None:
    """Larvae only get fewer from count to count, and the stages of a count add up to all."""
    for tank in STORY.tanks:
        for earlier, later in pairwise(tank.counts):
            assert later.alive < earlier.alive
            assert later.day > earlier.day
        for count in tank.counts:
            assert sum(count.shares.values()) == pytest.approx(1.0)


def test_the_week_has_a_week() -> None:
    """Two tanks, counts from day 0 to day 7."""
    assert len(STORY.tanks) == 2
    assert STORY.last_day == 7
