"""The volumes of the chambers that ship, against published ones."""

from __future__ import annotations

import pytest

from counter.domain.catalogue import chamber, chambers
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
