"""The stage tables that ship, against common practice and against what is in print."""

from __future__ import annotations

import pytest

from counter.domain.catalogue import species, species_list

OYSTER_STAGES = ("trochophore", "d-hinge", "umbo", "eyed", "pediveliger")


@pytest.mark.practice
@pytest.mark.parametrize(
    ("length_um", "stage"),
    [
        (60, "d-hinge"),  # day 2
        (65, "d-hinge"),
        (70, "d-hinge"),
        (160, "umbo"),  # day 6
        (180, "umbo"),
        (250, "umbo"),  # day 9: not yet eyed, that is on day 10 to 12
        (275, "umbo"),
        (285, "eyed"),  # between day 9 and the pediveliger of day 11 to 14
        (300, "pediveliger"),
        (320, "pediveliger"),
    ],
)
def test_the_eastern_oyster_grows_as_hatcheries_know_it(length_um: float, stage: str) -> None:
    """Shell lengths by day at hatchery temperature fall into the stage of that day."""
    assert species("eastern-oyster").stage_of(length_um) == stage


@pytest.mark.practice
def test_every_larva_of_the_eastern_oyster_is_looked_for() -> None:
    """From a small D-hinge larva to a large pediveliger, but no alga (20 µm and less)."""
    low, high = species("eastern-oyster").larva_um
    assert 20 < low < 55
    assert high > 380


@pytest.mark.parametrize(
    ("key", "length_um", "stage"),
    [
        ("eastern-oyster", 75, "d-hinge"),  # AmP: Galtsoff 1964; Gallager & Mann 1986
        ("pacific-oyster", 72, "d-hinge"),  # AmP, day 2 at 24-25 °C: 72-80 µm
        ("pacific-oyster", 80, "d-hinge"),
        ("pacific-oyster", 320, "pediveliger"),  # FAO 471, part 5.1.5: settlement 320-340 µm
        ("hard-clam", 200, "pediveliger"),  # SRAC Publication 4301: settlement at 200-215 µm
        ("bay-scallop", 78, "d-hinge"),  # Sastry 1965
        ("bay-scallop", 85, "d-hinge"),  # Chanley & Andrews 1971
        ("bay-scallop", 179.7, "pediveliger"),  # Korean J. Malacology: foot and eye, day 8
        ("blue-mussel", 300, "pediveliger"),  # Widdows 1991
        ("flat-oyster", 150, "d-hinge"),  # AmP: in the brood
        ("flat-oyster", 325, "pediveliger"),  # Jacobs et al. 2020: settlement up to 325 µm
    ],
)
def test_printed_lengths_fall_into_their_stage(key: str, length_um: float, stage: str) -> None:
    """A length that is in print for a stage is given that stage."""
    assert species(key).stage_of(length_um) == stage


@pytest.mark.parametrize(
    ("key", "low_um", "high_um"),
    [
        ("eastern-oyster", 55, 75),  # SRAC Publication 432, Galtsoff 1964: unhydrated
        ("bay-scallop", 54.1, 67.4),  # Korean J. Malacology
        ("blue-mussel", 70, 70),  # Widdows 1991
        ("flat-oyster", 140, 140),  # AmP collection
    ],
)
def test_eggs_of_printed_sizes_are_looked_for(key: str, low_um: float, high_um: float) -> None:
    """The search limits hold the printed sizes with room on both sides."""
    low, high = species(key).egg_um
    assert low < low_um <= high_um < high


def test_all_six_species_are_there_with_sources() -> None:
    """Every stage has its source; the oysters have the five stages of the trade."""
    found = species_list()
    assert set(found) >= {
        "eastern-oyster",
        "pacific-oyster",
        "hard-clam",
        "bay-scallop",
        "blue-mussel",
        "flat-oyster",
    }
    assert all(stage.source for one in found.values() for stage in one.stages)
    for key in ("eastern-oyster", "pacific-oyster", "flat-oyster"):
        assert tuple(entry.stage for entry in found[key].stages) == OYSTER_STAGES
