"""A way of counting, in sentences."""

from __future__ import annotations

from counter.statistics.method_words import proportionality_words, repeatability_words
from counter.statistics.proportionality import Level, proportionality
from counter.statistics.repeatability import repeatability

FRACTIONS = (0.1, 0.3, 0.5, 0.7, 1.0)


def said(means: tuple[int, ...], off: tuple[int, ...] = (0, 9, -9)) -> str:
    """What is said of a series with these means and three counts each."""
    levels = [
        Level(fraction, tuple(max(0, mean + more * mean // 100) for more in off))
        for fraction, mean in zip(FRACTIONS, means, strict=True)
    ]
    return "\n".join(proportionality_words(proportionality(levels)))


def test_a_sound_series_is_called_so_with_its_numbers() -> None:
    """Index, R², p, the scatter, and a line for each fraction."""
    words = said((100, 300, 500, 700, 1000), (0, 3, -3))
    assert words.startswith("The counts follow the dilution: proportionality index 0 %")
    assert "R² 1.0000" in words
    assert "Replicates scatter by 3.0 %; chance alone makes" in words
    assert "Fraction 0.1: mean 100, by the line 100, CV 3.0 %" in words
    assert "sound series" not in words
    assert "densest" not in words


def test_too_few_at_the_top_is_crowding() -> None:
    """Larvae touch or are passed over."""
    words = said((100, 300, 490, 620, 700))
    assert words.startswith("The counts do not follow the dilution")
    assert "what the thinner ones say: larvae touch or are passed over. Count thinner." in words


def test_too_many_at_the_top_are_losses_in_the_thin_ones() -> None:
    """Or a dilution is wrong."""
    words = said((60, 200, 380, 600, 1000))
    assert "are larvae lost in the thin ones, or is a dilution wrong?" in words


def test_a_small_series_is_called_small() -> None:
    """Fewer than three counts each, or than four fractions; single counts have no scatter."""
    words = said((100, 300, 500, 700, 1000), (0,))
    assert "this one is smaller" in words
    assert "scatter" not in words
    assert "CV" not in words


def test_slides_counted_twice_say_scatter_and_bias() -> None:
    """With and without a difference, and a single slide."""
    same = repeatability_words(repeatability([97, 103, 88], [99, 101, 90]))
    assert same[0] == (
        "From 3 slides counted twice: standard deviation of one count 1.4 larvae (1.5 % of 96.3)."
    )
    assert same[1].startswith("The second does not show to count more or fewer than the first")
    more = repeatability_words(repeatability([97, 103, 88], [109, 115, 99]))
    assert more[1].startswith("The second counts more than the first: 12 a slide (95 % limits")
    fewer = repeatability_words(repeatability([109, 115, 99], [97, 103, 88]))
    assert fewer[1].startswith("The second counts fewer than the first: -12 a slide")
    one = repeatability_words(repeatability([0], [0]))
    assert one[0].endswith("From 1 slide counted twice: standard deviation of one count 0 larvae.")
    assert "take ten" in one[1]
