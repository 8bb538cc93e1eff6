"""What two counts say, in sentences."""

from __future__ import annotations

import pytest

from counter.statistics.comparison import Side, compare
from counter.statistics.comparison_words import Question, comparison_words


def said(first: int, second: int, question: Question = Question.CHANGE) -> str:
    """All that is said of two single fillings of 1 mL, with ordinary spaces."""
    found = compare(Side((first,), (1.0,)), Side((second,), (1.0,)))
    return " ".join(comparison_words(found, question)).replace("\u202f", " ")


def test_two_hundred_against_a_hundred_and_eighty_shows_no_change() -> None:
    """The plain sentence, the limits, and what it would take."""
    words = said(200, 180)
    assert words.startswith("200 against 180 does not show a change: the second is 0.900 times")
    assert "95 % limits 0.732 to 1.11, p = 0.33" in words
    assert "a loss of 10 %, count about 1 500 each time" in words


def test_a_change_that_is_shown_needs_no_more_counting() -> None:
    """One sentence."""
    assert said(200, 100).startswith("200 against 100 shows a change: the second is 0.500 times")
    assert "count about" not in said(200, 100)


@pytest.mark.parametrize("question", [Question.SURVIVAL, Question.YIELD, Question.LOSS])
def test_more_than_all_is_never_called_a_survival(question: Question) -> None:
    """By chance: read as no loss; beyond chance: something is wrong. Limits in both."""
    by_chance = said(190, 200, question)
    assert "105 % (95 % limits 85.9 % to 129 %" in by_chance
    assert "read it as no loss shown" in by_chance
    wrong = said(180, 240, question)
    assert "133 % (95 % limits 109 % to 163 %" in wrong
    assert "is wrong" in wrong
    for words in (by_chance, wrong):
        assert not words.startswith(("Survival", "Yield", "Loss"))


def test_a_part_is_a_percentage_with_limits() -> None:
    """Survival, yield and loss; no loss shown is said in the same sentence."""
    assert said(110, 90, Question.SURVIVAL).startswith("Survival 81.8 % (95 % limits 61.2 %")
    assert "no loss is shown" in said(110, 90, Question.SURVIVAL)
    assert said(1000, 500, Question.YIELD).startswith("Yield 50.0 % (")
    assert said(1000, 500, Question.LOSS).startswith("Loss 50.0 % (95 % limits 44.3 % to 55.2 %")


def test_two_readers_who_differ_look_together() -> None:
    """447 against 430 does not show it, 447 against 300 does."""
    assert "does not show that the readers differ" in said(447, 430, Question.READERS)
    assert "Look at the same field together" in said(447, 300, Question.READERS)


def test_nothing_counted_first_gives_no_ratio() -> None:
    """No infinite number is shown."""
    assert "there is no ratio" in said(0, 12)
    assert "nothing to compare" in said(0, 0)


def test_scatter_and_missing_limits_are_said() -> None:
    """Widened limits name the scatter; no limits are called so."""
    poor = compare(Side((0, 9), (1.0, 1.0)), Side((20, 30), (1.0, 1.0)))
    for question in (Question.CHANGE, Question.LOSS):
        words = " ".join(comparison_words(poor, question))
        assert "times as much as chance alone would have it" in words
        assert "inf" not in words
    assert "these counts set no limits" in " ".join(comparison_words(poor))
    poorer = compare(Side((0, 9), (1.0, 1.0)), Side((1, 7), (1.0, 1.0)))
    assert "these counts set no limits to it" in comparison_words(poorer, Question.LOSS)[0]
