"""Which part makes the limits wide, and how the fillings agree, in words."""

from __future__ import annotations

import pytest

from counter.domain.uncertainty import UNKNOWN_VOLUMES, VolumeUncertainty
from counter.statistics.budget_words import HEADS, budget_cells, budget_words
from counter.statistics.estimate import estimate_counts
from counter.statistics.result import Estimate


def of(counts: list[int], volumes: VolumeUncertainty = UNKNOWN_VOLUMES) -> Estimate:
    """The estimate of counts in 0.25 mL each."""
    return estimate_counts(counts, [0.25] * len(counts), vessel_ml=1000.0, volumes=volumes)


def test_the_largest_part_stands_first_and_the_shares_add_up() -> None:
    """100 counted: 10 %; the vessel 2 %: 96 and 4 parts of the variance in a hundred."""
    cells = budget_cells(of([100], VolumeUncertainty(vessel=0.02)))
    assert [len(row) for row in cells] == [len(HEADS)] * 2
    assert cells[0][0] == "count"
    assert cells[1] == ("vessel", "2.00", "3.8")


@pytest.mark.parametrize(
    ("vessel", "said"), [(0.01, "The count matters most"), (0.3, "The vessel matters most")]
)
def test_the_part_that_matters_is_named(vessel: float, said: str) -> None:
    """What to do follows from it."""
    assert budget_words(of([100], VolumeUncertainty(vessel=vessel)))[0].startswith(said)


def test_unknown_volumes_are_said_to_be_unknown() -> None:
    """No table is made up; the card is named."""
    assert "those of the count alone" in budget_words(of([100]))[0]


@pytest.mark.parametrize(
    ("counts", "said"),
    [
        ([100, 104, 93], "as chance would have it"),
        ([112, 80, 92], "perhaps clumped"),
        ([100, 200, 50], "clumped"),
        ([1000, 1000, 1000, 1000], "too regular"),
        ([1, 0], "too few to say"),
    ],
)
def test_the_agreement_of_the_fillings_is_said_in_words(counts: list[int], said: str) -> None:
    """Even, as chance would have it, (perhaps) clumped, too regular: with χ² and probability."""
    words = budget_words(of(counts))[-1]
    assert words.startswith(f"The fillings are {said} (χ² = ")
    assert words.endswith(".")


def test_nothing_counted_says_nothing() -> None:
    """None counted in one filling: no part and no agreement."""
    assert budget_words(of([0])) == ()
