"""Slips that one sample shows by itself."""

from __future__ import annotations

from dataclasses import replace

import pytest

from counter.domain.catalogue import species
from counter.domain.sample import Dilution, Filling, Sample
from counter.statistics.audit import (
    expected_um,
    fits_objective,
    of_sample,
    other_objective,
    paper_total,
    typed_volumes,
)
from counter.statistics.estimate import estimate_counts
from counter.statistics.sizes import sizes
from tests.hatchery import CHAMBER, EGGS, LARVAE, SPECIES, WELL, mark, picture

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


def sample_of(length_um: float, number: int = 6) -> Sample:
    """A sample of one picture with larvae of one length."""
    marks = [mark(n, length_um=length_um) for n in range(1, number + 1)]
    return Sample(LARVAE, CHAMBER, fillings=(Filling(1, (picture(*marks),)),))


def test_larvae_too_long_for_their_age_point_to_the_objective() -> None:
    """180 µm on day 2: 2.5 times shorter is a D-hinge larva of 72 µm."""
    sample = sample_of(180.0)
    (words,) = of_sample(sample, sizes(sample), 2.0)
    assert "too long for day 2 (60 to 110 µm)" in words
    assert "another objective" in words
    assert "2 times shorter they would be 90 µm" in words


@pytest.mark.parametrize(
    ("length_um", "age_days", "number"),
    [(180.0, 6.0, 6), (180.0, None, 6), (72.0, 2.0, 6), (180.0, 2.0, 4), (180.0, -1.0, 6)],
)
def test_lengths_that_can_be_need_no_words(
    length_um: float, age_days: float | None, number: int
) -> None:
    """Old enough, of unknown age, too few to say, or counted before fertilisation."""
    sample = sample_of(length_um, number)
    assert of_sample(sample, sizes(sample), age_days) == ()


def test_eggs_have_no_age_by_length() -> None:
    """Only larvae are held against their age."""
    sample = replace(sample_of(180.0), target=EGGS)
    assert of_sample(sample, sizes(sample), 1.0) == ()


def test_a_length_that_no_objective_explains_asks_for_scale_and_age() -> None:
    """1.5 times is no usual step between objectives."""
    assert not fits_objective(160.0, 100.0, 110.0)
    assert other_objective(140.0, 100.0, 110.0).startswith("check the scale")
    assert "2 times longer they would be 80 µm" in other_objective(40.0, 60.0, 110.0)


@pytest.mark.practice
@pytest.mark.parametrize(
    ("age_days", "length_um"), [(2, 60), (2, 70), (6, 160), (6, 180), (9, 250), (9, 275), (12, 320)]
)
def test_the_eastern_oyster_of_common_practice_is_never_too_long(
    age_days: float, length_um: float
) -> None:
    """Shell lengths by day at hatchery temperature."""
    low, high = expected_um(species("eastern-oyster"), age_days)
    assert low <= length_um <= high


@pytest.mark.parametrize(
    ("age_days", "length_um"),
    # Crassostrea gigas at 32 °C, Rico-Villa et al. 2009 as tabled in the AmP collection
    [(2, 79.06), (5, 118.17), (7, 163.02), (10, 247.38), (13, 271.11), (15, 287.0)],
)
def test_the_fastest_pacific_oysters_in_print_are_not_too_long(
    age_days: float, length_um: float
) -> None:
    """The warmest curve stays inside."""
    low, high = expected_um(species("pacific-oyster"), age_days)
    assert low <= length_um <= high


def test_a_species_with_one_stage_takes_its_search_limits() -> None:
    """A hatchery's own table may be short."""
    bare = replace(SPECIES, stages=())
    assert expected_um(bare, 1.0) == bare.larva_um
