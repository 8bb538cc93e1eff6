"""Slips that show beside the last sample of the same tank."""

from __future__ import annotations

from dataclasses import replace

import pytest

from counter.domain.sample import Dilution, Filling, Sample
from counter.domain.tally_field import TalliedSquare, TallyField
from counter.statistics.audit_last import Taken, far_from_last, since_last, vessel_changed
from counter.statistics.estimate import estimate_counts
from tests.hatchery import CHAMBER, EGGS, LARVAE, WELL, mark, picture


def tallied(
    *counts: int, tally_class: str = "d-hinge", vessel_ml: float | None = 20_000.0
) -> Sample:
    """A sample of fillings tallied by eye, one square of 100 mm² (100 µL) each."""
    fillings = tuple(
        Filling(
            number,
            (
                TallyField(
                    number, "strip", 100.0, (TalliedSquare({tally_class: count}),), finished=True
                ),
            ),
        )
        for number, count in enumerate(counts, start=1)
    )
    return Sample(LARVAE, CHAMBER, vessel_ml=vessel_ml, fillings=fillings)


def said(now: Sample, last: Sample, days: float = 2.0) -> str:
    """Everything that is said, with ordinary spaces."""
    words = since_last(Taken.of(now), Taken.of(last), days)
    return " ".join(words).replace("\u202f", " ")


def test_an_ordinary_step_needs_no_words() -> None:
    """A fifth lost in two days; and chance of either sign."""
    assert said(tallied(80, 84, 79), tallied(100, 98, 103)) == ""
    assert said(tallied(105), tallied(100)) == ""


def test_nothing_counted_is_compared_with_nothing() -> None:
    """An empty sample now or then."""
    empty = Sample(LARVAE, CHAMBER, vessel_ml=2.0)
    assert said(empty, tallied(100)) == ""
    assert said(tallied(100), empty) == ""


def test_three_times_the_last_total_is_said() -> None:
    """Larvae do not multiply; three times less may be a loss."""
    assert "about 3.2 times the last total of the tank; larvae do not" in said(
        tallied(320), tallied(100)
    )
    down = said(tallied(100), tallied(350))
    assert "about 3.5 times less than the last total" in down
    assert "did the tank lose so many" in down


def test_a_factor_of_ten_points_to_a_digit() -> None:
    """Also when it is not exact."""
    assert "a factor of 10 is often a digit, a dilution or a unit" in said(
        tallied(1050), tallied(100)
    )


def test_a_jump_that_chance_explains_is_not_said() -> None:
    """1 against 4 is nothing."""
    assert said(tallied(4), tallied(1)) == ""


def test_a_jump_is_said_although_the_fillings_disagree() -> None:
    """Widened limits are no excuse."""
    assert "times the last total" in said(tallied(97, 97, 959), tallied(97, 97, 96))


def test_more_than_before_beyond_chance_is_no_survival() -> None:
    """Half as many more of a few hundred."""
    words = said(tallied(300, 310), tallied(200, 195))
    assert "more than all cannot have survived" in words
    assert "limits" in words


def test_more_larvae_than_eggs_is_no_hatch() -> None:
    """Even if chance explains it; fewer needs no words."""
    eggs = replace(tallied(200, tally_class="egg"), target=EGGS)
    assert "more than all cannot have hatched" in said(tallied(210), eggs)
    assert said(tallied(120), eggs) == ""
    assert said(eggs, tallied(20)) == ""  # eggs after larvae: another spawn


def test_densities_are_compared_where_no_vessel_is_known() -> None:
    """A total and a density are not."""
    assert "about 4.0 times" in said(tallied(400, vessel_ml=None), tallied(100, vessel_ml=None))
    assert said(tallied(400, vessel_ml=None), tallied(100)) == ""


@pytest.mark.parametrize(
    ("now_ml", "last_ml", "words"),
    [
        (2_000.0, 20_000.0, "The vessel is 2 L, last time it was 20 L: exactly 10 times less"),
        (20_000.0, 20.0, "exactly 1000 times more; a zero or a unit?"),
    ],
)
def test_a_vessel_that_changed_by_tens_is_said(now_ml: float, last_ml: float, words: str) -> None:
    """A zero or a unit."""
    (sentence,) = vessel_changed(now_ml, last_ml)
    assert words in sentence.replace("\u202f", " ")
    assert sentence.replace("\u202f", " ") in said(
        tallied(100, vessel_ml=now_ml), tallied(100, vessel_ml=last_ml)
    )


def test_other_changes_of_the_vessel_are_ordinary() -> None:
    """20 L, then 15 L; or not known."""
    assert vessel_changed(15_000.0, 20_000.0) == []
    assert vessel_changed(None, 20_000.0) == vessel_changed(20_000.0, None) == []


def test_an_aliquot_that_changed_by_tens_is_said() -> None:
    """0.25 mL, then 2.5 mL in a well."""

    def well(aliquot_ul: float) -> Sample:
        field = picture(*(mark(number) for number in range(1, 40)))
        return Sample(LARVAE, WELL, fillings=(Filling(1, (field,), aliquot_ul),))

    words = said(well(2500.0), well(250.0))
    assert "The aliquot is 2.5 mL, last time it was 0.25 mL: exactly 10 times more" in words
    assert "aliquot" not in said(well(300.0), well(250.0))


def test_one_in_ten_against_one_and_ten_is_said() -> None:
    """1+10 where 1+9 was used before; 1+1 after 1+0 is ordinary."""
    last = replace(tallied(100), dilution=Dilution(1, 9))
    words = said(replace(tallied(91), dilution=Dilution(1, 10)), last)
    assert "The dilution is 1+10 (11 times), last time it was 1+9 (10 times)" in words
    assert "see how much water was added" in words
    halved = replace(tallied(50), dilution=Dilution(1, 1))
    assert said(halved, tallied(100)) == ""
    assert said(replace(tallied(50), dilution=Dilution(1, 19)), last) == ""


def test_live_alone_after_live_and_dead_is_said() -> None:
    """And the other way round; alike both times needs no words."""
    dead = tallied(12, tally_class="d-hinge, dead")
    mixed = replace(
        tallied(100), fillings=(*tallied(100).fillings, replace(dead.fillings[0], filling_id=2))
    )
    half = tallied(50, 62)
    assert "none is marked as dead" in said(half, mixed)
    assert "This time the dead are counted along" in said(mixed, half)
    assert "dead" not in said(mixed, mixed)
    live = tallied(50, 62, tally_class="d-hinge, live")
    assert "dead" not in said(live, mixed)


def measured(length_um: float, number: int = 8) -> Sample:
    """A sample of larvae of one length."""
    marks = [mark(n, length_um=length_um) for n in range(1, number + 1)]
    return Sample(LARVAE, CHAMBER, fillings=(Filling(1, (picture(*marks),)),))


def test_lengths_off_by_an_objective_are_said() -> None:
    """Four times as long after a day, or half as long."""
    assert "4 times shorter they would be 75 µm" in said(measured(300.0), measured(72.0), 1.0)
    assert "2 times longer they would be 200 µm" in said(measured(100.0), measured(195.0), 1.0)


@pytest.mark.parametrize(
    ("now_um", "last_um", "days"),
    [(120.0, 72.0, 3.0), (72.0, 72.0, 0.0), (170.0, 195.0, 1.0), (112.0, 72.0, 1.0)],
)
def test_growth_and_grading_are_no_objectives(now_um: float, last_um: float, days: float) -> None:
    """Growth in three days, none at once, the large taken away, no usual factor."""
    assert said(measured(now_um), measured(last_um), days) == ""


def test_few_lengths_or_other_targets_say_nothing() -> None:
    """Four larvae are too few; eggs are no larvae; a tally has no lengths."""
    assert said(measured(300.0, 4), measured(72.0), 1.0) == ""
    eggs = replace(measured(300.0), target=EGGS)
    assert "median" not in said(measured(60.0), eggs, 1.0)
    assert "median" not in said(measured(300.0), tallied(100), 1.0)


def test_a_typed_total_is_held_against_the_last_one() -> None:
    """Three times off and not by chance."""
    result = estimate_counts([97, 97, 959], [0.6] * 3, vessel_ml=550.0)
    assert "about 4.0 times" in far_from_last(result, 88_600.0)[0]
    assert far_from_last(result, 200_000.0) == []
    few = estimate_counts([3], [1.0], vessel_ml=100.0)
    assert far_from_last(few, 100.0) == []
    assert far_from_last(estimate_counts([4], [1.0]), 100.0) == []
    assert far_from_last(estimate_counts([0], [1.0], vessel_ml=5.0), 100.0) == []
