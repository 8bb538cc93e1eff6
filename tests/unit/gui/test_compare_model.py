"""What is typed beside the open sample."""

from __future__ import annotations

from dataclasses import replace

import pytest

from counter.domain.sample import Filling, Sample
from counter.errors import UsageError
from counter.gui.compare_model import (
    TYPE_SECOND,
    TYPE_SHARES,
    Other,
    Typed,
    compared,
    shares_compared,
)
from counter.statistics.comparison_words import Question
from counter.statistics.shares import compare_shares
from counter.statistics.vessels import Vessel
from tests.hatchery import CHAMBER, LARVAE, mark, picture


def test_a_typed_count_is_read_with_its_water() -> None:
    """Counts, volume of each, dilution, vessel; a lost count is left out."""
    vessel = Typed("112,98,x", "0.25 mL", "1+9", "20 L").read()
    assert list(vessel.counts) == [112, 98]
    assert (vessel.dilution.factor, vessel.volume_ml) == (10.0, 20_000.0)


def test_what_may_be_empty_is_empty() -> None:
    """Undiluted, and a vessel that nobody knows."""
    typed = Typed("5", "1 mL")
    assert typed.is_begun
    assert (typed.read().dilution.factor, typed.read().volume_ml) == (1.0, None)
    assert not Typed("5").is_begun


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (Typed("5", "1"), "volume of each"),
        (Typed("5", "1 mL", "1:10"), "other dilution"),
        (Typed("5", "1 mL", "", "3"), "other vessel's volume"),
        (Typed("five", "1 mL"), "other count"),
    ],
)
def test_the_line_that_cannot_be_read_is_named(typed: Typed, said: str) -> None:
    """So that it is found among the others."""
    with pytest.raises(UsageError, match=said):
        typed.read()


def test_shares_are_answered_by_the_function_of_the_command() -> None:
    """Words and working; a hint while nothing is typed; the line that is wrong by its name."""
    found = compare_shares((56, 70), (48, 80), 0.9)
    assert shares_compared("56/70", "48/80", 0.9) == (*found.words(), *found.working())
    assert shares_compared("", "", 0.95) == (TYPE_SHARES,)
    alone = shares_compared("56/70", "", 0.95)
    one = found.first.typed((56, 70), 0.95)
    assert alone == (one.sentence(0.95), TYPE_SECOND, *one.working(0.95))
    with pytest.raises(UsageError, match="first share is empty"):
        shares_compared("", "56/70", 0.95)


def test_live_and_dead_beside_live_only_is_said_of_two_samples() -> None:
    """Whichever of the two is open; typed counts say nothing of it."""
    dead = replace(mark(1), state="dead")
    mixed, bare = (
        Sample(LARVAE, CHAMBER, fillings=(Filling(1, (picture(one, mark(2), field_id=7),)),))
        for one in (dead, mark(1))
    )
    first = Other("before", Vessel.of(mixed), is_first=True, sample=mixed)
    assert any("none is marked as dead" in line for line in compared(bare, first, Question.CHANGE))
    after = replace(first, is_first=False)
    assert any(
        "the dead are counted along" in line for line in compared(bare, after, Question.CHANGE)
    )
    typed = replace(first, sample=None)
    assert not any("dead" in line for line in compared(bare, typed, Question.CHANGE))
