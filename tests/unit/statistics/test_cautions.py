"""The sentences beside a number."""

from __future__ import annotations

import pytest

from counter.domain.house import House
from counter.domain.sample import Dilution
from counter.statistics.cautions import agreement, none_counted, percent, probability, slip, vessel
from counter.statistics.dispersion import dispersion
from counter.statistics.estimate import estimate_counts
from counter.statistics.scatter import CHANCE, widening

ONES = [1.0] * 3


def test_nothing_counted_names_both_upper_limits() -> None:
    """Two-sided 3.6889 and one-sided 2.9957, per mL or in the vessel."""
    said = none_counted(estimate_counts([0], [1.0]))
    assert "3.69 per mL" in said
    assert "the one-sided one is 3.00" in said
    diluted = estimate_counts([0], [1.0], Dilution(1, 1), 1000.0)
    assert "up to 7\u202f380 in the vessel" in none_counted(diluted)


@pytest.mark.parametrize(
    ("counts", "said"),
    [
        ((10, 11, 9), []),
        ((97, 97, 959), ["Filling 3"]),
        ((0, 100, 104), ["Filling 1"]),
        ((100, 104, 0), ["Filling 3"]),
        ((40, 120, 360), []),  # they all differ: no single one is odd
        ((12,), []),
        ((0, 0, 5), []),  # far in proportion, but not beyond chance
    ],
)
def test_only_the_odd_one_out_is_named(counts: tuple[int, ...], said: list[str]) -> None:
    """The others must agree, and chance must not explain it."""
    named = slip(counts, [1.0] * len(counts), range(1, len(counts) + 1))
    assert [sentence[:9] for sentence in named] == said


def test_a_wrong_volume_is_found_like_a_wrong_count() -> None:
    """The same count in a tenth of the volume is ten times as dense."""
    (said,) = slip([100, 104, 98], [0.25, 0.025, 0.25], [1, 2, 3])
    assert said.startswith("Filling 2 (104 in 25\u202fµL) holds about 11 times more")


@pytest.mark.parametrize(
    ("volume_ml", "said"),
    [(2.5, "exactly 10 times more than theirs"), (250.0, "exactly 1000 times more than theirs")],
)
def test_a_volume_that_is_ten_or_a_thousand_times_the_others_is_named(
    volume_ml: float, said: str
) -> None:
    """The count is sound: it is the volume that has a zero or a unit too many."""
    (sentence,) = slip((112, 98, 103), (volume_ml, 0.25, 0.25), (1, 2, 3))
    assert sentence.startswith("Filling 1 (112 in ")
    assert said in sentence
    assert "a zero or a unit?" in sentence


def test_a_vessel_smaller_than_a_well_is_a_unit() -> None:
    """760 µL typed for 760 mL."""
    (sentence,) = vessel(0.76, 0.25)
    assert "was 760\u202fmL meant?" in sentence


def test_agreement_that_chance_explains_needs_no_words() -> None:
    """Nothing is said of ordinary scatter, nor of a single filling."""
    assert agreement(None, CHANCE) == []
    assert said_of(112, 98, 103) == []
    assert "copied" in said_of(100, 100, 100)[0]


def test_fillings_that_disagree_are_named_with_what_is_done_about_it() -> None:
    """Clumped or perhaps clumped, the limits are widened; a long history of even fillings outweighs
    one sample in twenty that looks clumped."""
    assert "disagree" in said_of(88, 58, 82)[0]
    assert "widened. Mix" in said_of(88, 58, 82)[0]
    assert "may be clumped" in said_of(88, 62, 84)[0]
    assert "widened" not in said_of(88, 58, 82, house=House(4.0, 400))[0]


def said_of(*counts: int, house: House | None = None) -> list[str]:
    """What is said of three fillings of equal volume."""
    scatter = dispersion(counts, ONES)
    return agreement(scatter, widening(scatter, house))


def test_a_sound_vessel_needs_no_words() -> None:
    """Its volume is known and larger than what was taken from it."""
    assert vessel(760.0, 0.75) == []
    assert "no total" in vessel(None, 0.75)[0]
    assert "check the volumes" in vessel(0.5, 0.75)[0]


def test_levels_and_probabilities_are_short() -> None:
    """As they stand in the working."""
    assert percent(0.95) == "95 %"
    assert percent(0.999) == "99.9 %"
    assert probability(0.0363) == "p = 0.036"
    assert probability(1e-9) == "p < 0.0001"
