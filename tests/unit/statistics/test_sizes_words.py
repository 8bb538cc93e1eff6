"""The notes beside the sizes."""

from __future__ import annotations

from counter.domain.sample import Filling, Sample
from counter.statistics.growth import Growth
from counter.statistics.selection import selection
from counter.statistics.sizes import sizes
from counter.statistics.sizes_words import sizes_notes
from tests.hatchery import CHAMBER, LARVAE, mark, picture


def notes(*lengths_um: float, um_per_px: float = 20.0, grown: Growth | None = None) -> list[str]:
    """What is noted of larvae of these lengths on a picture of 160 × 90 pixels."""
    marks = [mark(number, length_um=length) for number, length in enumerate(lengths_um, start=1)]
    field = picture(*marks, um_per_px=um_per_px)
    sample = Sample(LARVAE, CHAMBER, fillings=(Filling(1, (field,)),))
    return list(sizes_notes(sizes(sample), selection(sample), grown, sample.confidence))


def test_nothing_measured_has_no_notes() -> None:
    """Nor has a single length, whose limits are open."""
    assert notes() == []
    assert notes(72.0) == []


def test_limits_that_are_known_are_named() -> None:
    """Ten lengths have a mean and a median with limits; the tenths are open."""
    said = notes(*range(70, 80))
    assert said == ["95 % limits in µm: median 71.0 to 78.0, mean 72.3 to 76.7."]


def test_how_many_lengths_a_mean_takes_is_said() -> None:
    """(1.96 × 30.3/2)² = 880 for ten lengths that scatter widely."""
    assert "For a mean to ±2 µm, measure about 880 in all." in notes(
        *(50.0 + 10 * number for number in range(10))
    )


def test_a_correction_for_borders_is_said_where_it_matters() -> None:
    """On a picture of 200 by 112 µm larvae of 100 are cut far more often than those of 60."""
    mixed = [60.0, 61.0, 100.0, 101.0]
    assert any("Borders cut large larvae" in words for words in notes(*mixed, um_per_px=1.25))
    assert not any("Borders" in words for words in notes(*mixed))


def test_growth_comes_last() -> None:
    """In its own sentence."""
    grown = Growth(5.0, 4.0, 6.0, 2.0, 0.95, 10.0, 1.0, 60.0)
    assert notes(*range(70, 80), grown=grown)[-1].startswith("Growth 5.0 µm a day")
