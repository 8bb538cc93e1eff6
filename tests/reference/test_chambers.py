"""The volumes of the chambers that ship, against published ones."""

from __future__ import annotations

import math

import pytest

from counter.domain.catalogue import chamber, chambers
from counter.domain.chamber import Chamber
from counter.domain.edges import EdgeRule
from counter.statistics.estimate import estimate_counts

# name of the ruled part, its volume in µL, and who says so
PARTS = [
    # maker's data sheet; APHA Standard Methods 10200 F (from memory)
    ("sedgewick-rafter", "square of 1 mm", 1.0),
    ("sedgewick-rafter", "strip of 50 squares", 50.0),
    ("sedgewick-rafter", "column of 20 squares", 20.0),
    # haemocytometer teaching text
    ("improved-neubauer", "large square", 0.1),
    ("improved-neubauer", "centre group", 0.004),
    # from memory
    ("improved-neubauer", "corner sixteenth", 0.00625),
    ("improved-neubauer", "smallest square", 0.00025),
    ("fuchs-rosenthal", "large square", 0.2),
    ("fuchs-rosenthal", "smallest square", 0.0125),
]


@pytest.mark.parametrize(("key", "part", "volume_ul"), PARTS)
def test_each_ruled_square_holds_its_published_volume(
    key: str, part: str, volume_ul: float
) -> None:
    """Area × depth of each kind of square is the volume in print."""
    one = chamber(key)
    (square,) = [square for square in one.squares if square.name == part]
    assert one.volume_of_area_ul(square.area_mm2) == pytest.approx(volume_ul, rel=1e-12)


@pytest.mark.parametrize(
    ("key", "volume_ul", "rel"),
    [
        ("sedgewick-rafter", 1000.0, 1e-12),  # maker's data sheet
        ("palmer-maloney", 100.7, 1e-3),  # π/4 × 17.9² × 0.4; printed as 0.1 mL in APHA 10200 F
        ("improved-neubauer", 0.9, 1e-12),  # haemocytometer teaching text: 0.9 mm³
        ("fuchs-rosenthal", 3.2, 1e-12),  # from memory
    ],
)
def test_each_whole_chamber_holds_its_published_volume(
    key: str, volume_ul: float, rel: float
) -> None:
    """Area × depth of the whole chamber is the volume in print."""
    assert chamber(key).volume_ul == pytest.approx(volume_ul, rel=rel)


@pytest.mark.parametrize(
    ("key", "part", "factor"),
    [
        # one seen in a full cell is the least that can be seen: LeGresley & McDermott, IOC Manual
        # 55 (from memory)
        ("sedgewick-rafter", None, 1.0),
        ("sedgewick-rafter", "strip of 50 squares", 20.0),  # APHA 10200 F, from memory
        ("sedgewick-rafter", "column of 20 squares", 50.0),
        ("improved-neubauer", None, 1111.1),  # haemocytometer teaching text
        ("improved-neubauer", "large square", 1e4),
        ("improved-neubauer", "centre group", 2.5e5),
        ("improved-neubauer", "corner sixteenth", 1.6e5),
        ("improved-neubauer", "smallest square", 4e6),
        ("fuchs-rosenthal", None, 312.5),  # from memory
        ("fuchs-rosenthal", "large square", 5000.0),
        ("fuchs-rosenthal", "smallest square", 8e4),
    ],
)
def test_a_count_times_the_published_factor_is_the_density(
    key: str, part: str | None, factor: float
) -> None:
    """One counted in the whole chamber, or in one square, is so many in a mL."""
    one = chamber(key)
    areas = {square.name: square.area_mm2 for square in one.squares}
    volume_ul = one.volume_ul if part is None else one.volume_of_area_ul(areas[part])
    assert volume_ul is not None
    assert estimate_counts([1], [volume_ul / 1000]).density_per_ml == pytest.approx(
        factor, rel=5e-5
    )


def test_the_whole_volume_chamber_has_no_volume_of_its_own() -> None:
    """What was pipetted into a well or tray must be typed."""
    assert chamber("whole-volume").is_whole_volume
    assert chamber("whole-volume").volume_ul is None


def test_every_chamber_says_where_its_geometry_was_read() -> None:
    """No constant without its source."""
    assert all(one.source for one in chambers().values())
    assert set(chambers()) >= {
        "sedgewick-rafter",
        "palmer-maloney",
        "improved-neubauer",
        "fuchs-rosenthal",
        "whole-volume",
    }


def test_a_certified_nannoplankton_cell_stands_over_its_geometry() -> None:
    """A cell certified as 0.08 mL has the factor 12.5 (maker's data sheet), not 10."""
    certified = chamber("palmer-maloney").certified(80.0)
    assert certified.volume_ul is not None
    assert 1000 / certified.volume_ul == pytest.approx(12.5)


def test_a_palmer_maloney_cell_taken_as_a_tenth_of_a_millilitre_has_the_factor_ten() -> None:
    """The disc of 17.9 mm is 251.6 mm² (computed); filled as 0.1 mL one seen is 10 per mL, and a
    field of area A in mm² has the factor 1000/(0.4 A) (APHA 10200 F, from memory)."""
    cell = chamber("palmer-maloney")
    assert cell.area_mm2 == pytest.approx(251.6, abs=0.06)
    assert estimate_counts([1], [0.1]).density_per_ml == pytest.approx(10.0)
    volume_ml = cell.volume_of_area_ul(2.5447) / 1000
    assert estimate_counts([1], [volume_ml]).density_per_ml == pytest.approx(1000 / (0.4 * 2.5447))


@pytest.mark.parametrize(
    ("key", "small", "large", "number"),
    [
        # 25 groups of 0.04 mm² fill a large square (haemocytometer teaching text), 400 smallest
        # ones too, 16 to a group; 80 smallest are 5 groups; 16 sixteenths (from memory)
        ("improved-neubauer", "centre group", "large square", 25),
        ("improved-neubauer", "smallest square", "large square", 400),
        ("improved-neubauer", "smallest square", "centre group", 16),
        ("improved-neubauer", "corner sixteenth", "large square", 16),
        ("improved-neubauer", "large square", None, 9),
        ("fuchs-rosenthal", "smallest square", "large square", 16),  # from memory
        ("fuchs-rosenthal", "large square", None, 16),
        ("sedgewick-rafter", "square of 1 mm", None, 1000),  # maker's data sheet
    ],
)
def test_so_many_small_squares_make_a_large_one(
    key: str, small: str, large: str | None, number: int
) -> None:
    """By their areas; None is the whole ruled chamber."""
    one = chamber(key)
    areas = {square.name: square.area_mm2 for square in one.squares}
    whole = one.area_mm2 if large is None else areas[large]
    assert whole == pytest.approx(number * areas[small], rel=1e-12)


def test_five_groups_have_the_published_factor() -> None:
    """One in 5 groups, or in 80 smallest squares, is 5 × 10⁴ per mL (haemocytometer teaching
    text; the squares from memory)."""
    one = chamber("improved-neubauer")
    areas = {square.name: square.area_mm2 for square in one.squares}
    for area_mm2 in (5 * areas["centre group"], 80 * areas["smallest square"]):
        volume_ml = one.volume_of_area_ul(area_mm2) / 1000
        assert estimate_counts([1], [volume_ml]).density_per_ml == pytest.approx(5e4)


def test_a_buerker_chamber_of_the_hatchery_s_own_holds_its_volume() -> None:
    """9 mm², 0.1 mm deep: 0.9 µL, as the Neubauer (from memory)."""
    own = Chamber("buerker", "Buerker", 9.0, 0.1)
    assert own.volume_ul == pytest.approx(0.9)
    assert own.volume_of_area_ul(0.04) == pytest.approx(0.004)


@pytest.mark.parametrize(("diameter_mm", "area_mm2"), [(25.0, 490.9), (25.5, 510.7), (26.0, 530.9)])
@pytest.mark.parametrize("settled_ml", [2.97, 5.0, 10.0, 25.0, 50.0, 100.0])
def test_a_settling_chamber_counts_by_its_base_and_what_was_settled_in_it(
    diameter_mm: float, area_mm2: float, settled_ml: float
) -> None:
    """Utermöhl: N/mL = C × base ÷ (fields × area of a field × volume settled) (EN 15204 and IOC
    Manuals and Guides 55, 2010, as quoted; the areas of the base computed). Such a chamber is one
    of the hatchery's own whose volume is typed, whatever its height."""
    base_mm2 = math.pi / 4 * diameter_mm**2
    assert base_mm2 == pytest.approx(area_mm2, abs=0.06)
    one = Chamber("utermoehl", "Utermöhl", base_mm2, 10.0).certified(1000 * settled_ml)
    counted, fields, field_mm2 = 240, 30, 0.5
    volume_ml = one.volume_of_area_ul(fields * field_mm2) / 1000
    expected = counted * area_mm2 / (fields * field_mm2 * settled_ml)
    assert estimate_counts([counted], [volume_ml]).density_per_ml == pytest.approx(
        expected, rel=2e-4
    )


def test_a_volume_is_never_a_copied_factor() -> None:
    """A textbook (Barsanti & Gualtieri, Algae, page 248) prints a grid 0.1 mm deep as holding
    64 × 10⁻³ mL: that takes 640 mm²; the grid of 0.64 mm² holds 64 × 10⁻³ µL (computed)."""
    assert Chamber("grid", "grid", 640.0, 0.1).volume_ul == pytest.approx(64.0)
    assert Chamber("grid", "grid", 0.64, 0.1).volume_ul == pytest.approx(64e-3)


def test_each_published_edge_rule_can_be_chosen() -> None:
    """Bottom and right (EN 15204, as quoted), top and right (Barsanti & Gualtieri, Algae, page 248;
    haemocytometer teaching notes), top and left (common, from memory): two adjacent borders."""
    published = {"bottom-right", "top-right", "top-left"}
    assert {rule.value for rule in EdgeRule} >= published
    assert all({"top", "bottom"} & set(rule.value.split("-")) for rule in EdgeRule)
    assert all({"left", "right"} & set(rule.value.split("-")) for rule in EdgeRule)
