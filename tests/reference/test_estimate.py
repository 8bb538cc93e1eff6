"""Worked examples of counting chambers and real rows of open data."""

from __future__ import annotations

import math

import pytest

from counter.domain.catalogue import chamber
from counter.domain.sample import Dilution
from counter.statistics.estimate import POISSON_EXACT, estimate_counts


def test_the_example_of_the_contract_comes_out() -> None:
    """12 larvae in 7.75 µL of a 20 L vessel: 1548.4 per mL, 30,967,741.9 in all."""
    result = estimate_counts([12], [0.00775], vessel_ml=20_000.0)
    assert result.density_per_ml == pytest.approx(1548.4, abs=0.05)
    assert result.total == pytest.approx(30_967_741.9, abs=0.05)
    assert result.low == pytest.approx(16_001_000, rel=1e-3)
    assert result.high == pytest.approx(54_093_000, rel=1e-3)
    assert result.method == POISSON_EXACT
    assert result.dispersion is None


@pytest.mark.parametrize(
    ("counts", "each_ml", "vessel_ml", "density", "total", "low", "high"),
    # Ostrea lurida 2018, Spencer et al. 2021, open data; the totals as printed in the file, the
    # limits computed (Garwood)
    [
        ((112, 98, 103), 0.25, 760, 417.3, 317_173, 283_005, 354_330),  # 4/2/18 B1
        ((92, 73, 75), 0.30, 820, 266.7, 218_667, 191_875, 248_153),  # 3/30/18 B2
        ((89, 113, 93), 0.10, 940, 983.3, 924_333, 821_853, 1_036_060),  # 4/12/18 B2
    ],
)
def test_rows_of_open_data_come_out_as_printed(
    counts: tuple[int, ...],
    each_ml: float,
    vessel_ml: float,
    density: float,
    total: float,
    low: float,
    high: float,
) -> None:
    """Three aliquots each: density, total and limits to the last printed digit."""
    result = estimate_counts(counts, [each_ml] * 3, vessel_ml=vessel_ml)
    assert result.density_per_ml == pytest.approx(density, abs=0.05)
    assert result.total == pytest.approx(total, abs=0.5)
    assert (result.low, result.high) == pytest.approx((low, high), abs=0.5)


@pytest.mark.parametrize(
    ("count", "key", "area_mm2", "density", "digit"),
    [
        (152, "sedgewick-rafter", 1000.0, 152, 1e-9),  # whole cell
        (41, "sedgewick-rafter", 200.0, 205, 1e-9),  # 200 squares
        (63, "sedgewick-rafter", 10 * 20.0, 315, 1e-9),  # 10 columns of 20 µL
        (88, "sedgewick-rafter", 2 * 50.0, 880, 1e-9),  # 2 strips of 1 mm
        (120, "sedgewick-rafter", 15 * math.pi / 4 * 1.8**2, 3143.8, 0.05),  # 15 round fields
        (187, "improved-neubauer", 5 * 0.04, 9.35e6, 1e-3),  # 5 groups, teaching exercise
    ],
)
def test_worked_examples_of_chambers_come_out(
    count: int, key: str, area_mm2: float, density: float, digit: float
) -> None:
    """APHA Standard Methods 10200 F (formula from memory): N/mL = C × 1000 / (area × depth)."""
    volume_ml = chamber(key).volume_of_area_ul(area_mm2) / 1000
    assert estimate_counts([count], [volume_ml]).density_per_ml == pytest.approx(density, abs=digit)


def test_a_whole_cell_from_a_tank_has_its_computed_limits() -> None:
    """152 in 1 mL of an 800 L tank: 1.216 × 10⁸, 1.030-1.425 × 10⁸ (128.8-178.2 on the count)."""
    result = estimate_counts([152], [1.0], vessel_ml=800_000.0)
    assert result.total == pytest.approx(1.216e8)
    assert (result.low, result.high) == pytest.approx((1.030e8, 1.425e8), abs=0.5e5)
    assert (result.count_low, result.count_high) == pytest.approx((128.8, 178.2), abs=0.05)


def test_zero_in_the_chamber_is_not_zero_in_the_tank() -> None:
    """0 in 3 mL of 1000 L: up to 3.6889/3 × 10⁶ = 1.23 million (computed)."""
    result = estimate_counts([0, 0, 0], [1.0] * 3, vessel_ml=1e6)
    assert result.total == 0
    assert result.high == pytest.approx(1.23e6, abs=0.5e4)
    assert "up to 1.23 million in the vessel (the two-sided" in result.warnings[0]


def test_a_combined_example_has_its_computed_limits() -> None:
    """447 in 3 × 0.5 mL of 1000 mL: 298,000, 271,011-326,949 (computed)."""
    result = estimate_counts([150, 149, 148], [0.5] * 3, vessel_ml=1000.0)
    assert result.total == pytest.approx(298_000)
    assert (result.low, result.high) == pytest.approx((271_011, 326_949), abs=0.5)


def test_one_millilitre_in_ten_is_tenfold() -> None:
    """1 mL of sample + 9 mL of water: × 10 (computed from (a + b)/a)."""
    thin = estimate_counts([41], [0.2])
    thick = estimate_counts([41], [0.2], Dilution(1, 9))
    assert thin.density_per_ml is not None
    assert thick.density_per_ml == pytest.approx(10 * thin.density_per_ml)


def test_a_net_haul_is_counted_from_its_concentrate() -> None:
    """N per m³ = count × concentrate ÷ (subsample × water filtered): the concentrate is the vessel
    (APHA Standard Methods 10200 G, formula from memory; 84 in 5 mL of 200 mL from 12 m³ is 280 per
    m³, computed)."""
    result = estimate_counts([84], [5.0], vessel_ml=200.0)
    assert result.total is not None
    assert result.total / 12.0 == pytest.approx(280.0)


def test_aliquots_of_different_volumes_are_a_ratio_of_sums() -> None:
    """50 in 0.25 mL and 90 in 0.60 mL: 140 ÷ 0.85 = 164.7 per mL, not the mean of 200 and 150
    (computed)."""
    result = estimate_counts([50, 90], [0.25, 0.60])
    assert result.density_per_ml == pytest.approx(164.7, abs=0.051)


@pytest.mark.parametrize(
    ("counts", "filling", "word"),
    [
        ((97, 97, 959), "Filling 3 (959", "one digit too many?"),  # 4/14/18 A2, open data 2018
        ((55, 5, 48), "Filling 2 (5 ", "a digit missing?"),  # 4/3/18 A1, open data 2018
    ],
)
def test_typing_slips_found_in_open_data_are_named(
    counts: tuple[int, ...], filling: str, word: str
) -> None:
    """The filling that is ten times off is named with what may have happened."""
    result = estimate_counts(counts, [0.2] * 3, vessel_ml=550.0)
    said = " ".join(result.warnings)
    assert filling in said
    assert word in said
    assert "the limits are widened" in said
