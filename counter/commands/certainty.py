"""Options that say what limits rest on besides the count, shared by several commands."""

from __future__ import annotations

import argparse

from counter.domain.house import House
from counter.domain.numerals import number
from counter.domain.uncertainty import VolumeUncertainty
from counter.domain.uncertainty_entry import volumes_known
from counter.errors import UsageError

TYPED_DEGREES = 40
"""What a typed figure is worth: as much as that of 20 samples of three fillings."""
MOST_SCATTER = 100.0


def add_certainty_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options; without them the limits are those of the count alone."""
    group = parser.add_argument_group(
        "how well the volumes are known",
        "Without these the limits are those of the count alone. PERCENT is a standard\n"
        'uncertainty, like "1 %", or a tolerance, like "+-1 %", which is divided by √3.',
    )
    group.add_argument(
        "--vessel-uncertainty", metavar="PERCENT", help="of the vessel's volume (default: none)"
    )
    group.add_argument(
        "--chamber-uncertainty",
        metavar="PERCENT",
        help="of the chamber's volume, its depth mostly (default: none)",
    )
    group.add_argument(
        "--pipette-uncertainty",
        metavar="PERCENT|SIZE",
        help='of what was pipetted in; or the pipette\'s size, like "1000 µL": what ISO 8655 '
        "allows it (default: none)",
    )
    group.add_argument(
        "--dilution-uncertainty", metavar="PERCENT", help="of the dilution (default: none)"
    )
    parser.add_argument(
        "--house-scatter",
        metavar="TIMES",
        help="how many times more than by chance replicate fillings vary in this hatchery, from "
        "earlier samples, 1 to 100 (default: not known; 1 is well mixed)",
    )


def volumes_of(arguments: argparse.Namespace, stroke_ml: float | None = None) -> VolumeUncertainty:
    """Return how well the volumes are known; ``stroke_ml`` is what the pipette was set to."""
    return volumes_known(
        chamber=arguments.chamber_uncertainty,
        pipette=arguments.pipette_uncertainty,
        dilution=arguments.dilution_uncertainty,
        vessel=arguments.vessel_uncertainty,
        stroke_ml=stroke_ml,
    )


def house_of(arguments: argparse.Namespace) -> House | None:
    """Return the scatter of earlier samples that was typed, None if none was."""
    if arguments.house_scatter is None:
        return None
    times = number(arguments.house_scatter, "scatter (--house-scatter)", may_be_thousands=False)
    if not 1.0 <= times <= MOST_SCATTER:
        raise UsageError(
            f"A scatter (--house-scatter) of {times:g} times chance is impossible; it lies between "
            f"1 (well mixed) and {MOST_SCATTER:g}."
        )
    return House(times * TYPED_DEGREES, TYPED_DEGREES)
