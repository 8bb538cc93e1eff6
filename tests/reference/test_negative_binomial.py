"""The negative binomial against published fits."""

from __future__ import annotations

import math

import pytest
from scipy.special import chdtrc

from counter.statistics.negative_binomial import NegativeBinomial, fit, moment_k

# Bliss & Fisher 1953, Biometrics 9:176-200: mites on 150 apple leaves, 0 to 7 on a leaf
MITES = (70, 38, 17, 10, 9, 3, 2, 1)
# Student 1907, Biometrika 5:351-360, set I: yeast in 400 squares, 0 to 5 in a square
YEAST = (213, 128, 37, 18, 3, 1)


def spread(squares: tuple[int, ...]) -> list[int]:
    """One count for each square."""
    return [count for count, times in enumerate(squares) for _ in range(times)]


def fitted(squares: tuple[int, ...]) -> NegativeBinomial:
    """The fit by maximum likelihood."""
    result = fit(spread(squares))
    assert result is not None
    return result


def test_mites_on_apple_leaves() -> None:
    """k = 1.02459 (printed 1.02), log-likelihood -222.4372, fitted numbers to two decimals, those
    of chance too (recomputed); by moments 1.1667, by the leaves without mites 0.9923."""
    result = fitted(MITES)
    assert result.mean == pytest.approx(172 / 150)
    assert result.k == pytest.approx(1.02459, abs=0.5e-5)
    assert result.log_likelihood == pytest.approx(-222.4372, abs=0.5e-4)
    numbers = [150 * result.probability(count) for count in range(8)]
    expected = [69.49, 37.60, 20.10, 10.70, 5.69, 3.02, 1.60, 0.85]
    assert numbers == pytest.approx(expected, abs=0.006)
    chance = NegativeBinomial(result.mean, math.inf, 0.0)
    by_chance = [150 * chance.probability(count) for count in range(8)]
    assert by_chance == pytest.approx(
        [47.65, 54.64, 31.33, 11.97, 3.43, 0.79, 0.15, 0.02], abs=6e-3
    )
    by_zeros = NegativeBinomial(result.mean, 0.9923, 0.0)
    assert 150 * by_zeros.probability(0) == pytest.approx(70, abs=2e-3)
    assert moment_k(spread(MITES)) == pytest.approx(1.1667, abs=0.5e-4)


def test_yeast_in_squares() -> None:
    """Set I: by moments, divisor N, 3.6055 (Student's negative index, from memory, 3.6054); by
    maximum likelihood 3.5861 with the fitted numbers 214.15 … 0.86 (recomputed), which Student
    printed as 214, 123, 45, 13, 4, 1 (from memory; the fifth is 3.53)."""
    assert moment_k(spread(YEAST), divisor_n=True) == pytest.approx(3.6055, abs=0.5e-4)
    result = fitted(YEAST)
    assert result.k == pytest.approx(3.5861, abs=0.5e-4)
    numbers = [400 * result.probability(count) for count in range(6)]
    assert numbers == pytest.approx([214.15, 122.79, 45.02, 13.40, 3.53, 0.86], abs=0.006)
    assert [round(number) for number in numbers] == [214, 123, 45, 13, 4, 1]


@pytest.mark.parametrize(
    ("squares", "mu2", "mu3", "expected", "grouped"),
    # Student 1907: moments (divisor N) as printed, Poisson fits recomputed; sets III and IV from
    # memory
    [
        (
            (213, 128, 37, 18, 3, 1),
            0.8117,
            1.0876,
            (202.14, 137.96, 47.08, 10.71, 1.83, 0.25),
            (10.04, 2, 0.0066),
        ),
        (
            (103, 143, 98, 42, 8, 4, 2),
            1.2835,
            1.3572,
            (106.59, 140.96, 93.21, 41.09, 13.59, 3.59, 0.79),
            (1.37, 3, 0.714),
        ),
        (
            (75, 103, 121, 54, 30, 13, 2, 1, 0, 1),
            1.9600,
            2.5290,
            (66.12, 119.02, 107.11, 64.27, 28.92, 10.41, 3.12, 0.80, 0.18, 0.04),
            (7.24, 4, 0.124),
        ),
        (
            (0, 20, 43, 53, 86, 70, 54, 37, 18, 10, 5, 2, 2),
            4.4576,
            4.9821,
            (3.71, 17.37, 40.65, 63.41, 74.19, 69.44, 54.16, 36.21, 21.18, 11.02, 5.16, 2.19, 0.86),
            (4.39, 8, 0.820),
        ),
    ],
)
def test_the_four_sets_of_yeast_and_their_poisson_fits(
    squares: tuple[int, ...],
    mu2: float,
    mu3: float,
    expected: tuple[float, ...],
    grouped: tuple[float, int, float],
) -> None:
    """Second and third moment to four decimals, the numbers expected by chance to two, and how well
    they fit: χ² of classes in which 5 or more are expected, its degrees of freedom and p."""
    counts = spread(squares)
    mean = sum(counts) / 400
    for power, moment in ((2, mu2), (3, mu3)):
        assert sum((count - mean) ** power for count in counts) / 400 == pytest.approx(
            moment, abs=0.6e-4
        )
    chance = NegativeBinomial(mean, math.inf, 0.0)
    numbers = [400 * chance.probability(count) for count in range(len(expected))]
    assert numbers == pytest.approx(expected, abs=0.006)
    numbers[-1] += 400 - sum(numbers)  # all that is more than the last
    classes = in_classes(list(zip(squares, numbers, strict=True)))
    fit_of_chance = sum((seen - there) ** 2 / there for seen, there in classes)
    degrees = len(classes) - 2
    assert (round(fit_of_chance, 2), degrees) == grouped[:2]
    assert chdtrc(degrees, fit_of_chance) == pytest.approx(grouped[2], abs=0.6e-3)


@pytest.mark.parametrize(
    ("squares", "classes", "p"),
    # Student 1907, Biometrika 5:351-360, his own P (from memory)
    [
        ((213, 128, 37, 18, 3, 1), 5, 0.04),
        ((103, 143, 98, 42, 8, 4, 2), 7, 0.68),
        ((75, 103, 121, 54, 30, 13, 2, 1, 0, 1), 8, 0.25),
        ((0, 20, 43, 53, 86, 70, 54, 37, 18, 10, 5, 2, 2), 13, 0.64),
    ],
)
def test_student_s_own_p_values_come_out(squares: tuple[int, ...], classes: int, p: float) -> None:
    """His grouping is not at hand; this one gives three of them to both decimals and the second,
    .68, as .67: what chance expects rounded to whole squares, the last class with all that are
    more, and as many degrees of freedom as classes less one, as before Fisher (1922) took one more
    for the mean. (With the whole part 106 of the 106.59 that set II expects first it is .68.)"""
    mean = sum(cells * times for cells, times in enumerate(squares)) / 400
    chance = NegativeBinomial(mean, math.inf, 0.0)
    expected = [400 * chance.probability(cells) for cells in range(classes - 1)]
    expected.append(400 - sum(expected))
    seen = [*squares[: classes - 1], sum(squares[classes - 1 :])]
    pairs = zip(seen, map(round, expected), strict=True)
    found = float(chdtrc(classes - 1, sum((one - there) ** 2 / there for one, there in pairs)))
    assert round(found, 2) == pytest.approx(p, abs=0.011 if p == 0.68 else 1e-9)


def in_classes(pairs: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Join classes, from both ends inwards, until 5 or more are expected in each."""
    whole = list(pairs)
    for end in (0, -1):
        while whole[end][1] < 5:
            seen, there = whole.pop(end)
            whole[end] = (whole[end][0] + seen, whole[end][1] + there)
    return whole


@pytest.mark.parametrize("number", [1, 3])
def test_sets_that_scatter_no_more_than_chance_have_an_infinite_k(number: int) -> None:
    """Sets II and IV: their variance lies below their mean."""
    sets = {
        1: (103, 143, 98, 42, 8, 4, 2),
        3: (0, 20, 43, 53, 86, 70, 54, 37, 18, 10, 5, 2, 2),
    }
    assert fitted(sets[number]).k == math.inf
    assert moment_k(spread(sets[number])) == math.inf
