"""The working of a sample, line by line."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from counter.domain.edges import EdgeRule
from counter.domain.sample import Dilution, Filling, Sample
from counter.domain.tally_field import TalliedSquare, TallyField
from counter.statistics.estimate import estimate, estimate_counts
from counter.statistics.working import working, working_of_counts
from tests.hatchery import CHAMBER, LARVAE, WELL, mark, picture


def lines(sample: Sample) -> list[str]:
    """The working with ordinary spaces, so that the tests can be read."""
    return [line.replace("\u202f", " ") for line in working(sample)]


def tallied(*counts: int) -> TallyField:
    """Squares of 1 mm that are done."""
    squares = tuple(TalliedSquare({"d-hinge": count}) for count in counts)
    return TallyField(1, "square of 1 mm", 1.0, squares, finished=True)


def test_squares_become_a_volume_by_area_times_depth() -> None:
    """Every line can be checked with pencil and paper, from the squares to the total."""
    sample = Sample(
        LARVAE,
        CHAMBER,
        dilution=Dilution(1, 1),
        vessel_ml=500.0,
        fillings=(Filling(1, (tallied(7, 9),)), Filling(2), Filling(3, (tallied(12),))),
    )
    assert lines(sample) == [
        "Chamber: test cell. Edge rule: what crosses the top and left border counts, what crosses "
        "the others does not.",
        "Filling 1: 2 squares, 2 mm² × 1 mm deep = 2 µL: 16 counted",
        "Filling 3: 1 square, 1 mm² × 1 mm deep = 1 µL: 12 counted",
        "Squares and pictures within a filling: χ² = 0.250 on 1 degree of freedom, p = 0.62: as "
        "chance would have it",
        "Counts: 16 + 12 = 28",
        "Volumes: 2 µL + 1 µL = 3 µL",
        "Counted water: 28 ÷ 0.003 mL = 9 333.33 per mL",
        "Dilution 1+1: 28 ÷ 0.003 mL × (1 + 1) ÷ 1 = 18 666.7 per mL in the vessel",
        "Vessel: 28 ÷ 0.003 mL × (1 + 1) ÷ 1 × 500 mL = 9 333 333",
        "Agreement: χ² = 1.14 on 1 degree of freedom, p = 0.29: as chance would have it",
        "Limits: 95 %, exact Poisson limits (Garwood 1936): 18.606 to 40.468 for the count, "
        "6 201 932 to 13 489 265 in all",
        "Shorter limits, right on average only (mid-P): 18.97 to 39.93 for the count",
        "Allowing for uneven mixing: (χ² 1.14 + 3.57 × 2.8, a guess) ÷ (1 + 3.57) = 2.44 times "
        "the variance of chance, × (2.65 ÷ 1.96)² by Student's t = 4.44: 11.649 to 64.681 for the "
        "count",
        "Upper limit: clumps scatter more the more there are, so it goes towards the mirror image "
        "of the lower limit, 67.301: 59.848 × (67.301 ÷ 59.848)^0.662 = 64.681",
        "Total: 9.33 million (6.20 to 13.49 million), 95 % limits",
        "If mixed unevenly: 3.88 to 21.56 million",
        "The first limits rely on even mixing, which no earlier samples show. Count another "
        "filling; samples on record tell too.",
    ]


def test_a_certified_chamber_shows_its_certificate() -> None:
    """The area is a share of a chamber whose whole volume is certified."""
    sample = Sample(LARVAE, CHAMBER.certified(900.0), fillings=(Filling(1, (tallied(7),)),))
    assert (
        "Filling 1: 1 square, 1 mm² ÷ 1 000 mm² × 0.9 mL (certified) = 0.9 µL: 7 counted"
        in lines(sample)
    )


def test_a_well_shows_the_volume_that_was_put_in() -> None:
    """The whole aliquot was counted, whatever its pictures show."""
    filling = Filling(1, (picture(mark(1)), tallied(2)), aliquot_ul=250.0)
    assert "Filling 1: the whole 0.25 mL: 3 counted" in lines(
        Sample(LARVAE, WELL, fillings=(filling,))
    )


def test_pictures_and_squares_are_told_apart() -> None:
    """A filling may hold both."""
    (line,) = [
        line
        for line in lines(
            Sample(LARVAE, CHAMBER, fillings=(Filling(1, (picture(), tallied(3, 4))),))
        )
        if line.startswith("Filling 1")
    ]
    assert line.startswith("Filling 1: 1 picture and 2 squares, ")


def test_without_a_vessel_the_last_line_is_the_density() -> None:
    """There is no total to show."""
    last = lines(Sample(LARVAE, CHAMBER, fillings=(Filling(1, (tallied(16, 25),)),)))[-1]
    assert last == "Density: 20 500 (14 700 to 27 800) per mL, 95 % limits"


def test_nothing_looked_at_says_so() -> None:
    """No sum, no limits: one sentence."""
    assert lines(Sample(LARVAE, CHAMBER))[-1] == "Nothing was looked at, so there is no number."


def test_widened_limits_say_how_much_and_why() -> None:
    """Every step from χ² to the limits can be checked: (6.63 + 60/229 × 2.8) ÷ (2 + 60/229) =
    3.26, and Student's t on 2.26 degrees, 3.86, for the normal 1.96; then the upper limit's."""
    result = estimate_counts([88, 58, 82], [0.25] * 3)
    shown = working_of_counts([88, 58, 82], [0.25] * 3, Dilution(), result)
    assert any("p = 0.036: clumped" in line for line in shown)
    assert (
        "Scatter: (χ² 6.63 + 0.26 × 2.8, a guess) ÷ (2 + 0.26) = 3.26 times the variance of "
        "chance, × (3.86 ÷ 1.96)² by Student's t = 12.6" in shown
    )
    assert any("widened for 12.6 times the variance of chance" in line for line in shown)
    (clumps,) = [line for line in shown if line.startswith("Upper limit: clumps")]
    plain, image, power, limit = (
        float(text)
        for text in re.findall(r"([\d.]+) × \(([\d.]+) ÷ [\d.]+\)\^([\d.]+) = ([\d.]+)", clumps)[0]
    )
    assert plain * (image / plain) ** power == pytest.approx(limit, rel=1e-4)
    assert limit == pytest.approx(result.count_high, abs=0.006)


def test_the_working_uses_the_estimate_at_hand_and_shows_the_rule_in_use() -> None:
    """Handing in the estimate changes nothing; the edge rule is the sample's."""
    sample = Sample(LARVAE, CHAMBER, fillings=(Filling(1, (tallied(7),)),))
    assert working(sample, estimate(sample)) == working(sample)
    turned = replace(sample, edges=EdgeRule.BOTTOM_RIGHT)
    assert "the bottom and right border counts" in lines(turned)[0]
