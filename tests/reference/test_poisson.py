"""Garwood's exact limits against the table and against another implementation."""

from __future__ import annotations

import math

import pytest
from scipy.stats import chi2

from counter.statistics.poisson import garwood, one_sided_upper

# n, then lower and upper limit at 95, 90 and 99 %, to four decimals. Garwood 1936, Biometrika
# 28:437-442: n = 0, 1, 2, 5, 10 as in the standard table (from memory), the others from the
# formula χ²(α/2; 2n)/2, χ²(1 - α/2; 2n + 2)/2.
GARWOOD = [
    (0, 0, 3.6889, 0, 2.9957, 0, 5.2983),
    (1, 0.0253, 5.5716, 0.0513, 4.7439, 0.0050, 7.4301),
    (2, 0.2422, 7.2247, 0.3554, 6.2958, 0.1035, 9.2738),
    (3, 0.6187, 8.7673, 0.8177, 7.7537, 0.3379, 10.9775),
    (4, 1.0899, 10.2416, 1.3663, 9.1535, 0.6722, 12.5941),
    (5, 1.6235, 11.6683, 1.9701, 10.5130, 1.0779, 14.1498),
    (6, 2.2019, 13.0595, 2.6130, 11.8424, 1.5369, 15.6597),
    (7, 2.8144, 14.4227, 3.2853, 13.1481, 2.0373, 17.1336),
    (8, 3.4538, 15.7632, 3.9808, 14.4346, 2.5711, 18.5782),
    (9, 4.1154, 17.0848, 4.6952, 15.7052, 3.1324, 19.9984),
    (10, 4.7954, 18.3904, 5.4254, 16.9622, 3.7169, 21.3978),
    (15, 8.3954, 24.7402, 9.2463, 23.0971, 6.8934, 28.1641),
    (20, 12.2165, 30.8884, 13.2547, 29.0620, 10.3533, 34.6680),
    (25, 16.1787, 36.9049, 17.3821, 34.9161, 13.9954, 41.0004),
    (30, 20.2409, 42.8269, 21.5940, 40.6905, 17.7672, 47.2093),
    (50, 37.1110, 65.9188, 38.9647, 63.2871, 33.6638, 71.2661),
    (100, 81.3640, 121.6268, 84.1393, 118.0793, 76.1205, 128.7606),
    (200, 173.2409, 229.7220, 177.3205, 224.8744, 165.4514, 239.3942),
    (400, 361.7563, 441.1866, 367.6812, 434.4968, 350.3625, 454.4574),
    (1000, 938.9730, 1063.9521, 948.5598, 1053.6031, 920.4240, 1084.3729),
]


@pytest.mark.parametrize("row", GARWOOD, ids=lambda row: f"n={row[0]}")
def test_the_limits_are_those_of_the_table(row: tuple[float, ...]) -> None:
    """Every entry at 95, 90 and 99 % to its four decimals."""
    count = int(row[0])
    for level, printed in ((0.95, row[1:3]), (0.90, row[3:5]), (0.99, row[5:7])):
        assert garwood(count, level) == pytest.approx(printed, abs=0.5001e-4)


@pytest.mark.parametrize("level", [0.5, 0.8, 0.95, 0.999])
@pytest.mark.parametrize("count", [1, 7, 313, 100_000])
def test_the_limits_agree_with_the_chi_square_quantiles(count: int, level: float) -> None:
    """The incomplete gamma function gives what χ² quantiles of scipy give."""
    tail = (1 - level) / 2
    expected = chi2.ppf(tail, 2 * count) / 2, chi2.isf(tail, 2 * count + 2) / 2
    assert garwood(count, level) == pytest.approx(expected, rel=1e-9)


def test_a_published_rate_has_its_published_limits() -> None:
    """137 events in 24.19893: 5.661407, 4.753125 to 6.692709 (R manual, poisson.test)."""
    low, high = (limit / 24.19893 for limit in garwood(137))
    assert pytest.approx(5.661407, abs=0.5e-6) == 137 / 24.19893
    assert (low, high) == pytest.approx((4.753125, 6.692709), abs=1e-6)


def test_zero_counted_has_a_one_sided_limit_of_three() -> None:
    """-ln 0.05 = 2.9957, the rule of three; the two-sided limit is 3.6889."""
    assert one_sided_upper(0) == pytest.approx(-math.log(0.05))
    assert garwood(0)[1] == pytest.approx(3.6889, abs=0.5e-4)


@pytest.mark.parametrize(
    ("count", "below", "above"),
    [
        (4, 73, 156),
        (25, 35, 48),
        (50, 25.8, 31.8),
        (100, 18.6, 21.6),
        (200, 13.4, 14.9),
        (400, 9.6, 10.3),
        (1000, 6.1, 6.4),
    ],
)
def test_the_precision_of_a_count_is_as_computed(count: int, below: float, above: float) -> None:
    """Percent below and above the count, beside Lund, Kipling & Le Cren's 2/√n (1958)."""
    low, high = garwood(count)
    digits = 0.06 if below % 1 or above % 1 else 0.51
    assert 100 * (1 - low / count) == pytest.approx(below, abs=digits)
    assert 100 * (high / count - 1) == pytest.approx(above, abs=digits)
