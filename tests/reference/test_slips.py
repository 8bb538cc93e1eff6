"""The traps that were found in open records of hatcheries: each is named in a sentence.

Rows of Ostrea lurida 2018 are from the repository of Spencer et al. 2021, those of Crassostrea
gigas from open data of 2017, the bucket counts from open data of Ostrea lurida 2018.
"""

from __future__ import annotations

import pytest

from counter.domain.units import parse_counts
from counter.statistics.audit import paper_total
from counter.statistics.audit_last import far_from_last
from counter.statistics.comparison import Answer, Side, compare
from counter.statistics.comparison_words import Question, comparison_words
from counter.statistics.estimate import Estimate, estimate_counts


def row(counts: tuple[int, ...], each_ml: float, vessel_ml: float) -> Estimate:
    """The estimate of one row: equal aliquots of one vessel."""
    return estimate_counts(counts, [each_ml] * len(counts), vessel_ml=vessel_ml)


def paper(printed: float, counts: tuple[int, ...], each_ml: float, vessel_ml: float) -> str:
    """What is said of a printed total, with ordinary spaces; empty where nothing is."""
    volumes = [each_ml] * len(counts)
    said = paper_total(printed, row(counts, each_ml, vessel_ml), counts, volumes)
    return " ".join(said).replace("\u202f", " ")


def test_a_digit_too_many_makes_four_times_the_tank() -> None:
    """4/14/18 A2: 97, 97, 959 in 0.6 mL of 550 mL prints 352,306; with about 96 it is 88,600."""
    slipped = row((97, 97, 959), 0.6, 550.0)
    assert slipped.total == pytest.approx(352_306, abs=0.5)
    assert "one digit too many?" in slipped.warnings[0]
    right = row((97, 97, 96), 0.6, 550.0)
    assert right.total == pytest.approx(88_600, rel=1e-3)
    (jump,) = far_from_last(slipped, 88_600)
    assert "about 4.0 times the last total of the tank; larvae do not multiply" in jump


def test_a_missing_digit_is_named() -> None:
    """4/3/18 A1: 55, 5, 48 prints 120,960, which is what the counts give: the slip is in them."""
    slipped = row((55, 5, 48), 0.25, 840.0)
    assert slipped.total == pytest.approx(120_960)
    assert paper(120_960, (55, 5, 48), 0.25, 840.0) == ""
    assert "Filling 2 (5 in 0.25\u202fmL)" in slipped.warnings[0]
    assert "a digit missing?" in slipped.warnings[0]


@pytest.mark.parametrize(
    ("printed", "counts", "each_ml", "vessel_ml", "total", "cause"),
    [
        # 4/17/18 C1: 100, 97, 92 live in 0.4 mL, 580 mL stored
        (24_083, (100, 97, 92), 0.4, 580.0, "139 683", "it would fit a vessel of 100 mL, not 580"),
        # 6/6 NF-6 Low A of 2017: 59, 73, 57 in 0.5 mL prints 57 per mL
        (47_025, (59, 73, 57), 0.5, 825.0, "103 950", "the count of filling 3 (57) for the number"),
    ],
)
def test_a_printed_total_that_is_not_the_one_of_its_parts(
    printed: float,
    counts: tuple[int, ...],
    each_ml: float,
    vessel_ml: float,
    total: str,
    cause: str,
) -> None:
    """Both totals are shown, with what would explain the difference."""
    said = paper(printed, counts, each_ml, vessel_ml)
    assert total in said
    assert cause in said
    assert "Look at both before you use either." in said


def test_the_next_row_has_the_same_slip() -> None:
    """490 mL, 150 per mL from 0.7 mL aliquots prints 14,596 instead of about 73,733."""
    said = paper(14_596, (105, 106, 105), 0.7, 490.0)
    assert "it would fit a vessel of 97 mL, not 490 mL" in said


def test_a_printed_total_that_agrees_needs_no_words() -> None:
    """4/2/18 B1: 112, 98, 103 in 0.25 mL of 760 mL prints 317,173."""
    assert paper(317_173, (112, 98, 103), 0.25, 760.0) == ""


@pytest.mark.parametrize("share", [1.01, 1.16])
def test_a_hatch_of_more_than_all_eggs_is_no_survival(share: float) -> None:
    """Of 210,000 eggs 1.01 and 1.16 hatched in print: a warning with limits instead."""
    eggs = Side((100, 104, 96), (0.1,) * 3, 700.0)
    larvae = Side((round(300 * share),), (0.3,), 700.0)
    words = comparison_words(compare(eggs, larvae), Question.YIELD)
    assert f"{100 * share:.0f} % (95 % limits" in words[0]
    assert "more than all cannot have come out" in words[0]
    assert "Yield" not in words[0]


def test_a_rise_that_chance_explains_raises_no_alarm() -> None:
    """35 of 216 intervals of the bucket counts rise (16 %); 105 % of 100 counted is chance."""
    found = compare(Side((100,), (1.0,)), Side((105,), (1.0,)))
    assert found.answer is Answer.NOT_SHOWN
    assert "read it as no loss shown" in comparison_words(found, Question.SURVIVAL)[0]


def test_a_rise_of_two_and_a_quarter_is_no_chance() -> None:
    """The largest rise of the bucket counts, × 2.27, on about a hundred counted."""
    found = compare(Side((100,), (1.0,)), Side((227,), (1.0,)))
    assert found.answer is Answer.MORE
    assert "is wrong" in comparison_words(found, Question.SURVIVAL)[0]


def test_blanks_and_dashes_of_the_open_files_are_lost_and_zeros_are_counts() -> None:
    """Row 5/26 HL-10 Low of 2017 has an x; elsewhere a dash, spaces behind numbers, one aliquot
    alone, and 0, 0, 0, which is none counted: up to 3.6889 in what was looked through."""
    assert parse_counts("59 ,x, 57 ") == (59, None, 57)
    assert parse_counts("-,73,-") == (None, 73, None)
    assert parse_counts("0,0,0") == (0, 0, 0)
    none = row((0, 0, 0), 0.5, 800.0)
    assert none.total == 0
    assert none.high == pytest.approx(3.6889 / 1.5 * 800, rel=1e-4)
    alone = row((73,), 0.5, 800.0)
    assert alone.total == pytest.approx(73 / 0.5 * 800)
    assert alone.dispersion is None


def test_rounding_waits_until_the_end() -> None:
    """57.4 per mL is 57 in whole larvae per mL, and the tank with it 0.7 % too small (computed)."""
    whole = row((287,), 5.0, 1000.0)
    assert whole.density_per_ml == pytest.approx(57.4)
    assert whole.total == pytest.approx(57_400)
