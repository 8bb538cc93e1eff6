"""What several commands read from the command line, and how they put out what they answer."""

from __future__ import annotations

import argparse
import sys
from typing import Any

from counter import __version__
from counter.exporting.write import STANDARD_OUTPUT, check_name, write_json


def add_vessel(parser: argparse._ActionsContainer) -> None:
    """Add the options for the vessel and for how its water was diluted, to a parser or a group."""
    parser.add_argument(
        "--vessel",
        metavar="VOLUME",
        help="volume sampled from, with unit: 20 L, 800 mL; without it there is no total",
    )
    parser.add_argument(
        "--dilution",
        default="1+0",
        metavar="A+B",
        help="A parts sample plus B parts water: 1+9 is tenfold (default: 1+0, undiluted)",
    )


def add_level(parser: argparse._ActionsContainer) -> None:
    """Add the option for the confidence level of the limits, to a parser or a group."""
    parser.add_argument(
        "--confidence",
        default="0.95",
        metavar="SHARE",
        help="confidence level of the limits, 0.5 to 0.9999 (default: 0.95)",
    )


def add_level_and_json(parser: argparse.ArgumentParser) -> None:
    """Add the options for the confidence level of the limits and for the JSON."""
    add_level(parser)
    parser.add_argument(
        "--json", metavar="FILE", help="write the result as JSON; - for standard output"
    )


Answer = tuple[tuple[str, ...], tuple[str, ...], dict[str, Any]]
"""The words, the working, and what the JSON says of it."""


def put_out(answer: Answer, format_name: str, arguments: argparse.Namespace) -> None:
    """Print the words, and the working with ``--working``; write JSON where ``--json`` says.

    The JSON names its format and the version first. With ``-`` it goes to standard output and the
    lines to standard error. UsageError, before anything is printed, where
    the file has no name.
    """
    words, working, found = answer
    check_name(arguments.json, "--json")
    on_paper = sys.stderr if arguments.json == STANDARD_OUTPUT else sys.stdout
    print("\n".join((*words, *(working if arguments.working else ()))), file=on_paper)
    if arguments.json is not None:
        head = {"format": format_name, "version": __version__}
        ways = {"words": list(words), "working": list(working)}
        write_json(arguments.json, {**head, **found, **ways})
