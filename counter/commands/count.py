"""``hingeline count``: pictures of one sample to a total with limits."""

from __future__ import annotations

import argparse

from counter.commands.certainty import add_certainty_arguments
from counter.commands.typed import add_level, add_vessel
from counter.domain.edges import EdgeRule
from counter.domain.species import TargetKind

HELP = "Count, size and stage the larvae (or eggs) in photomicrographs of one sample."
EXAMPLE = """example:
  hingeline count tank-3/ --um-per-px 1.24 --vessel "20 L" --dilution 1+9 --json tank-3.json

  Every picture in the folder tank-3 is a field of one filling of a Sedgewick-Rafter chamber, 1.24
  µm per pixel; each of its sub-folders is a filling of its own. The larvae in the vessel of 20 L
  are estimated with 95 % limits. Lengths are in µm, areas in mm², volumes in µL and mL.
"""


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Add the options of this command."""
    parser.add_argument("paths", nargs="+", metavar="PATH", help="a picture, or a folder of them")
    _add_scale(parser)
    _add_target(parser)
    _add_sample(parser)
    add_certainty_arguments(parser)
    _add_output(parser)


def _add_scale(parser: argparse.ArgumentParser) -> None:
    group = parser.add_argument_group("scale", "the first of these; else the file's own metadata")
    group.add_argument("--um-per-px", metavar="S", help="µm per pixel, like 1.24")
    group.add_argument("--lens", metavar="NAME", help="a calibrated lens from the records")
    group.add_argument(
        "--without-learnt",
        action="store_true",
        help="leave aside what corrections in the window taught about the lens",
    )
    group.add_argument(
        "--rulings", action="store_true", help="measure the chamber's rulings on each picture"
    )


def _add_target(parser: argparse.ArgumentParser) -> None:
    group = parser.add_argument_group("what is counted")
    group.add_argument(
        "--target",
        choices=[str(kind) for kind in TargetKind],
        default="larvae",
        help="what is counted (default: larvae)",
    )
    group.add_argument(
        "--species",
        default="eastern-oyster",
        metavar="NAME",
        help="stage table and size limits (default: eastern-oyster)",
    )
    group.add_argument(
        "--length-um",
        metavar="LOW-HIGH",
        help="lengths to be found in µm, like 60-350, instead of the species' own",
    )


def _add_sample(parser: argparse.ArgumentParser) -> None:
    group = parser.add_argument_group("the sample")
    group.add_argument(
        "--chamber",
        default="sedgewick-rafter",
        metavar="NAME",
        help="sedgewick-rafter (default), palmer-maloney, improved-neubauer, fuchs-rosenthal, "
        "whole-volume, or one of your own",
    )
    group.add_argument(
        "--chamber-volume",
        metavar="VOLUME",
        help='the volume on the chamber\'s certificate, with unit: "1.02 mL" (default: area × '
        "depth)",
    )
    group.add_argument(
        "--aliquot",
        metavar="VOLUME",
        help="the volume put into a whole-volume well or tray, with unit; one for each filling",
    )
    group.add_argument(
        "--edges",
        choices=[str(rule) for rule in EdgeRule],
        default="top-left",
        help="the two borders whose crossing objects are counted (default: top-left)",
    )
    group.add_argument(
        "--age-days",
        metavar="DAYS",
        help="days since fertilisation; sizes that cannot be at that age are then pointed out",
    )
    add_vessel(group)
    add_level(group)


def _add_output(parser: argparse.ArgumentParser) -> None:
    group = parser.add_argument_group("what is written", "- is standard output")
    group.add_argument("--json", metavar="FILE", help="everything, as JSON")
    group.add_argument("--csv", metavar="FILE", help="one line for each larva")
    group.add_argument("--plot", metavar="FILE", help="size histogram: .png, .svg or .pdf")
    group.add_argument(
        "--working", action="store_true", help="print every step from the counts to the limits too"
    )
    group.add_argument(
        "--jobs",
        metavar="N",
        help="processes for many pictures, 1 or more (default: all cores)",
    )


def run(arguments: argparse.Namespace) -> int:
    """Count, print the result and write what was asked for; return 0, or 1 if anything failed.

    Raises :class:`~counter.errors.UsageError` for what cannot be understood, before any picture is
    read.
    """
    from counter.commands.counting import carry_out  # so that --help need not load the eye

    return carry_out(arguments)
