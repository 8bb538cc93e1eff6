"""Two vessels against each other: totals where both are known, else densities, and it is said."""

from __future__ import annotations

import pytest

from counter.domain.house import House
from counter.domain.sample import Dilution
from counter.statistics.comparison_words import Question
from counter.statistics.vessels import Vessel, compare_vessels

BEFORE = Vessel((112, 98, 103), (0.25, 0.25, 0.25), Dilution(1, 9), 760.0)
AFTER = Vessel((88, 91), (0.25, 0.25), Dilution(1, 9), 600.0)


def test_totals_are_compared_where_both_vessels_are_known() -> None:
    """179 ÷ 0.5 × 600 against 313 ÷ 0.75 × 760: the dilution is the same and cancels."""
    compared = compare_vessels(BEFORE, AFTER)
    assert compared.of_totals
    assert compared.found.ratio == pytest.approx((179 / 0.5 * 600) / (313 / 0.75 * 760))
    words = compared.words(Question.SURVIVAL)
    assert words[0].startswith("Survival 67.7 %")
    assert "The totals of the two vessels are compared." in words


def test_the_sum_stands_beneath_as_on_paper() -> None:
    """Each side shows its counts, its volume, its dilution and its vessel."""
    first, second = compare_vessels(BEFORE, AFTER).words(Question.CHANGE)[-2:]
    assert first.replace("\u202f", " ") == (
        "First: (112 + 98 + 103) ÷ 0.75 mL × 10 (dilution 1+9) × 760 mL = 3 171 700"
    )
    assert second.replace("\u202f", " ").endswith("× 600 mL = 2 148 000")


@pytest.mark.parametrize(
    ("first", "second", "whose"),
    [(None, None, "either vessel"), (None, 600.0, "the first"), (760.0, None, "the second")],
)
def test_without_a_vessel_densities_are_compared_and_that_is_said(
    first: float | None, second: float | None, whose: str
) -> None:
    """A survival by densities is right only in equal volumes."""
    one = Vessel((100,), (0.5,), volume_ml=first)
    two = Vessel((90,), (0.25,), volume_ml=second)
    compared = compare_vessels(one, two)
    assert not compared.of_totals
    assert compared.found.ratio == pytest.approx(360 / 200)
    assert whose in " ".join(compared.words(Question.SURVIVAL))
    assert "The densities per mL are compared." in compared.words(Question.READERS)


def test_the_plain_sentence_of_two_counts() -> None:
    """200 against 180 does not show a change."""
    compared = compare_vessels(Vessel((200,), (1.0,)), Vessel((180,), (1.0,)))
    assert compared.words(Question.CHANGE)[0].startswith("200 against 180 does not show a change")


def test_nothing_looked_at_is_told_from_none_found() -> None:
    """An empty vessel was counted; one without fillings was not."""
    assert not Vessel((), ()).is_counted
    assert Vessel((0,), (1.0,)).is_counted


def test_a_change_between_single_fillings_says_that_it_relies_on_even_mixing() -> None:
    """Not where none is shown, nor where replicates or a history tell of the mixing."""
    one, less = Vessel((500,), (1.0,)), Vessel((300,), (1.0,))
    two = Vessel((150, 148), (0.5, 0.5))

    def said(second: Vessel, house: House | None = None) -> bool:
        words = compare_vessels(one, second, house=house).words(Question.LOSS)
        return "This relies on even mixing" in " ".join(words)

    assert said(less)
    assert not said(Vessel((490,), (1.0,)))
    assert not said(two)
    assert not said(less, House(40.0, 40, 20))
