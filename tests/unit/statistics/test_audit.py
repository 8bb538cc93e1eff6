"""Slips that one sample shows by itself."""

from __future__ import annotations

import pytest

from counter.domain.sample import Dilution, Filling, Sample
from counter.statistics.audit import (
    of_sample,
    paper_total,
    typed_volumes,
)
from counter.statistics.estimate import estimate_counts
from tests.hatchery import CHAMBER, LARVAE, WELL

COUNTS = (90, 110, 100)
VOLUMES = [0.25] * 3


def said(typed: float, dilution: Dilution = Dilution(1, 4)) -> str:  # noqa: B008 - frozen
    """What is said of a total on paper for 300 in 0.75 mL of 800 mL (1 600 000 at 1+4)."""
    result = estimate_counts(COUNTS, VOLUMES, dilution, 800.0)
    return " ".join(paper_total(typed, result, COUNTS, VOLUMES)).replace("\u202f", " ")


@pytest.mark.parametrize("typed", [1_600_000, 1_604_000, 1_590_000, 1_600_000.4, 2e6 - 4.1e5])
def test_a_total_that_agrees_up_to_its_rounding_needs_no_words(typed: float) -> None:
    """Within 1 %, or within half of the last digit that was kept."""
    assert said(typed) == ""


def test_a_total_rounded_to_two_digits_agrees() -> None:
    """317 173 is 320 000 on paper, but not 330 000."""
    result = estimate_counts((112, 98, 103), VOLUMES, vessel_ml=760.0)
    assert paper_total(320_000, result, (112, 98, 103), VOLUMES) == []
    assert paper_total(330_000, result, (112, 98, 103), VOLUMES) != []


@pytest.mark.parametrize(
    ("typed", "cause"),
    [
        (320_000, "the dilution is not in it"),
        (4_800_000, "the fillings are added up, not averaged"),
        (90 * 5 * 800, "it takes the count of filling 1 (90)"),
        (100 * 5 * 800, "it takes the count of filling 3 (100)"),
        (300 * 5 * 800, "it takes the sum of the counts"),
        (210 / 0.5 * 5 * 800, "filling 1 is not in it"),
        (16_000_000, "it is 10 times as much, a digit or a unit"),
        (1_600, "it is 1000 times less, a digit or a unit"),
        (1_100_000, "it would fit a vessel of 550 mL, not 800 mL"),
    ],
)
def test_the_cause_of_a_wrong_total_is_named(typed: float, cause: str) -> None:
    """Each step that is left out or done wrong gives a total of its own."""
    assert cause in said(typed)


def test_the_mean_count_may_be_taken_for_the_number_per_ml() -> None:
    """Where no single count is the same."""
    counts = (90, 112, 102)
    result = estimate_counts(counts, VOLUMES, vessel_ml=800.0)
    (words,) = paper_total(304 / 3 * 800 * 1.009, result, (90, 112, 102), VOLUMES)
    assert "filling 3 (102)" in words
    (words,) = paper_total(304 / 3 * 800 * 0.995, result, (90, 112, 102), VOLUMES)
    assert "it takes the mean of the counts" in words


def test_lost_fillings_keep_their_numbers() -> None:
    """The count of filling 3 is called so, although filling 1 is lost."""
    result = estimate_counts((110, 100), [0.25] * 2, vessel_ml=800.0)
    (words,) = paper_total(100 * 800, result, (None, 110, 100), VOLUMES)
    assert "filling 3 (100)" in words


def test_a_total_of_nothing_or_without_vessel_is_said() -> None:
    """None counted, and no vessel."""
    nothing = estimate_counts((0,), [0.25], vessel_ml=800.0)
    assert "none was counted" in paper_total(500, nothing, (0,), [0.25])[0]
    density = estimate_counts((10,), [0.25])
    assert "without the vessel's volume" in paper_total(500, density, (10,), [0.25])[0]


def test_microlitres_for_millilitres_are_asked_for() -> None:
    """Too little for a pipette, too much for a slide; each once."""
    small, large = typed_volumes([0.00025, 0.00025, 0.25, 250.0])
    assert small.startswith("0.25\u202fµL is less than a pipette delivers; was 0.25\u202fmL meant?")
    assert large.startswith("250\u202fmL is more than anybody looks through; was 0.25\u202fmL")
    assert typed_volumes([0.01, 0.25, 1.0, 50.0]) == []


def test_an_odd_aliquot_of_a_well_is_said() -> None:
    """The volume of a whole-volume chamber is typed by hand."""
    well = Sample(LARVAE, WELL, fillings=(Filling(1, (), 0.25), Filling(2, (), 250.0)))
    assert [words[:8] for words in of_sample(well, None, None)] == ["0.25\u202fµL "]


@pytest.mark.parametrize(
    ("certified_ul", "is_odd"), [(980.0, False), (1.0, True), (1e6, True), (600.0, False)]
)
def test_a_certified_volume_far_from_the_geometry_is_said(
    certified_ul: float, is_odd: bool
) -> None:
    """1 µL for a cell of 1 mL is a unit; 0.98 mL is a certificate."""
    sample = Sample(LARVAE, CHAMBER.certified(certified_ul))
    assert bool(of_sample(sample, None, None)) is is_odd
