"""The options that say what limits rest on besides the count."""

from __future__ import annotations

import argparse

import pytest

from counter.commands.certainty import add_certainty_arguments, house_of, volumes_of
from counter.domain.uncertainty import UNKNOWN_VOLUMES
from counter.errors import UsageError


def parsed(*options: str) -> argparse.Namespace:
    """The options as a command reads them."""
    parser = argparse.ArgumentParser()
    add_certainty_arguments(parser)
    return parser.parse_args(options)


def test_without_options_nothing_is_known() -> None:
    """So that the limits are those of the count alone."""
    assert volumes_of(parsed()) == UNKNOWN_VOLUMES
    assert house_of(parsed()) is None


def test_each_option_goes_to_its_volume() -> None:
    """Vessel, chamber, pipette and dilution."""
    known = volumes_of(
        parsed(
            *("--vessel-uncertainty", "1 %", "--chamber-uncertainty", "2 %"),
            *("--pipette-uncertainty", "3 %", "--dilution-uncertainty", "4 %"),
        )
    )
    values = [known.vessel, known.chamber, known.pipette, known.dilution]
    assert values == pytest.approx([0.01, 0.02, 0.03, 0.04])
    assert volumes_of(parsed("--pipette-uncertainty", "1000 µL"), 0.5).pipette_each > 0


def test_a_typed_scatter_stands_for_a_history() -> None:
    """Worth as much as 20 samples of three fillings."""
    house = house_of(parsed("--house-scatter", "2,8"))
    assert house is not None
    assert house.index == pytest.approx(2.8)
    assert (house.degrees_of_freedom, house.samples) == (40, 0)


@pytest.mark.parametrize("times", ["0.9", "101", "clumped", "-2"])
def test_an_impossible_scatter_is_refused(times: str) -> None:
    """It lies between well mixed and what no vessel is."""
    with pytest.raises(UsageError, match="house-scatter"):
        house_of(parsed(f"--house-scatter={times}"))


def test_help_spells_per_cent_once() -> None:
    """The % is no format to be filled in."""
    parser = argparse.ArgumentParser()
    add_certainty_arguments(parser)
    assert "%%" not in parser.format_help()
