"""The index of dispersion against published counts and χ² points."""

from __future__ import annotations

import math

import pytest
from scipy.special import chdtri, ndtr

from counter.statistics.dispersion import Agreement, dispersion
from counter.statistics.estimate import QUASI_POISSON, estimate_counts
from counter.statistics.poisson import garwood
from counter.statistics.proportionality import Level
from counter.statistics.scatter import GUESSED_INDEX
from counter.statistics.sizes import sizes_of

# counts of equal volumes, index, X² (three decimals), p of the upper tail, what it says
REPLICATES = [
    # C. gigas 2017, open data
    ((151, 139, 157), 0.564, 1.128, "0.569", Agreement.CHANCE),
    ((132, 72, 91), 9.563, 19.125, "7.03e-05", Agreement.CLUMPED),
    # Spencer et al. 2021, open data of 2018
    ((88, 58, 82), 3.316, 6.632, "0.0363", Agreement.CLUMPED),
    ((152, 214, 163), 6.206, 12.412, "0.00202", Agreement.CLUMPED),
    ((443, 482, 571), 8.632, 17.263, "0.000178", Agreement.CLUMPED),
    ((55, 5, 48), 20.361, 40.722, "1.44e-09", Agreement.CLUMPED),
    ((97, 97, 959), 644.444, 1288.888, "1.3e-280", Agreement.CLUMPED),
    # computed
    ((20, 20, 20), 0, 0, "1", Agreement.TOO_REGULAR),
    ((98, 102, 95, 105, 100), 0.145, 0.580, "0.965", Agreement.EVEN),
]


@pytest.mark.parametrize(("counts", "index", "chi2", "p", "says"), REPLICATES)
def test_replicates_have_their_published_index(
    counts: tuple[int, ...], index: float, chi2: float, p: str, says: Agreement
) -> None:
    """Index, X² and p to the digits that are printed, and the word for them."""
    computed = dispersion(counts, [0.25] * len(counts))
    assert computed is not None
    assert computed.index == pytest.approx(index, abs=0.6e-3)
    assert computed.chi2 == pytest.approx(chi2, abs=0.6e-3)
    digits = len(p.partition("e")[0].replace(".", "").lstrip("0"))
    assert float(f"{computed.p_upper:.{digits}g}") == pytest.approx(float(p), rel=1e-9)
    assert computed.agreement is says


# Student 1907, Biometrika 5:351-360: yeast cells in 400 squares of a haemacytometer, how many
# squares with 0, 1, 2 … cells; sets I and II from a public copy, III and IV from memory. Mean as
# printed by Student; X² and p computed.
STUDENT = [
    ((213, 128, 37, 18, 3, 1), 0.6825, 475.72, 0.0049),
    ((103, 143, 98, 42, 8, 4, 2), 1.3225, 388.20, 0.641),
    ((75, 103, 121, 54, 30, 13, 2, 1, 0, 1), 1.8000, 435.56, 0.100),
    ((0, 20, 43, 53, 86, 70, 54, 37, 18, 10, 5, 2, 2), 4.6800, 380.99, 0.734),
    # Bliss & Fisher 1953, Biometrics 9:176-200: mites on 150 apple leaves
    ((70, 38, 17, 10, 9, 3, 2, 1), 1.14667, 295.44, 1e-11),
]


@pytest.mark.parametrize(("squares", "mean", "chi2", "p"), STUDENT)
def test_squares_of_a_haemacytometer_have_their_published_index(
    squares: tuple[int, ...], mean: float, chi2: float, p: float
) -> None:
    """Student's four sets of yeast, and mites on leaves: mean, X² and p."""
    counts = [cells for cells, times in enumerate(squares) for _ in range(times)]
    computed = dispersion(counts, [1.0] * len(counts))
    assert computed is not None
    assert sum(counts) / len(counts) == pytest.approx(mean, abs=0.5e-4)
    assert computed.chi2 == pytest.approx(chi2, abs=0.6e-2)
    assert computed.degrees_of_freedom == len(counts) - 1
    assert computed.p_upper == pytest.approx(p, rel=0.2 if p < 1e-4 else 0.02)


@pytest.mark.parametrize(
    ("degrees", "upper"),
    [
        (1, 3.841),
        (2, 5.991),
        (3, 7.815),
        (4, 9.488),
        (5, 11.070),
        (9, 16.919),
        (19, 30.144),
        (29, 42.557),
    ],
)
def test_the_five_percent_points_are_those_of_the_chi_square_table(
    degrees: int, upper: float
) -> None:
    """Scatter just above the 5 % point of the table is called clumped, just below perhaps so."""
    assert float(chdtri(degrees, 0.05)) == pytest.approx(upper, abs=0.5e-3)
    mean = 10_000
    for chi2, says in ((upper * 1.01, Agreement.CLUMPED), (upper * 0.99, Agreement.PERHAPS)):
        off = round((chi2 * mean / 2) ** 0.5)
        counts = [mean + off, mean - off, *[mean] * (degrees - 1)]
        computed = dispersion(counts, [1.0] * len(counts))
        assert computed is not None
        assert computed.agreement is says


@pytest.mark.parametrize(
    ("counts", "low", "high"),
    # Poisson limits of the mean as published beside the counts above
    [((151, 139, 157), 135.51, 163.47), ((88, 58, 82), 66.45, 86.53), ((20, 20, 20), 15.26, 25.74)],
)
def test_the_pooled_limits_are_as_published_or_wider(
    counts: tuple[int, ...], low: float, high: float
) -> None:
    """Limits of the mean from the pooled count; clumped counts get wider ones, named so."""
    result = estimate_counts(counts, [1.0] * 3)
    assert result.density_low_per_ml is not None
    assert result.density_high_per_ml is not None
    if result.method == QUASI_POISSON:
        assert result.density_low_per_ml < low - 1
        assert result.density_high_per_ml > high + 1
    else:
        assert result.density_low_per_ml == pytest.approx(low, abs=0.006)
        assert result.density_high_per_ml == pytest.approx(high, abs=0.006)


@pytest.mark.parametrize(
    ("counts", "low", "high"),
    # 95 % of the mean by Student's t on the counts themselves, published beside the counts above
    [
        ((151, 139, 157), 126.23, 171.77),
        ((88, 58, 82), 36.57, 115.43),
        ((152, 214, 163), 94.16, 258.51),
        ((443, 482, 571), 335.69, 661.64),
        ((132, 72, 91), 22.16, 174.51),
        ((55, 5, 48), -31.3, 103.3),
    ],
)
def test_limits_for_uneven_mixing_are_as_wide_as_student_s_but_never_negative(
    counts: tuple[int, ...], low: float, high: float
) -> None:
    """Within a tenth of the width, until Student's come near zero or below it, which no limits of
    a count do."""
    result = estimate_counts(counts, [1.0] * 3)
    shown = result.uneven or result
    assert shown.density_low_per_ml is not None
    assert shown.density_high_per_ml is not None
    assert shown.density_low_per_ml > 0
    width = shown.density_high_per_ml - shown.density_low_per_ml
    assert width == pytest.approx(high - low, rel=0.1 if low > 50 else 0.35)


@pytest.mark.parametrize(
    ("degrees", "lower", "upper"),
    [
        (1, 0.001, 5.024),
        (2, 0.051, 7.378),
        (3, 0.216, 9.348),
        (4, 0.484, 11.143),
        (5, 0.831, 12.833),
        (9, 2.700, 19.023),
        (19, 8.907, 32.852),
        (29, 16.047, 45.722),
    ],
)
def test_the_two_sided_points_are_those_of_the_chi_square_table(
    degrees: int, lower: float, upper: float
) -> None:
    """2.5 % below and above (Elliott 1977, Freshwater Biological Association Scientific
    Publication 25, from memory): scatter at the points has these tails."""
    mean = 1_000_000
    for chi2, tail in ((lower, "p_lower"), (upper, "p_upper")):
        off = round((chi2 * mean / 2) ** 0.5)
        counts = [mean + off, mean - off, *[mean] * (degrees - 1)]
        computed = dispersion(counts, [1.0] * len(counts))
        assert computed is not None
        assert getattr(computed, tail) == pytest.approx(0.025, rel=0.02)


# Beside the counts above: mean, CV in percent, Poisson limits of the mean from all counted, limits
# by Student's t on the counts themselves (None: not in print, or only that they are negative)
LIMITS = [
    ((151, 139, 157), 149.000, 6.2, (135.51, 163.47), (126.23, 171.77)),
    ((88, 58, 82), 76.000, 20.9, (66.45, 86.53), (36.57, 115.43)),
    ((152, 214, 163), 176.333, 18.8, (161.63, 192.02), (94.16, 258.51)),
    ((132, 72, 91), 98.333, 31.2, (87.43, 110.22), (22.16, 174.51)),
    ((443, 482, 571), 498.667, 13.2, (473.71, 524.59), (335.69, 661.64)),
    ((55, 5, 48), 36.000, 75.2, (29.53, 43.46), (-31.3, 103.3)),
    ((97, 97, 959), 384.333, 129.5, None, None),
    ((20, 20, 20), 20.0, 0.0, (15.26, 25.74), (20.0, 20.0)),
    ((98, 102, 95, 105, 100), 100.0, 3.8, (91.43, 109.16), (95.27, 104.73)),
]
Pair = tuple[float, float]


@pytest.mark.parametrize(("counts", "mean", "cv", "poisson", "student"), LIMITS)
def test_mean_cv_and_both_kinds_of_limits_are_as_published(
    counts: tuple[int, ...], mean: float, cv: float, poisson: Pair | None, student: Pair | None
) -> None:
    """Each to its printed digits. Student's fall below zero where counts disagree most."""
    level = Level(1.0, counts)
    assert level.mean == pytest.approx(mean, abs=0.51e-3)
    assert level.cv is not None
    assert 100 * level.cv == pytest.approx(cv, abs=0.051)
    if poisson is not None:
        pooled = [limit / len(counts) for limit in garwood(sum(counts))]
        assert pooled == pytest.approx(poisson, abs=0.51e-2)
    found = sizes_of(counts)
    assert found is not None
    if student is None:
        assert found.mean_limits[0] is not None
        assert found.mean_limits[0] < 0
    else:
        digit = 0.051 if student[0] < 0 else 0.51e-2
        assert found.mean_limits == pytest.approx(student, abs=digit)


def test_counts_that_are_too_even_have_a_small_lower_tail() -> None:
    """98, 102, 95, 105, 100: 0.0347 (computed); three equal counts: 0."""
    even = dispersion([98, 102, 95, 105, 100], [1.0] * 5)
    alike = dispersion([20, 20, 20], [1.0] * 3)
    assert even is not None
    assert alike is not None
    assert even.p_lower == pytest.approx(0.0347, abs=0.51e-4)
    assert alike.p_lower == 0


@pytest.mark.parametrize(("squares", "number"), [(row[0], n) for n, row in enumerate(STUDENT)])
def test_more_than_thirty_squares_follow_the_normal_rule(
    squares: tuple[int, ...], number: int
) -> None:
    """d = √(2X²) - √(2 df - 1) is normal for df > 30, |d| > 1.96 is not chance (Elliott 1977, from
    memory): so of the first of Student's sets and of the mites, as χ² says too."""
    counts = [cells for cells, times in enumerate(squares) for _ in range(times)]
    computed = dispersion(counts, [1.0] * len(counts))
    assert computed is not None
    d = math.sqrt(2 * computed.chi2) - math.sqrt(2 * computed.degrees_of_freedom - 1)
    assert (d > 1.96) == (computed.p_upper < 0.025) == (number in (0, 4))
    assert float(ndtr(-d)) == pytest.approx(computed.p_upper, abs=0.006)


@pytest.mark.parametrize(
    ("number", "total", "index"),
    # sum and index of dispersion of Student's sets and of Bliss and Fisher's mites, computed
    [(0, 273, 1.1923), (1, 529, 0.9729), (2, 720, 1.0916), (3, 1872, 0.9549), (4, 172, 1.9828)],
)
def test_sum_and_index_of_the_squares_come_out(number: int, total: int, index: float) -> None:
    """The index to its four decimals."""
    counts = [cells for cells, times in enumerate(STUDENT[number][0]) for _ in range(times)]
    computed = dispersion(counts, [1.0] * len(counts))
    assert sum(counts) == total
    assert computed is not None
    assert computed.index == pytest.approx(index, abs=0.51e-4)


@pytest.mark.parametrize(
    ("index", "half", "degrees", "p"),
    [
        # pooled over 26 sets of hatch counts, C. gigas 2017, open data
        (2.81, 0.005, 52, "7e-11"),
        # O. lurida 2018, Spencer et al. 2021, open data: without both slips; of the dead alone
        (1.073, 0.0005, 316, "0.18"),
        (1.44, 0.005, 172, "0.00016"),
    ],
)
def test_pooled_indices_of_open_data_have_their_probabilities(
    index: float, half: float, degrees: int, p: str
) -> None:
    """The index is printed rounded (``half`` a digit up or down): the p in print lies between those
    of both ends. The counts themselves are not at hand. The guess in use is the first of these,
    which is × 1.68 on the standard error."""
    mean = 100_000_000
    ends = []
    for end in (index - half, index + half):
        off = round((end * degrees * mean / 2) ** 0.5)
        computed = dispersion(
            [mean + off, mean - off, *[mean] * (degrees - 1)], [1.0] * (degrees + 1)
        )
        assert computed is not None
        assert computed.index == pytest.approx(end, rel=1e-4)
        ends.append(computed.p_upper)
    digits = len(p.partition("e")[0].replace(".", "").lstrip("0"))
    highest, lowest = (float(f"{end:.{digits}g}") for end in ends)
    assert lowest <= float(p) <= highest
    assert math.sqrt(2.81) == pytest.approx(1.68, abs=0.51e-2)
    assert pytest.approx(2.81, abs=0.011) == GUESSED_INDEX
