"""The index of dispersion against published counts and χ² points."""

from __future__ import annotations

import pytest
from scipy.special import chdtri

from counter.statistics.dispersion import Agreement, dispersion
from counter.statistics.estimate import QUASI_POISSON, estimate_counts
from counter.statistics.proportionality import Level

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


def test_the_coefficients_of_variation_are_as_published() -> None:
    """Beside the counts above, in percent; the mean to three decimals."""
    for counts, mean, cv in (
        ((151, 139, 157), 149.000, 6.2),
        ((88, 58, 82), 76.000, 20.9),
        ((152, 214, 163), 176.333, 18.8),
        ((132, 72, 91), 98.333, 31.2),
        ((443, 482, 571), 498.667, 13.2),
        ((55, 5, 48), 36.000, 75.2),
        ((97, 97, 959), 384.333, 129.5),
    ):
        level = Level(1.0, counts)
        assert level.mean == pytest.approx(mean, abs=0.51e-3)
        assert level.cv is not None
        assert 100 * level.cv == pytest.approx(cv, abs=0.051)
