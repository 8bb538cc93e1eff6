"""What several commands read from the command line: counts with their volumes."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterable
from typing import Any

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


def put_out(lines: Iterable[str], document: dict[str, Any], json_file: str | None) -> None:
    """Print ``lines``; write ``document`` where ``--json`` says.

    With ``-`` the JSON goes to standard output and the lines to standard error. UsageError, before
    anything is printed, where the file has no name.
    """
    check_name(json_file, "--json")
    on_paper = sys.stderr if json_file == STANDARD_OUTPUT else sys.stdout
    print("\n".join(lines), file=on_paper)
    if json_file is not None:
        write_json(json_file, document)
