"""Sizes that cannot be point to another objective, and ordinary ones to nothing."""

from __future__ import annotations

from dataclasses import replace

import pytest

from counter.domain.catalogue import species
from counter.domain.field import PictureField
from counter.domain.sample import Filling, Sample
from counter.domain.second_look import OtherSize
from counter.domain.species import TargetKind, target_of
from counter.statistics.audit_sizes import (
    expected_um,
    fits_objective,
    of_sizes,
    other_objective,
)
from counter.statistics.sizes import sizes
from tests.hatchery import CHAMBER, EGGS, LARVAE, SPECIES, mark, picture


def field(
    *lengths_um: float, name: str = "field-01.png", other: OtherSize | None = None
) -> PictureField:
    """A picture with larvae of these lengths, and what the second look saw on it."""
    shown = picture(*(mark(n, length_um=v) for n, v in enumerate(lengths_um, 1)), file=name)
    return replace(shown, picture=replace(shown.picture, other_size=other))


def sample_of(*fields: PictureField) -> Sample:
    """A sample of these pictures, numbered from 1 as every sample's are."""
    numbered = tuple(replace(each, field_id=n) for n, each in enumerate(fields, start=1))
    return Sample(LARVAE, CHAMBER, fillings=(Filling(1, numbered),))


def said(sample: Sample, age_days: float | None = None) -> list[str]:
    """What is odd about the sizes of a sample."""
    return of_sizes(sample, sizes(sample), age_days)


SMALL = OtherSize(4.0, 24, 14.4)
"""At 1.25 µm per pixel: 18 µm."""


def test_many_bodies_of_another_size_are_said_where_hardly_any_fits() -> None:
    """How many, how long, how much larger they had to be, and what to do."""
    (words,) = said(sample_of(field(other=SMALL)))
    assert words.startswith(
        "24 bodies of 18 µm (median) are seen, too small for test oyster larvae"
    )
    assert "(60 to 350 µm): 4 times larger they would fit. Wrong objective or scale?" in words


def test_bodies_that_are_too_large_are_said_too() -> None:
    """With every step that would make them fit."""
    (words,) = said(sample_of(field(72.0, other=OtherSize(0.25, 9, 480.0))))
    assert "9 bodies of 600 µm (median) are seen, too large" in words
    assert "2 or 2.5 or 4 times smaller they would fit" in words


def test_what_few_pictures_show_adds_up() -> None:
    """Three on each of two pictures are six."""
    few = OtherSize(2.0, 3, 28.0)
    assert said(sample_of(field(other=few))) == []
    assert said(sample_of(field(other=few), field(other=few)))[0].startswith("6 bodies of 35 µm")


@pytest.mark.parametrize(
    "fields",
    [
        (field(),),
        (field(other=OtherSize(4.0, 4, 14.4)),),
        (field(*[72.0] * 6, other=OtherSize(4.0, 11, 14.4)),),
        (field(*[72.0] * 13), field(other=SMALL)),
    ],
    ids=["nothing seen", "too few", "not twice as many", "the other pictures fit"],
)
def test_a_few_odd_things_are_no_alarm(fields: tuple[PictureField, ...]) -> None:
    """Algae and flakes lie on every slide."""
    assert said(sample_of(*fields)) == []


def test_after_the_scale_is_put_right_the_pictures_want_counting_again() -> None:
    """The bodies fit then, but have no marks yet."""
    shown = field(other=SMALL)
    scale = replace(shown.picture.scale, um_per_px=5.0)
    mended = replace(shown, picture=replace(shown.picture, scale=scale))
    (words,) = said(sample_of(mended))
    assert "24 bodies of 72 µm (median)" in words
    assert "count the pictures again" in words


@pytest.mark.parametrize("step", [2.0, 2.5, 4.0])
def test_a_picture_through_another_objective_stands_out(step: float) -> None:
    """It is named, with both medians."""
    usual = [66.0, 70.0, 72.0, 74.0, 78.0]
    odd = [length * step for length in usual]
    fields = [field(*usual, name="a.png"), field(*odd, name="b.png"), field(*usual, name="c.png")]
    (words,) = said(sample_of(*fields))
    assert words.startswith(f"b.png: the bodies are {step:.1f} times longer")
    assert "on the other pictures (72 µm)" in words
    assert len(said(sample_of(*fields[:2]))) == 1


@pytest.mark.parametrize(
    "other",
    [
        [66.0, 70.0, 72.0, 74.0, 80.0],
        [105.0, 110.0, 112.0, 114.0, 120.0],
        [70.0, 80.0, 145.0, 150.0, 190.0],
        [140.0, 144.0, 150.0, 160.0],
    ],
    ids=["alike", "half as long again", "mixed", "few"],
)
def test_pictures_of_one_sample_may_differ(other: list[float]) -> None:
    """Chance, two cohorts and few larvae are no other objective."""
    usual = field(66.0, 70.0, 72.0, 74.0, 78.0)
    assert said(sample_of(usual, field(*other, name="b.png"))) == []


def test_larvae_too_short_for_their_age_point_to_the_objective() -> None:
    """30 µm on day 6: 2 times longer is a D-hinge larva of 60 µm."""
    sample = replace(sample_of(field(*[30.0] * 6)), target=replace(LARVAE, low_um=20.0))
    (words,) = said(sample, 6.0)
    assert "too short for day 6 (from 60 µm)" in words
    assert "longer they would be" in words
    assert said(sample, 1.0) == []


def alike(length_um: float, number: int = 6) -> Sample:
    """A sample of one picture with larvae of one length."""
    return sample_of(field(*[length_um] * number))


def test_larvae_too_long_for_their_age_point_to_the_objective() -> None:
    """180 µm on day 2: 2.5 times shorter is a D-hinge larva of 72 µm."""
    (words,) = said(alike(180.0), 2.0)
    assert "too long for day 2 (60 to 110 µm)" in words
    assert "another objective" in words
    assert "2 times shorter they would be 90 µm" in words


def test_lengths_that_pile_up_at_the_shortest_that_is_looked_for_are_said() -> None:
    """With the scale of an objective of half the power, larvae of 100 to 180 µm are 50 to 90: what
    is longer than 60 is found, and no age is needed to see that the rest is missed."""
    (words,) = said(sample_of(field(60.5, 61.0, 62.0, 64.0, 66.0, 71.0, 88.0)))
    assert words.startswith("Half of the larvae are hardly longer than the shortest")
    assert "(60 µm), and shorter ones are not counted. Wrong objective or scale?" in words


def test_lengths_that_pile_up_at_the_longest_that_is_looked_for_are_said() -> None:
    (words,) = said(sample_of(field(290.0, 318.0, 330.0, 342.0, 348.0)))
    assert words.startswith("Half of the larvae are hardly shorter than the longest")
    assert "(350 µm), and longer ones are not counted" in words


def test_what_the_age_already_says_is_not_said_twice() -> None:
    (words,) = said(sample_of(field(290.0, 318.0, 330.0, 342.0, 348.0)), 3.0)
    assert "too long for day 3" in words


@pytest.mark.parametrize("lengths", [(61.0, 62.0, 63.0, 64.0), (62.0, 64.0, 67.0, 70.0, 75.0)])
def test_few_or_longer_larvae_are_no_pile(lengths: tuple[float, ...]) -> None:
    assert said(sample_of(field(*lengths))) == []


def test_limits_that_a_person_gave_say_nothing() -> None:
    sample = sample_of(field(*[62.0] * 6))
    assert said(replace(sample, target=replace(LARVAE, low_um=60.5))) == []


@pytest.mark.practice
def test_usual_medians_of_each_species_are_far_from_its_limits() -> None:
    """The youngest larvae with a shell and round eggs of every species, 6 alike: no words."""
    for name in ("eastern-oyster", "pacific-oyster", "flat-oyster", "bay-scallop", "blue-mussel"):
        known = species(name)
        shelled = min(stage.from_um for stage in known.stages if stage.from_um > 0)
        for kind, length_um in ((TargetKind.LARVAE, shelled + 4), (TargetKind.EGGS, None)):
            target = target_of(known, kind)
            length_um = length_um or (target.low_um * target.high_um) ** 0.5
            sample = replace(sample_of(field(*[length_um] * 6)), target=target)
            assert said(sample) == []


@pytest.mark.parametrize(
    ("length_um", "age_days", "number"),
    [(180.0, 6.0, 6), (180.0, None, 6), (72.0, 2.0, 6), (180.0, 2.0, 4), (180.0, -1.0, 6)],
)
def test_lengths_that_can_be_need_no_words(
    length_um: float, age_days: float | None, number: int
) -> None:
    """Old enough, of unknown age, too few to say, or counted before fertilisation."""
    assert said(alike(length_um, number), age_days) == []


def test_eggs_have_no_age_by_length() -> None:
    """Only larvae are held against their age: those of 50 µm would be too short on day 9."""
    assert "too short for day 9" in said(alike(50.0), 9.0)[0]
    assert said(replace(alike(50.0), target=EGGS), 9.0) == []


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
